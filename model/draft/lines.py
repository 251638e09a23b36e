"""The lines file: a table of offsets and what is to be made of it, typed, lengths in mm."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, ValidationInfo

from scrieve.shared.units import LONGEST, feet_inches_eighths, in_mm, length

from ..plan.plan_place import lines_file
from ..plan.plan_tables import (
    STEEPEST,
    BattenSpec,
    Build,
    Cutter,
    Dowels,
    ScrewSpec,
    Seen,
    Stock,
    StrongbackSpec,
    Units,
    is_frame_number,
)
from ..plan.toml_fields import (
    Length,
    LengthFromZero,
    Name,
    Named,
    PositiveLength,
    Table,
    named_in,
    number_kind,
    reading,
    tables,
    wrong,
)
from ..plan.toml_places import TomlPlaces
from ..plan.toml_reader import read_toml

EIGHTHS = "feet-inches-eighths"
FEWEST_STATIONS = 4
MOST_STATIONS = 500

Kind = Literal["ring", "open", "transom", "bulkhead"]


def _offset(value: object, info: ValidationInfo) -> float:
    """One entry of the table in the table's own units, mm."""
    content = reading(info).content
    table = content.get("offsets")
    units = table.get("units") if isinstance(table, dict) else None
    if units == EIGHTHS:
        if not isinstance(value, str):
            raise wrong('feet-inches-eighths in quotes, such as "4-7-3", are wanted')
        try:
            return feet_inches_eighths(value)
        except ValueError as problem:
            raise wrong(str(problem)) from None
    if isinstance(value, str):
        try:
            mm = length(value)
        except ValueError as problem:
            raise wrong(str(problem)) from None
    elif isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise wrong("a length is wanted")
    else:
        known = units if units in ("mm", "cm", "m", "in", "ft") else reading(info).units
        mm = in_mm(value, str(known))
    if abs(mm) > LONGEST:
        raise wrong("a length of at most 1 km is wanted")
    return mm


def _array(value: object) -> object:
    if not isinstance(value, list):
        raise wrong("lengths, one a station, are wanted, in brackets")
    return tuple(value)


def _one_a_station(value: tuple[float, ...], info: ValidationInfo) -> tuple[float, ...]:
    table = reading(info).content.get("offsets")
    stations = table.get("stations") if isinstance(table, dict) else None
    if isinstance(stations, list) and len(value) != len(stations):
        raise wrong(f"one length a station, {len(stations)} in all, is wanted, not {len(value)}")
    return value


def _half_breadths(value: tuple[float, ...]) -> tuple[float, ...]:
    below = [mm for mm in value if mm < 0]
    if below:
        raise wrong(f"half-breadths of 0 or more are wanted, not {below[0]:g} mm")
    return value


def _stations(value: tuple[float, ...]) -> tuple[float, ...]:
    if not FEWEST_STATIONS <= len(value) <= MOST_STATIONS:
        raise wrong(f"from {FEWEST_STATIONS} to {MOST_STATIONS} stations are wanted, not {len(value)}")
    for before, after in pairwise(value):
        if after <= before:
            raise wrong(f"stations that grow are wanted: {after:g} mm comes after {before:g} mm")
    return value


Offset = Annotated[float, BeforeValidator(_offset)]
Column = Annotated[tuple[Offset, ...], BeforeValidator(_array), AfterValidator(_one_a_station)]
HalfBreadths = Annotated[Column, AfterValidator(_half_breadths)]
Depth = PositiveLength


class BoatHeading(Table):
    """`[boat]`: what goes to the head of the plan."""

    name: Name
    units: Units
    seen: Seen = "from aft"
    build: Build = "upright"


class Edge(Table):
    """A longitudinal corner of the hull: half-breadths and heights, one a station, mm."""

    half_breadth: HalfBreadths
    height: Column


class Offsets(Table):
    """`[offsets]`: the table, mm. Heights are above the table's own zero, which lies `base` above the datum plane.

    For an inverted build the hull hangs under the datum plane, and `base` is negative. `camber` is how
    much a deck of the greatest breadth rises in the middle; narrower decks are bent to the same radius.
    """

    units: Literal["mm", "cm", "m", "in", "ft", "feet-inches-eighths"]
    base: Length
    stations: Annotated[tuple[Offset, ...], BeforeValidator(_array), AfterValidator(_stations)]
    keel: Column
    chine: Edge
    upper_chine: Edge | None = None
    sheer: Edge
    camber: LengthFromZero = 0.0
    unfair: Literal["refuse", "accept"] = "refuse"


class Framing(Table):
    """`[framing]`: the stock and the depths of the frames' members, mm."""

    core: Annotated[str, named_in("stock")]
    gusset: Annotated[str, named_in("stock")]
    legs: Annotated[str, named_in("stock")]
    floor_depth: Depth
    side_depth: Depth
    beam_depth: Depth
    floor_top: Literal["vee", "level"] = "vee"
    gusset_arm: Depth
    gusset_radius: Depth
    screw_spacing: Depth | None = None


class Legs(Table):
    """`[legs]`: width, how deep the tongue goes beside the rail, how far the outer ply laps the frame, mm."""

    width: Depth
    tongue: Depth
    lap: Depth


class SideBatten(BattenSpec):
    """A batten that lies to port and, mirrored, to starboard."""

    sides: Literal["both"] = "both"


class KeelBatten(BattenSpec):
    """The batten on the centreline."""

    sides: Literal["centre"] = "centre"


def _shares(value: object) -> object:
    if not isinstance(value, list) or not value:
        raise wrong("shares of the way from the keel to the chine are wanted, in brackets")
    return tuple(value)


class FloorBatten(SideBatten):
    """A batten or more on the bottom, `at` shares of the way from the keel to the chine."""

    at: Annotated[
        tuple[Annotated[float, number_kind("a share between 0.1 and 0.9", least=0.1, most=0.9)], ...],
        BeforeValidator(_shares),
    ]


class Battens(Table):
    """`[battens.…]`: those the boat has."""

    keel: KeelBatten | None = None
    floor: FloorBatten | None = None
    chine: SideBatten
    upper_chine: SideBatten | None = None
    sheer: SideBatten


def _number(value: object) -> object:
    if not is_frame_number(value):
        raise wrong('a frame\'s number is wanted, such as "5" or "5A": up to 16 letters, digits and - _ .')
    return str(value)


class FrameLine(Table):
    """`[[frames]]`: a frame wanted, mm. `rake` in degrees, positive: the top leans aft."""

    number: Annotated[str, BeforeValidator(_number)]
    station: Length
    kind: Kind
    rake: Annotated[
        float, number_kind(f"an angle from -{STEEPEST:g} to {STEEPEST:g} degrees", least=-STEEPEST, most=STEEPEST)
    ] = 0.0
    station_at: Literal["aft face", "forward face"] | None = None
    floor_depth: Depth | None = None
    side_depth: Depth | None = None
    beam_depth: Depth | None = None

    @property
    def rake_radians(self) -> float:
        """The rake in radians, as the model takes it."""
        return math.radians(self.rake)


class Screws(Table):
    """`[screws.gusset]`: the screws of all gussets."""

    gusset: ScrewSpec


def _named_once(value: tuple[FrameLine, ...]) -> tuple[FrameLine, ...]:
    seen: set[str] = set()
    for frame in value:
        if frame.number.casefold() in seen:
            raise wrong(f'numbers that differ are wanted: "{frame.number}" is there twice')
        seen.add(frame.number.casefold())
    return value


class LinesFile(Table):
    """`lines.toml` as it stands."""

    boat: BoatHeading
    offsets: Offsets
    cutter: Cutter
    stock: Named[Stock]
    strongback: StrongbackSpec
    dowels: Dowels
    screws: Screws
    battens: Battens
    framing: Framing
    legs: Legs
    frames: Annotated[tuple[FrameLine, ...], tables("[[frames]]", least=2), AfterValidator(_named_once)]


def read_lines(path: Path) -> tuple[LinesFile, TomlPlaces]:
    """The lines file and the places of its keys. Raises PlanError with every mistake and its line."""
    return read_toml(lines_file(path), LinesFile, units_at=("boat", "units"))
