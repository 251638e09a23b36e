"""The limits of the checks: one table with each limit's default, unit and origin.

A plan may set any of them in `[limits]`. Origins that are not a published source say
"common practice, no source".
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf

PRACTICE = "common practice, no source"
NDS = "ANSI/AWC NDS Commentary (1999/2004), Table C12.1.5.7, edge distance and staggered rows of wood screws"
NDS_BITE = "ANSI/AWC NDS-2018, 12.1.5.6, least penetration of a wood screw for a rated load"
BEND = (
    "half the strain at which clear dry wood breaks, MOR / MOE of eastern white pine at 12 %, 59 MPa and 8.5 GPa (USDA "
    "Wood Handbook FPL-GTR-190, Table 5-3a, from memory); the same as FAA AC 43.13-1B, Table 1-2, 90 degrees "
    "to the grain, its thickest row; the other rows go for thinner layers"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit. `unit` is mm, D (screw diameters), T (core thicknesses) or R/t (radius over thickness).

    `most` is what a plan may set it to.
    """

    name: str
    default: float
    unit: str
    what: str
    origin: str = PRACTICE
    most: float = inf


_TABLE = (
    Limit(name="outline", default=0.01, unit="mm", what="an outline left open by more is not closed", most=1.0),
    Limit(name="foul", default=0.1, unit="mm", what="two solids overlap deeper"),
    Limit(name="screw_foul", default=1.0, unit="mm", what="wood left between the shanks of two screws"),
    Limit(name="screw_foul_warning", default=2.5, unit="D", what="two screw axes are closer", origin=NDS),
    Limit(name="screw_bite", default=1.0, unit="mm", what="wood left beyond a screw's tip"),
    Limit(name="screw_penetration", default=6.0, unit="D", what="a screw holds less", origin=NDS_BITE),
    Limit(name="screw_edge", default=1.0, unit="D", what="a screw's axis is closer to an edge"),
    Limit(name="screw_edge_warning", default=2.5, unit="D", what="the same, as a warning", origin=NDS),
    Limit(name="screw_count", default=2, unit="", what="fewer screws in a member on a face"),
    Limit(name="driver_length", default=120, unit="mm", what="clear length in line with a screw"),
    Limit(name="driver_width", default=12, unit="mm", what="clear width around a screw's line"),
    Limit(name="notch_foul", default=0.2, unit="mm", what="a batten bites deeper into a ply"),
    Limit(name="notch_slack", default=1.0, unit="mm", what="a batten stands further off its notch's wall"),
    Limit(name="joint_gap", default=0.5, unit="mm", what="core parts that butt stand apart, or overlap"),
    Limit(name="gusset_lap", default=4.0, unit="T", what="a gusset reaches less past its joint"),
    Limit(name="proud", default=0.3, unit="mm", what="a part stands past the frame's outer line"),
    Limit(name="leg_bottom", default=0.5, unit="mm", what="a leg's bearing edge is off the datum plane"),
    Limit(name="leg_side", default=0.5, unit="mm", what="a leg's locating edge is off the rail's inner face"),
    Limit(name="leg_pair", default=0.3, unit="mm", what="legs differ from mirror images, or plies from flush"),
    Limit(name="dowel_foul", default=0.1, unit="mm", what="a dowel overlaps a part"),
    Limit(name="dowel_gap", default=0.3, unit="mm", what="a dowel stands off every part"),
    Limit(name="board_web", default=1.0, unit="D", what="wood left between dowel holes, in dowel diameters"),
    Limit(name="mirror", default=0.1, unit="mm", what="port and starboard differ"),
    Limit(name="fair", default=3.0, unit="mm", what="a batten is off the fair curve"),
    Limit(name="bend", default=144, unit="R/t", what="a batten 9.5 mm thick or more is bent tighter", origin=BEND),
    Limit(name="cut_sheet", default=0.05, unit="mm", what="a part differs from its shape on the sheet"),
)

LIMITS: Mapping[str, Limit] = {limit.name: limit for limit in _TABLE}


class Limits(Mapping[str, float]):
    """The limits in force: the defaults, with what the plan sets in their place. Hashable, never changes."""

    __slots__ = ("_values",)

    def __init__(self, changed: Mapping[str, float] | None = None) -> None:
        changed = changed or {}
        unknown = sorted(set(changed) - set(LIMITS))
        if unknown:
            raise KeyError(f"no such limit: {', '.join(unknown)}")
        self._values = {name: float(changed.get(name, limit.default)) for name, limit in LIMITS.items()}

    def __getitem__(self, name: str) -> float:
        return self._values[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __hash__(self) -> int:
        return hash(tuple(self._values.items()))
