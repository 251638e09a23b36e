"""What drawings leave unjudged: said in notes, so that silence is never taken for a clean bill."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Quantity, Sentence

from ..boat.defect import Defect
from ..boat.frame import Frame
from ..plan.plan import Plan


def coverage_notes(plan: Plan, frames: Sequence[Frame]) -> tuple[Defect, ...]:
    """A note for each thing that no drawing shows, and an error for legs that are not said to be legs."""
    return (*_undrawn(plan, frames), *_legs_without_role(plan, frames))


def _undrawn(plan: Plan, frames: Sequence[Frame]) -> Iterator[Defect]:
    """Screws are checked as drawn or as laid out: where a gusseted frame has none there was nothing to check."""
    without = [f.name for f in frames if not f.screws and any(part.role == "gusset" for part in f.parts)]
    if without:
        frames_told = Name(", ".join(without))
        message = Sentence.of(
            "no screws are drawn in {frames}: nothing about them was checked there", frames=frames_told
        )
        yield Defect(message=message, level=Level.NOTE, source=Source(file=plan.file.name))


def _legs_without_role(plan: Plan, frames: Sequence[Frame]) -> Iterator[Defect]:
    """One error for parts that are named legs on layers without that role, where there are rails for legs."""
    named = [p for f in frames for p in f.parts if p.role in ("core", "plate") and "leg" in p.label.casefold().split()]
    if plan.strongback is None or not named:
        return
    made = {(part.face, part.stock) for part in named}
    layers = [
        name
        for name, layer in plan.layers.items()
        if layer.makes == "part" and layer.role is None and (layer.face, layer.stock) in made
    ]
    layers = [name for name in layers if "leg" in name.casefold()] or layers
    yield Defect(
        message=Sentence.of(
            '{count} parts are named legs ({first} is one), but their layer has no role = "leg": they are checked as '
            "parts of the frame",
            count=Quantity.of(len(named), str(len(named))),
            first=named[0],
        ),
        source=plan.source_of("layers", layers[0]) if layers else Source(file=plan.file.name),
        cure=Sentence.of('add role = "leg" to the layer they are on ({layers})', layers=Name(" or ".join(layers))),
        edits=plan.keys.set(("layers", layers[0]), "role", "leg") if len(layers) == 1 else (),
    )
