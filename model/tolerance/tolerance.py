"""A boat tried with its stock at both ends of its standards' bands, with a worn cutter and screws set out by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import falls_short
from scrieve.shared.wording import joined, mm, trimmed

from ..boat.assembly import Assembly
from ..plan.plan_tables import MEASURED_REACH
from ..review import review
from ..revision.revision import about, standing, without
from .fits import Fit, fits
from .set_out import SET_OUT, set_out_notes

WORN = (0.1, 0.2)
"""mm; by how much a cutter that was ground or is worn is smaller in diameter. Common practice, no source."""

MOST_STOCKS = 6
"""Stocks that are varied, those of most parts: the boat is then read 2 x 6 + 3 times at most."""

_LISTED = 3  # stocks that a name of several lists


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A stock that is varied: between which thicknesses, mm, and after which standard."""

    stock: str
    standard: str
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The play of a fit, mm: as `planned`, and at `worst` over all stock, which is `when` ("" as planned).

    `worn` has the worst with the cutter smaller by each of WORN; empty where none cuts it. `from_` is a stock and its
    thickness from which on it is tighter than `fit.least`, between the plan's and the band's end.
    """

    fit: Fit
    planned: float
    worst: float
    when: str
    worn: tuple[float, ...]
    from_: tuple[str, float] | None

    @property
    def least(self) -> float:
        """mm; the worst of all."""
        return min(self.worst, *self.worn) if self.worn else self.worst

    @property
    def fails(self) -> str:
        """What it is too tight with: "plan" as it is drawn, "stock", "cutter", or "" if it never is."""
        if falls_short(self.planned, self.fit.least):
            return "plan"
        if falls_short(self.worst, self.fit.least):
            return "stock"
        return "cutter" if falls_short(self.least, self.fit.least) else ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tolerance:
    """What comes of all that: `bands` of the stocks varied, `kept` the others, each with why it is not.

    `came` are errors and warnings that are found at the end of a band and not as planned, `went` the other way about,
    `notes` what fits only with a true cutter or with screws where they are drawn. Each message begins with when.
    `rooms` are the fits, what fails first first. `worn` is by how much smaller the cutter was taken, empty where there
    is none, and `set_out` by how much screws were set out off their places, mm.
    """

    bands: tuple[Band, ...]
    kept: Mapping[str, str]
    worn: tuple[float, ...]
    set_out: float
    came: tuple[Finding, ...]
    went: tuple[Finding, ...]
    notes: tuple[Finding, ...]
    rooms: tuple[Room, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Variant:
    name: str
    readings: Mapping[str, float]


def tolerance(
    boat: Assembly,
    checks: Collection[str],
    *,
    today: date | None = None,
    progress: Callable[[str], None] | None = None,
) -> Tolerance:
    """What these checks find at the ends of the bands, and how much room is left; `progress` is told each reading.

    Stock with a measured thickness is as it is: it is not varied. A boat that was not set up from a plan has no stock
    to vary.
    """
    tell = progress or (lambda _: None)
    bands, kept = _bands(boat)
    planned = fits(boat)
    tell("as planned")
    before = list(standing(review(boat, only=checks, today=today, held=True))) if bands else []
    came: dict[object, tuple[Finding, list[_Variant]]] = {}
    went: dict[object, tuple[Finding, list[_Variant]]] = {}
    plays: list[tuple[_Variant, Mapping[tuple[object, ...], Fit]]] = []
    for variant in variants(bands):
        tell(variant.name)
        other = _set_up(boat, variant)
        after = list(standing(review(other, only=checks, today=today, held=True)))
        _gather(came, without(after, before), variant)
        _gather(went, without(before, after), variant)
        plays.append((variant, fits(other)))

    def order(fit: Fit) -> tuple[object, ...]:
        return [frame.number for frame in boat.frames].index(fit.frame), fit.kind, [s.name for s in fit.subjects]

    rooms = [
        _room(key, fit, plays, boat, {band.stock: _planned(boat, band.stock) for band in bands})
        for key, fit in planned.items()
        if fit.check in checks
    ]
    rooms.sort(key=lambda room: (round(room.least - room.fit.least, 4), *order(room.fit)))
    return Tolerance(
        bands=bands,
        kept=kept,
        worn=WORN if boat.cutter_diameter > 0.0 else (),
        set_out=SET_OUT,
        came=tuple(_told(came)),
        went=tuple(_told(went)),
        notes=(*(_worn(room) for room in rooms if room.fails == "cutter"), *set_out_notes(boat, checks)),
        rooms=tuple(rooms),
    )


def readings_of(boat: Assembly) -> int:
    """How often `progress` will be told that the boat is read."""
    return 1 + len(variants(_bands(boat)[0]))


def _bands(boat: Assembly) -> tuple[tuple[Band, ...], dict[str, str]]:
    """The stocks to vary, by name, and the others that parts are of, each with why it stays."""
    if boat.plan is None or boat.edited is None:
        return (), {}
    parts = Counter(part.stock for part in boat.parts())
    bands: list[Band] = []
    kept: dict[str, str] = {}
    for name, _ in sorted(parts.items(), key=lambda each: (-each[1], each[0])):
        stock = boat.plan.stock[name]
        low, high = stock.sold_under.band(stock.thickness)
        if stock.measured is not None:
            kept[name] = "measured"
        elif stock.is_sawn(name):
            kept[name] = "sawn, of no standard"
        elif max(high - stock.thickness, stock.thickness - low) > MEASURED_REACH * stock.thickness:
            kept[name] = "thinner than standards have it"
        elif len(bands) == MOST_STOCKS:
            kept[name] = f"one of more than {MOST_STOCKS}"
        else:
            bands.append(Band(stock=name, standard=stock.sold_under.name, low=low, high=high))
    return tuple(sorted(bands, key=lambda band: band.stock)), kept


def variants(bands: Sequence[Band]) -> list[_Variant]:
    """Each stock at either end of its band, and where there are several all of them at once."""
    ends = [{band.stock: end} for band in bands for end in (band.low, band.high)]
    if len(bands) > 1:
        ends += [{band.stock: band.low for band in bands}, {band.stock: band.high for band in bands}]
    return [_Variant(name=_name(readings), readings=readings) for readings in ends]


def _name(readings: Mapping[str, float]) -> str:
    thick = [f"{stock} {trimmed(end)} mm" for stock, end in readings.items()]
    more = [f"{len(thick) - _LISTED} more stocks so"] if len(thick) > _LISTED else []
    return joined([*thick[:_LISTED], *more])


def _planned(boat: Assembly, stock: str) -> float:
    return boat.plan.stock[stock].real_thickness if boat.plan is not None else 0.0


def _set_up(boat: Assembly, variant: _Variant) -> Assembly:
    """The boat with stock so thick, from its plan and drawings as they were read."""
    if boat.plan is None or boat.edited is None:
        return boat
    keys = boat.plan.keys
    edits = [edit for name, end in variant.readings.items() for edit in keys.set(("stock", name), "measured", end)]
    return boat.edited(edits)


def _gather(
    known: dict[object, tuple[Finding, list[_Variant]]], findings: Iterator[Finding], variant: _Variant
) -> None:
    """Adds that these are found with a variant to what is known of other ones."""
    seen: Counter[object] = Counter()
    for finding in findings:
        seen[about(finding)] += 1
        known.setdefault((about(finding), seen[about(finding)]), (finding, []))[1].append(variant)


def _told(known: Mapping[object, tuple[Finding, list[_Variant]]]) -> Iterator[Finding]:
    """The findings, each saying when: with which one stock, or with which together if none does it alone."""
    for finding, where in sorted(known.values(), key=lambda each: each[0].level.rank):
        alone = [variant for variant in where if len(variant.readings) == 1] or where
        when = joined([f"at {variant.name}" for variant in alone], " or ")
        said = Sentence.of("{when}: {said}", when=str(when), said=finding.message)
        yield replace(finding, message=said, edits=(), because=None)


def _room(
    key: tuple[object, ...],
    fit: Fit,
    plays: Sequence[tuple[_Variant, Mapping[tuple[object, ...], Fit]]],
    boat: Assembly,
    planned: Mapping[str, float],
) -> Room:
    found = [(fit, ""), *((others[key], variant.name) for variant, others in plays if key in others)]
    worst, when = min(found, key=lambda each: (round(each[0].play, 4), bool(each[1]), len(each[1])))
    crossed = [
        (stock, nominal + (end - nominal) * (fit.play - fit.least) / (fit.play - others[key].play))
        for variant, others in plays
        if len(variant.readings) == 1 and key in others and fit.play >= fit.least > others[key].play
        for stock, end in variant.readings.items()
        for nominal in [planned[stock]]
    ]
    cuts = worst.cut > 0.0 and boat.cutter_diameter > 0.0
    return Room(
        fit=worst,
        planned=fit.play,
        worst=worst.play,
        when=when,
        worn=tuple(worst.play - each * worst.cut for each in WORN) if cuts else (),
        from_=min(crossed, key=lambda each: abs(each[1] - planned[each[0]]), default=None),
    )


def _worn(room: Room) -> Finding:
    """The note on a fit that is too tight with a worn cutter, and not with a true one."""
    fit = room.fit
    wear, play = next((wear, play) for wear, play in zip(WORN, room.worn, strict=True) if falls_short(play, fit.least))
    first, second = (Name(each.name) for each in fit.subjects)
    return Finding(
        check=fit.check,
        level=Level.NOTE,
        message=Sentence.of(
            "{at}with the cutter {wear} smaller than the plan says: {meets}, {most} is allowed",
            at=f"at {room.when} and " if room.when else "",
            wear=Quantity.of(wear, f"{trimmed(wear)} mm"),
            meets=Sentence.of(
                "the {batten} bites {depth} into {part}", batten=first, depth=mm(-play, -fit.least), part=second
            )
            if fit.kind == "notch"
            else Sentence.of(
                "{first} and {second} overlap by {depth}", first=first, second=second, depth=mm(-play, -fit.least)
            ),
            most=mm(-fit.least, -play),
        ),
        frame=fit.frame,
        at=fit.at,
        cure="measure what the cutter cuts, and let the machine go by that",
        source=fit.source,
        subjects=fit.subjects,
        measure=Measure(value=-play, limit=-fit.least),
    )
