"""A drawing, or a plan, whose numbers are not in the unit it says: found, and told once in place of what follows."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from statistics import median
from typing import NamedTuple

from scrieve.shared.findings import Measure, Source
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.units import MM_PER_UNIT, PLAN_UNITS, UNIT_NAMES
from scrieve.shared.wording import listed

from ...boat.defect import Defect
from ...drawing import Drawing
from ...plan.plan import Plan
from .unit_evidence import beside, count_of_sections, misplaced, on_sheets, section_times, size_of, times_drawn, unusual

_FAR = 9.0
"""times; no neighbouring frames of a boat differ as much in size, both the same way, without sections to prove it."""

_THICKEST = 100.0
"""mm; no boat is made of thicker plywood, so a plan of nothing else is not in its unit (common practice, no source)."""


class DrawingSlip(NamedTuple):
    """A frame drawing whose numbers are in `unit`, so that it comes out `times` too large; `by` is what shows it."""

    shown: str
    unit: str
    times: float
    by: str


class PlanSlip(NamedTuple):
    """A plan whose numbers are in `unit`, so that all its lengths are `times` too large; `by` is what shows it.

    Its lengths are `times_drawn` larger than those of the frame drawings, 1 where those have no unit of their own.
    """

    unit: str
    times: float
    times_drawn: float
    by: str


class _Read(NamedTuple):
    """What is to be known of a frame drawing; `sections` are so many times as large as in the plan, of all `drawn`."""

    drawing: Drawing
    frames: tuple[str, ...]
    size: float
    drawn: int
    sections: Counter[float]

    @property
    def times(self) -> float:
        """How many times too large most of its sections are; 1 where they do not tell."""
        best = max(self.sections, key=lambda times: (self.sections[times], -times), default=1.0)
        most = 2 * self.sections[best] >= self.drawn and self.sections[best] > self.sections[1.0]
        return best if most else 1.0


def slips(
    plan: Plan, drawings: Mapping[str, Drawing], sheets: Mapping[str, Drawing]
) -> tuple[PlanSlip | None, tuple[DrawingSlip, ...]]:
    """Whether the plan is not in its unit, else which frame drawings are not in theirs, by name.

    The sections of battens tell most, as the plan has their sizes; then the cut sheets and the neighbours.
    """
    reads = _reads(plan, drawings)
    placed = _placed(plan, reads)
    if placed is not None:
        return placed, ()
    off = Counter(read.times for read in reads if read.times != 1.0)
    most = max(off, key=lambda times: (off[times], -times), default=1.0)
    if 2 * off[most] > sum(bool(read.sections) for read in reads):
        meant = _unit_of(MM_PER_UNIT[plan.units] * most)
        if meant is not None and len(unusual(plan)) > len(unusual(plan, 1 / most)):
            return PlanSlip(meant, 1 / most, 1 / most, _than_drawn(reads, 1 / most)), ()
    elif not off and (absurd := _absurd(plan)) is not None:
        return absurd, ()
    found = [slip for index in range(len(reads)) if (slip := _slip(plan, reads, index, sheets)) is not None]
    return None, tuple(sorted(found))


def _reads(plan: Plan, drawings: Mapping[str, Drawing]) -> list[_Read]:
    """The frame drawings by the station of their first frame."""
    frames: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for spec in plan.frames:
        frames[spec.drawing].append((spec.station, spec.number))
    return [
        _Read(
            drawing=drawings[shown],
            frames=tuple(number for _, number in sorted(frames[shown])),
            size=size_of(plan, drawings[shown]) if len(frames[shown]) == 1 else 0.0,
            drawn=count_of_sections(plan, drawings[shown]),
            sections=section_times(plan, drawings[shown]),
        )
        for shown in sorted(frames, key=lambda shown: (min(frames[shown]), shown))
    ]


def _slip(plan: Plan, reads: Sequence[_Read], index: int, sheets: Mapping[str, Drawing]) -> DrawingSlip | None:
    read = reads[index]
    usual = Counter(other.drawing.unit for n, other in enumerate(reads) if n != index).most_common(1)
    odd = bool(usual) and usual[0][0] != read.drawing.unit
    near = [side[0] for side in (_sized(reads[:index][::-1]), _sized(reads[index + 1 :])) if side]
    if read.times != 1.0:
        unit = _unit_of(MM_PER_UNIT[read.drawing.unit] / read.times)
        sure = read.sections[read.times] > 1 or odd or beside(read.size, [other.size for other in near], read.times)
        if unit is None or not sure:
            return None
        return DrawingSlip(read.drawing.shown, unit, read.times, "by its sections of battens")
    if read.sections[1.0]:
        return None
    units = [usual[0][0]] if odd else [unit for unit in PLAN_UNITS if unit != read.drawing.unit]
    for unit in units:
        times = times_drawn(read.drawing, unit)
        if not beside(read.size, [other.size for other in near], times):
            continue
        # a small floor between frames is no slip, but none is as large
        if (times > _FAR and (odd or len(near) == 2)) or (times < 1 / _FAR and odd and not sheets):
            by = f"beside {listed(f'F{other.frames[0]}' for other in near)}"
            return DrawingSlip(read.drawing.shown, unit, times, by)
        if _near(on_sheets(plan, read.drawing, sheets.values(), plan.limits["cut_sheet"]), times):
            return DrawingSlip(read.drawing.shown, unit, times, "beside the cut sheets")
    return None


def _sized(reads: Sequence[_Read]) -> list[_Read]:
    """Those that show how large their one frame is, and whose sections do not say that it is too large or small."""
    return [read for read in reads if read.size > 0.0 and read.times == 1.0]


def _absurd(plan: Plan) -> PlanSlip | None:
    """The slip of a plan that no section belies: its plywood is thicker than any, and more is too large for a boat."""
    thickness = [stock.real_thickness for stock in plan.stock.values()]
    if not thickness or min(thickness) <= _THICKEST or len(unusual(plan)) < 2:
        return None
    for unit in PLAN_UNITS:
        times = MM_PER_UNIT[plan.units] / MM_PER_UNIT[unit]
        if times > 1 and not unusual(plan, times):
            return PlanSlip(unit, times, 1.0, f"its thinnest sheet stock comes out {min(thickness):.0f} mm thick")
    return None


def _placed(plan: Plan, reads: Sequence[_Read]) -> PlanSlip | None:
    """The slip of a plan that sets up its frames far too close or far apart for how large they are drawn.

    Sections and sheets may be quoted in their own unit. Drawings without a unit have the plan's, and are in it.
    """
    assumed = all(read.drawing.unit_assumed for read in reads)
    times = {read.times for read in reads} if assumed else {1.0}
    sizes = [read.size / min(times) for read in reads if read.size > 0.0 and read.times in times]
    if len(times) != 1 or 2 * len(sizes) <= len(reads) or not misplaced(plan, size := median(sizes)):
        return None
    drawn = Counter(read.drawing.unit for read in reads).most_common(1)[0][0]
    told = {_unit_of(MM_PER_UNIT[plan.units] / min(times))} if assumed and min(times) != 1.0 else set(PLAN_UNITS)
    others = {unit for unit in told if unit is not None and unit != plan.units}
    for unit in sorted(others, key=lambda unit: (unit != drawn, unit)):
        off = MM_PER_UNIT[plan.units] / MM_PER_UNIT[unit]
        if not misplaced(plan, size, off, strict=True):
            by = f"its stations and rails are {_so_many(off)} for frames drawn {size:.0f} mm across"
            return PlanSlip(unit, off, 1 / min(times), by)
    return None


def _so_many(times: float) -> str:
    return f"{times:g} times too large" if times > 1 else f"{1 / times:g} times too small"


def _than_drawn(reads: Sequence[_Read], times: float) -> str:
    where = listed(f"F{number}" for read in reads if read.times != 1.0 for number in read.frames)
    way = f"{times:g} times larger" if times > 1 else f"{1 / times:g} times smaller"
    return f"its battens come out {way} than the sections drawn in {where}"


def _unit_of(length: float) -> str | None:
    """The unit of so many mm."""
    return next((unit for unit in PLAN_UNITS if _near(MM_PER_UNIT[unit], length)), None)


def _near(one: float, other: float) -> bool:
    return abs(one / other - 1) < 1e-3


def plan_defect(plan: Plan, slip: PlanSlip) -> Defect:
    """What is said of a plan that is not in its unit."""
    return Defect(
        message=Sentence.of(
            'the plan says units = "{units}", but its numbers look like {looks}: {by}; the other checks look at '
            "nothing of the boat",
            units=plan.units,
            looks=UNIT_NAMES[slip.unit],
            by=slip.by,
        ),
        source=plan.source_of("plan", "units"),
        measure=_measure(slip.times),
        cure=Sentence.of('set units = "{unit}", and check again', unit=slip.unit),
        edits=plan.keys.set(("plan",), "units", slip.unit, sure=True),
    )


def drawing_defects(
    plan: Plan, drawings: Mapping[str, Drawing], found: Sequence[DrawingSlip]
) -> tuple[dict[str, Defect], tuple[Defect, ...]]:
    """What is said of drawings, as they were first read, that are not in their unit: by drawing, and in one of several.

    Several that are off alike are off by one setting, and told in one.
    """
    alike: dict[tuple[str, str], list[DrawingSlip]] = defaultdict(list)
    for slip in found:
        alike[drawings[slip.shown].unit, slip.unit].append(slip)
    single = {same[0].shown: _told(plan, drawings, same) for same in alike.values() if len(same) == 1}
    return single, tuple(_told(plan, drawings, alike[key]) for key in sorted(alike) if len(alike[key]) > 1)


def _told(plan: Plan, drawings: Mapping[str, Drawing], same: Sequence[DrawingSlip]) -> Defect:
    slip, many = same[0], len(same) > 1
    drawing = drawings[slip.shown]
    shown = {each.shown for each in same}
    whose = listed({f"F{spec.number}" for spec in plan.frames if spec.drawing in shown})
    off = f"{slip.times:g} times too large" if slip.times > 1 else f"{1 / slip.times:g} times too small"
    looks, says = UNIT_NAMES[slip.unit], UNIT_NAMES[drawing.unit]
    its = "their" if many else "its"
    said = Sentence.of("{its} units say {says}", its=its, says=says)
    if drawing.unit_assumed:
        have = "they have" if many else "it has"
        said = Sentence.of("{have} no unit of {its} own and the plan says {says}", have=have, its=its, says=says)
    drawings_ = "drawings" if many else "drawing"
    return Defect(
        message=Sentence.of(
            "the {drawings} of {frames} {come} out {off} {by}: {said}, but {its} numbers look like {looks}; the other "
            "checks take them so",
            drawings=drawings_,
            frames=whose,
            come="come" if many else "comes",
            off=Quantity.of(slip.times, off),
            by=slip.by.replace("its", its),
            said=said,
            its=its,
            looks=looks,
        ),
        source=Source(file=drawing.shown),
        measure=_measure(slip.times),
        cure=Sentence.of("set the units of the {drawings} ($INSUNITS) to {looks}", drawings=drawings_, looks=looks),
    )


def _measure(times: float) -> Measure:
    return Measure(value=max(times, 1 / times), limit=1.0, unit="times")
