"""Check `driver`: at the step where a screw is driven, no straight driver reaches its head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Mark, Span
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import COINCIDENT, SLIVER
from scrieve.shared.wording import at_least, joined, mm, several

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.screw import Screw
from ..geometry.plane import disc, foot
from ..plan.toml_words import quoted
from ..sequence.laying import driven_at, laid_before, stage_of
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every part that stands in the way of a driver, whatever the number of screws it bars."""
    found = []
    width, length = assembly.limits["driver_width"], assembly.limits["driver_length"]
    for screw, part, prism, off, ahead in _barred(frame, width, length):
        if part in laid_before(screw, frame, assembly.order):
            found.append((prism, ahead > SLIVER, screw, off, ahead))
    found.sort(key=lambda bar: (bar[0].name, bar[1], bar[4] if bar[1] else bar[3], bar[2].name))
    barred = {(screw.name, part.name) for part, _, screw, _, _ in found}
    for (part, above), bars in groupby(found, key=lambda bar: bar[:2]):
        screws, offs, aheads = zip(*(bar[2:] for bar in bars), strict=True)
        yield _finding(frame, assembly, part, screws, offs[0], aheads[0] if above else None, barred)


def _barred(frame: Frame, width: float, length: float) -> Iterator[tuple[Screw, Part, Part, float, float]]:
    """Screws and parts that reach into the column of their driver, `off` its axis and `ahead` of its head, mm.

    Of a part that has pockets also the prism that does.
    """
    screws = [screw for screw in frame.screws if driven_at(screw) != "never"]
    if not screws:
        return
    at = np.array([screw.at for screw in screws])
    out = np.array([_out(screw) for screw in screws])[:, None]
    head = np.array([screw.head for screw in screws])[:, None] * out
    prisms = [(part, prism) for part in frame.parts for prism in part.prisms]
    spans = np.array([(prism.low, prism.high) for _, prism in prisms]).T
    near = np.maximum(np.minimum(spans[0] * out, spans[1] * out), head)
    far = np.maximum(spans[0] * out, spans[1] * out)
    shapes = np.array([prism.shape for _, prism in prisms])
    box = shapely.bounds(shapes)
    reach = width / 2 - COINCIDENT
    beside = np.all((box[:, :2] < at[:, None] + reach) & (box[:, 2:] > at[:, None] - reach), axis=2)
    i, j = np.nonzero(beside & (far > head + SLIVER) & (near < head + length - COINCIDENT))
    off = shapely.distance(shapely.points(at[i]), shapes[j])
    for n in np.flatnonzero(off < reach):
        ahead = float(near[i[n], j[n]] - head[i[n], 0])
        yield screws[i[n]], *prisms[j[n]], float(off[n]), ahead


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
        measured, limit = ahead, length
        message = Sentence.of(
            "no straight driver reaches {who}: {part} stands over {them}, {ahead} ahead of the head, a driver wants "
            "{length} clear in line",
            who=who, part=part, them="it" if len(screws) == 1 else "them", ahead=mm(ahead, length),
            length=mm(length, ahead),
        )  # fmt: skip
    else:
        measured, limit = 2 * off, width
        high = (part.high - worst.head) if worst.driven_from == "forward" else (worst.head - part.low)
        message = Sentence.of(
            "no straight driver reaches {who}: {part} stands {high} above the head, {off} from {axis}: {clear} clear "
            "in width, a driver wants {width}",
            who=who, part=part, high=mm(high), off=mm(off),
            axis="its axis" if len(screws) == 1 else Sentence.of("the axis of {worst}", worst=worst),
            clear=mm(2 * off, width), width=mm(width, 2 * off),
        )  # fmt: skip
    named = sorted(screws, key=lambda screw: screw.name)
    cure, edits = _cure(frame, assembly, part, screws, width / 2 - off, barred)
    return Finding(
        check="driver",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        at=frame.placement.point(*worst.at, worst.head),
        cure=cure,
        edits=edits,
        source=worst.source,
        subjects=subjects(*named, part),
        measure=Measure(value=measured, limit=limit, sense="least"),
        evidence=(
            *_clear(frame, worst, part, length, ahead),
            *(mark for screw in screws for mark in _driver(frame, screw, part, width, length)),
        ),
    )


def _clear(frame: Frame, screw: Screw, part: Part, length: float, ahead: float | None) -> tuple[Span, ...]:
    """What is clear along the driver, up to a part over the head; else across it, as wide about it as beside the part.

    Across, it lies where the part ends, or the driver.
    """
    out = _out(screw)
    mark = Marker(frame=frame)
    if ahead is not None:
        return mark.spans((*screw.at, screw.head), (*screw.at, screw.head + out * ahead))
    nearest = foot(part.shape, screw.at)
    w = out * min(max(part.low * out, part.high * out), screw.head * out + length)
    return mark.spans((*nearest, w), (*(2 * np.array(screw.at) - nearest), w))


def _driver(frame: Frame, screw: Screw, part: Part, width: float, length: float) -> tuple[Mark, ...]:
    """A screw, its driver and what of the part is in that."""
    mark, end = Marker(frame=frame), screw.head + _out(screw) * length
    low, high = sorted((screw.head, end))
    wood = shapely.intersection(part.shape, disc(screw.at, width))
    return (
        mark.screw(screw),
        mark.axis(screw.at, width, screw.head, end),
        *mark.regions(wood, max(low, part.low), min(high, part.high)),
    )


def _out(screw: Screw) -> float:
    """The way out of the wood along the frame's normal."""
    return 1.0 if screw.driven_from == "forward" else -1.0


def _cure(
    frame: Frame,
    assembly: Assembly,
    part: Part,
    screws: Sequence[Screw],
    short: float,
    barred: set[tuple[str, str]],
) -> tuple[Sentence, tuple[Edit, ...]]:
    """To drive the screws before the part goes on, where they can be; else to move them, or to take a thinner part."""
    it = "it" if len(screws) == 1 else "them"
    move = Sentence.of("move {it} at least {short} away from {part}", it=it, short=at_least(short), part=part)
    stage = stage_of(part)
    under: list[str] = []  # what the screws go on with, if it could go on before the part in the way
    if stage == driven_at(screws[0]) and stage != "core":
        under = sorted({ply.part.name for screw in screws for ply in screw.plies if stage_of(ply.part) == stage})
    keys, order = assembly.keys, assembly.order
    wishes = [wish for wish in order if {wish.first, wish.then} & {part.name} and {wish.first, wish.then} & set(under)]
    if wishes:
        lines = Name(", ".join(str(wish.source.line) for wish in wishes))
        said = Sentence.of("take the order on line {lines} out of the plan, or {move}", lines=lines, move=move)
        return said, tuple(edit for wish in wishes for edit in keys.without(wish.source))
    mutual = any(
        (screw.name, name) in barred
        for screw in frame.screws
        if any(ply.part is part for ply in screw.plies)
        for name in under
    )
    if mutual or not under or part.name in under:
        return Sentence.of("{move}, or take a thinner part there", move=move), ()
    pairs = [
        Sentence.of("first = {first}, then = {then}", first=Name(quoted(name)), then=Name(quoted(part.name)))
        for name in under
    ]
    said = Sentence.of(
        "drive {it} before {part} goes on ([[order]] in the plan: {pairs}), or {move}",
        it=it, part=part, pairs=joined(pairs, "; ", "; "), move=move,
    )  # fmt: skip
    return said, keys.with_tables("order", [{"first": name, "then": part.name} for name in under])


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
