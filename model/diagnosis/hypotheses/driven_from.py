"""The screws of a layer are driven from the other face than the plan says."""

from __future__ import annotations

import re
from collections.abc import Iterator

from scrieve.shared.sentences import Name, Sentence

from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The other face for each layer of screws, where a face has none or its screws hold nothing."""
    for name, layer in case.plan.layers.items():
        if layer.makes != "screw" or layer.driven_from is None:
            continue
        other = "aft" if layer.driven_from == "forward" else "forward"
        if _named(name) == layer.driven_from:
            continue
        own = {screw.name for screw in case.screws.values() if screw.source.layer == name}
        trace = tuple(
            finding
            for finding in case.findings
            if finding.check == "screw-count"
            or (finding.check.startswith("screw") and any(each.name in own for each in finding.subjects))
        )
        yield Hypothesis(
            says=Sentence.of(
                "the screws on layer {layer} are driven from {other}, the plan says from {said}",
                layer=Name(name),
                other=other,
                said=layer.driven_from,
            ),
            cure=Sentence.of('set driven_from = "{other}" of layer {layer}', other=other, layer=Name(name)),
            edits=case.plan.keys.set(("layers", name), "driven_from", other),
            trace=trace,
            fewest=2,
            source=case.plan.source_of("layers", name),
        )


def _named(layer: str) -> str:
    """The face that a layer's name speaks of, if it does."""
    words = set(re.split(r"[^a-z]+", layer.casefold()))
    if words & {"forward", "fwd", "fore"}:
        return "forward"
    return "aft" if "aft" in words else ""
