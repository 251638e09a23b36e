"""The parts of a layer are legs or gussets, and the plan does not say so, or says it of the wrong ones."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.sentences import Name, Sentence

from ..case import Case, Hypothesis

_LEGS = ("joint-bare", "dowel-hold", "leg-bottom", "leg-side", "leg-pair", "joint-gap", "outline")
_GUSSETS = ("joint-bare", "screw-count", "screw-bite", "proud", "outline")


def propose(case: Case) -> Iterator[Hypothesis]:
    """The role of a leg for each layer of the core without one, that of a gusset for each of plates on the faces."""
    drawn = {part.source.layer for part in case.boat.parts()}
    cores = {name for name in drawn & set(case.plan.layers) if case.plan.layers[name].face == "core"}
    for name, layer in case.plan.layers.items():
        if layer.makes != "part" or layer.role is not None or cores == {name}:
            continue
        role, checks = ("leg", _LEGS) if layer.face == "core" else ("gusset", _GUSSETS)
        own = {part.name for part in case.boat.parts() if part.source.layer == name}
        about = case.about(lambda each, own=own: each.name in own, *checks)  # type: ignore[misc]
        bare = case.of("joint-bare") if role == "gusset" else ()
        yield Hypothesis(
            says=Sentence.of("the parts on layer {layer} are {role}s", layer=Name(name), role=role),
            cure=Sentence.of('add role = "{role}" to layer {layer}', role=role, layer=Name(name)),
            edits=case.plan.keys.set(("layers", name), "role", role),
            trace=tuple({id(each): each for each in (*about, *bare)}.values()),
            source=case.plan.source_of("layers", name),
        )
