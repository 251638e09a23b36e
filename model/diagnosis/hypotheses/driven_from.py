"""The screws of a layer are driven from the other face than the plan says."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import listed

from ...plan.plan import Layer
from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The other face for each layer of screws, where a face has none or its screws hold nothing."""
    for name, layer in case.plan.layers.items():
        if layer.makes != "screw" or layer.driven_from is None:
            continue
        other = "aft" if layer.driven_from == "forward" else "forward"
        if _named(name) == layer.driven_from:
            continue
        screws = [screw for screw in case.screws.values() if screw.source.layer == name]
        own = {screw.name for screw in screws}
        trace = tuple(
            finding
            for finding in case.findings
            if finding.check == "screw-count"
            or (finding.check.startswith("screw") and any(each.name in own for each in finding.subjects))
        )
        edits = case.plan.keys.set(("layers", name), "driven_from", other)
        wrong = {finding.frame for finding in trace}
        astray = [frame.number for frame in case.boat.frames if frame.number in wrong & {s.frame for s in screws}]
        like = _like(case, layer, other)
        if like and astray and len(astray) < len({screw.frame for screw in screws}):
            yield _astray(case, name, like, astray, edits, trace)
            continue
        yield Hypothesis(
            says=Sentence.of(
                "the screws on layer {layer} are driven from {other}, the plan says from {said}",
                layer=Name(name),
                other=other,
                said=layer.driven_from,
            ),
            cure=Sentence.of('set driven_from = "{other}" of layer {layer}', other=other, layer=Name(name)),
            edits=edits,
            trace=trace,
            fewest=2,
            source=case.plan.source_of("layers", name),
        )


def _like(case: Case, layer: Layer, face: str) -> str:
    """The layer of the same screws that are driven from the other face; "" if there is none, or several."""
    found = [n for n, each in case.plan.layers.items() if (each.screw, each.driven_from) == (layer.screw, face)]
    return found[0] if len(found) == 1 else ""


def _astray(
    case: Case, layer: str, like: str, frames: Sequence[str], edits: tuple[Edit, ...], trace: tuple[Finding, ...]
) -> Hypothesis:
    """The screws of some frames lie on the layer of those from the other face; in its other frames it is right."""
    these = listed(f"F{number}" for number in frames)
    return Hypothesis(
        says=Sentence.of(
            "the screws of {frames} on layer {layer} are driven from the other face, as those on layer {like} are",
            frames=these,
            layer=Name(layer),
            like=Name(like),
        ),
        cure=Sentence.of("put those screws of {frames} on layer {like}", frames=these, like=Name(like)),
        edits=edits,
        trace=tuple(finding for finding in trace if finding.frame in frames),
        fewest=2,
        frame=frames[0] if len(frames) == 1 else "",
        like=True,  # what is tried turns the layer in all its frames
        source=next(screw.source for screw in case.screws.values() if screw.source.layer == layer),
    )


def _named(layer: str) -> str:
    """The face that a layer's name speaks of, if it does."""
    words = set(re.split(r"[^a-z]+", layer.casefold()))
    if words & {"forward", "fwd", "fore"}:
        return "forward"
    return "aft" if "aft" in words else ""
