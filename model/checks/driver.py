"""Check `driver`: at the step where a screw is driven, no straight driver reaches its head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np
import shapely

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import COINCIDENT, SLIVER

from ..assembly import Assembly
from ..frame import Frame
from ..order.laying import driven_at, laid_before, stage_of
from ..part import Part
from ..planfile.plan_order import Before
from ..planfile.toml_words import quoted
from ..screw import Screw
from ..wording import at_least, mm, several
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every part that stands in the way of a driver, whatever the number of screws it bars."""
    found = []
    for screw, part, off, ahead in _barred(frame, assembly.limits["driver_width"], assembly.limits["driver_length"]):
        if part in laid_before(screw, frame, assembly.order):
            found.append((part, ahead > SLIVER, screw, off, ahead))
    found.sort(key=lambda bar: (bar[0].name, bar[1], bar[4] if bar[1] else bar[3], bar[2].name))
    barred = {(screw.name, part.name) for part, _, screw, _, _ in found}
    for (part, above), bars in groupby(found, key=lambda bar: bar[:2]):
        screws, offs, aheads = zip(*(bar[2:] for bar in bars), strict=True)
        yield _finding(frame, assembly, part, screws, offs[0], aheads[0] if above else None, barred)


def _barred(frame: Frame, width: float, length: float) -> Iterator[tuple[Screw, Part, float, float]]:
    """Screws and parts that reach into the column of their driver, `off` its axis and `ahead` of its head, mm."""
    screws = [screw for screw in frame.screws if driven_at(screw) != "never"]
    if not screws:
        return
    at = np.array([screw.at for screw in screws])
    out = np.array([1.0 if screw.driven_from == "forward" else -1.0 for screw in screws])[:, None]
    head = np.array([screw.head for screw in screws])[:, None] * out
    spans = np.array([(part.low, part.high) for part in frame.parts]).T
    near = np.maximum(np.minimum(spans[0] * out, spans[1] * out), head)
    far = np.maximum(spans[0] * out, spans[1] * out)
    shapes = np.array([part.shape for part in frame.parts])
    box = shapely.bounds(shapes)
    reach = width / 2 - COINCIDENT
    beside = np.all((box[:, :2] < at[:, None] + reach) & (box[:, 2:] > at[:, None] - reach), axis=2)
    i, j = np.nonzero(beside & (far > head + SLIVER) & (near < head + length - COINCIDENT))
    off = shapely.distance(shapely.points(at[i]), shapes[j])
    for n in np.flatnonzero(off < reach):
        ahead = float(near[i[n], j[n]] - head[i[n], 0])
        yield screws[i[n]], frame.parts[j[n]], float(off[n]), ahead


def _finding(
    frame: Frame,
    assembly: Assembly,
    part: Part,
    screws: Sequence[Screw],
    off: float,
    ahead: float | None,
    barred: set[tuple[str, str]],
) -> Finding:
    worst, limits = screws[0], assembly.limits
    width, length = limits["driver_width"], limits["driver_length"]
    who = several([screw.name for screw in screws], "screws")
    if ahead is not None:
        room = f"{part.name} stands over {'it' if len(screws) == 1 else 'them'}, {mm(ahead, length)} ahead of the head"
        want = f"a driver wants {mm(length, ahead)} clear in line"
    else:
        high = (part.high - worst.head) if worst.driven_from == "forward" else (worst.head - part.low)
        whose = "its axis" if len(screws) == 1 else f"the axis of {worst.name}"
        room = (
            f"{part.name} stands {mm(high)} above the head, {mm(off)} from {whose}: {mm(2 * off, width)} clear in width"
        )
        want = f"a driver wants {mm(width, 2 * off)}"
    return Finding(
        check="driver",
        level=Level.ERROR,
        message=f"no straight driver reaches {who}: {room}, {want}",
        frame=frame.number,
        parts=(*sorted(screw.name for screw in screws), part.name),
        at=frame.placement.point(*worst.at, worst.head),
        measured=2 * off if ahead is None else ahead,
        limit=width if ahead is None else length,
        unit="mm",
        cure=_cure(frame, assembly.order, part, screws, width / 2 - off, barred),
        source=worst.source,
    )


def _cure(
    frame: Frame,
    order: Sequence[Before],
    part: Part,
    screws: Sequence[Screw],
    short: float,
    barred: set[tuple[str, str]],
) -> str:
    """To drive the screws before the part goes on, where they can be; else to move them, or to take a thinner part."""
    it = "it" if len(screws) == 1 else "them"
    move = f"move {it} at least {at_least(short)} away from {part.name}"
    stage = stage_of(part)
    under: list[str] = []  # what the screws go on with, if it could go on before the part in the way
    if stage == driven_at(screws[0]) and stage != "core":
        under = sorted({ply.part.name for screw in screws for ply in screw.plies if stage_of(ply.part) == stage})
    wishes = [wish for wish in order if {wish.first, wish.then} & {part.name} and {wish.first, wish.then} & set(under)]
    if wishes:
        lines = ", ".join(str(wish.source.line) for wish in wishes)
        return f"take the order on line {lines} out of the plan, or {move}"
    mutual = any(
        (screw.name, name) in barred
        for screw in frame.screws
        if any(ply.part is part for ply in screw.plies)
        for name in under
    )
    if mutual or not under or part.name in under:
        return f"{move}, or take a thinner part there"
    pairs = "; ".join(f"first = {quoted(name)}, then = {quoted(part.name)}" for name in under)
    return f"drive {it} before {part.name} goes on ([[order]] in the plan: {pairs}), or {move}"


CHECK = Check(
    slug="driver",
    title="Screws that no driver reaches",
    level=Level.ERROR,
    limits=("driver_length", "driver_width"),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every screw at the step where it is driven: those of the gussets once all plates of that face lie, those "
            "of the legs once the legs are on. A straight driver needs a round column of the width beside this, on "
            "the screw's axis, from the head outward over its length. Whatever lies already and reaches into that "
            "column is named: a plate beside the gusset that stands higher than the head, a thick part of the core, a "
            "leg. What goes on later is not in the way; the plan's [[order]] is kept to."
        ),
        matters=(
            "The bit slips out of a screw that is driven askew and chews its head, or the screw is left proud and "
            "holds the next part off. It is noticed with glue on the joint, when there is no time to look for a "
            "shorter tool."
        ),
        limit=(
            "Error: less than `driver_width`, 12 mm across, is clear around the axis, or less than `driver_length`, "
            "120 mm, ahead of the head. Both are common practice, no source: a bit in its holder and the chuck of a "
            "small drill. Set them to your own tool's."
        ),
        cure=(
            "Drive the screw before the part in its way goes on, by two names under [[order]] in the plan; the steps "
            "then part the plates of that face into two lots. Where both stand in each other's way, or the part has "
            "to lie first, move the screw by the length the finding gives."
        ),
    ),
)
