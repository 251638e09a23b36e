"""What drawings leave unjudged: said in notes, so that silence is never taken for a clean bill."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Quantity, Sentence

from ..boat.defect import Defect
from ..boat.frame import Frame
from ..boat.part import Part
from ..plan.plan import Plan
from .screws.screws_proposed import are_screwed

_ROLES = {"leg": ("core", "plate"), "gusset": ("core",)}
"""What parts with these words in their names are taken for where their layer has no role. A plate called a gusset is
told at the joint that it lies over."""


def coverage_notes(plan: Plan, frames: Sequence[Frame]) -> tuple[Defect, ...]:
    """A note for each thing that no drawing shows, and an error for legs and gussets that are not said to be such."""
    return (*_undrawn(plan, frames), *_without_role(plan, frames))


def _undrawn(plan: Plan, frames: Sequence[Frame]) -> Iterator[Defect]:
    """Screws are checked as drawn or as laid out: where a gusseted frame has none there was nothing to check."""
    gusseted = [frame for frame in frames if any(part.role == "gusset" for part in frame.parts)]
    without = [f for f in gusseted if not are_screwed(f) and not any(screw.proposed for screw in f.screws)]
    if without:
        frames_told = Name(", ".join(frame.name for frame in without))
        message = Sentence.of(
            "no screws are drawn through gussets in {frames}: nothing about them was checked there", frames=frames_told
        )
        yield Defect(message=message, level=Level.NOTE, source=Source(file=plan.file.name))


def _without_role(plan: Plan, frames: Sequence[Frame]) -> Iterator[Defect]:
    """One error for parts named legs or gussets on layers without that role; each for itself among other parts.

    Of legs only where there are rails.
    """
    parts = [part for frame in frames for part in frame.parts]
    drawn = Counter(part.source.layer for part in parts)
    for role, kinds in _ROLES.items():
        named = [part for part in parts if part.role in kinds and role in part.label.casefold().split()]
        if role == "leg" and plan.strongback is None:
            continue
        here = Counter(part.source.layer for part in named)
        astray = [part for part in named if 2 * here[part.source.layer] <= drawn[part.source.layer]]
        layers = [name for name, layer in sorted(plan.layers.items()) if layer.makes == "part" and layer.role == role]
        if layers:
            yield from (_on_another_layer(part, role, layers) for part in astray)
            named = [part for part in named if part not in astray]
        if named:
            yield _on_layers_without(plan, named, role)


def _on_another_layer(part: Part, role: str, layers: Sequence[str]) -> Defect:
    return Defect(
        message=Sentence.of(
            '{part} is named a {role}, but its layer {layer} has no role = "{role}": it is checked as any part of the '
            "frame",
            part=part,
            role=Name(role),
            layer=Name(part.source.layer),
        ),
        source=part.source,
        cure=Sentence.of("draw it on layer {layers}, or name it otherwise", layers=Name(" or ".join(layers))),
    )


def _on_layers_without(plan: Plan, named: Sequence[Part], role: str) -> Defect:
    layers = sorted({part.source.layer for part in named})
    one = len(named) == 1
    return Defect(
        message=Sentence.of(
            f"{{count}} part{' is' if one else 's are'} named {{role}}{'' if one else 's'} ({{first}}"
            f'{"" if one else " is one"}), but {"its" if one else "their"} layer has no role = "{{role}}": '
            f"{'it is checked as a part' if one else 'they are checked as parts'} of the frame",
            count=Quantity.of(len(named), str(len(named))),
            first=named[0],
            role=Name(role),
        ),
        source=plan.source_of("layers", layers[0]),
        cure=Sentence.of(
            'add role = "{role}" to the layer they are on ({layers})', role=Name(role), layers=Name(" or ".join(layers))
        ),
        edits=plan.keys.set(("layers", layers[0]), "role", role) if len(layers) == 1 else (),
    )
