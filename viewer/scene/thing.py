"""What a finding names, as shapes in the plane of its frame."""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import dataclass
from typing import Literal

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Dowel, Screw
from scrieve.model.relations.fouls.passing import RAILS, battens_passing, rail_passage
from scrieve.shared.findings import Finding

Point = tuple[float, float]

ON_RAILS = frozenset({"leg-bottom", "leg-side"})
"""Checks whose findings are about a part and the rail beneath it, which they do not name."""

_ROUND = 24  # segments a quarter turn


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thing:
    """One thing as it lies in a frame's plane: `shape` in (y, v), mm, from `low` to `high` along w.

    `axis` is the middle of what is round. `part` and `screw` are there where it is one.
    """

    name: str
    kind: Literal["part", "screw", "dowel", "batten", "rail"]
    shape: shapely.Geometry
    low: float
    high: float
    axis: Point | None = None
    part: Part | None = None
    screw: Screw | None = None


def frame_of(finding: Finding, assembly: Assembly) -> Frame | None:
    """The frame that a finding belongs to; None for one of the whole boat."""
    return next((frame for frame in assembly.frames if finding.frame and frame.number == finding.frame), None)


def place_in(frame: Frame, finding: Finding) -> tuple[float, float, float]:
    """Where a finding is, in the frame's (y, v, w), mm. It must have a place."""
    assert finding.at is not None
    y, v, w = frame.placement.to_frame([finding.at])[0]
    return float(y), float(v), float(w)


def things_of(finding: Finding, frame: Frame, assembly: Assembly, *, beside: Container[str] = ()) -> tuple[Thing, ...]:
    """What the finding names, as far as it has a shape in the plane of this frame; in the order of the finding.

    For the checks in `beside`, the rails as well.
    """
    by_name: dict[str, Thing] = {}
    plies = [part for part in frame.parts if part.name in finding.parts]
    low = min((part.low for part in plies), default=frame.core_low)
    high = max((part.high for part in plies), default=frame.core_high)
    for thing in (*_in_frame(frame), *_dowels(assembly), *_passing(frame, assembly, low, high)):
        by_name.setdefault(thing.name, thing)
    named = [by_name[name] for name in finding.parts if name in by_name]
    if finding.check in beside:
        named += [thing for thing in by_name.values() if thing.kind == "rail"]
    return tuple(named)


def _in_frame(frame: Frame) -> Iterator[Thing]:
    for part in frame.parts:
        yield Thing(name=part.name, kind="part", shape=part.shape, low=part.low, high=part.high, part=part)
    for screw in frame.screws:
        shank = disc(screw.at, screw.size.diameter)
        yield Thing(
            name=screw.name, kind="screw", shape=shank, low=screw.low, high=screw.high, axis=screw.at, screw=screw
        )


def _dowels(assembly: Assembly) -> Iterator[Thing]:
    """Those of all frames: on the assembly board they share one plane."""
    for frame in assembly.frames:
        for dowel in frame.dowels:
            yield dowel_thing(frame, dowel)


def dowel_thing(frame: Frame, dowel: Dowel) -> Thing:
    """A dowel of this frame, as high as its core."""
    shape = disc(dowel.at, dowel.diameter)
    return Thing(name=dowel.name, kind="dowel", shape=shape, low=frame.core_low, high=frame.core_high, axis=dowel.at)


def _passing(frame: Frame, assembly: Assembly, low: float, high: float) -> Iterator[Thing]:
    for crossing in battens_passing(frame, assembly):
        shape = crossing.passage(low, high)
        yield Thing(name=crossing.batten.name, kind="batten", shape=shape, low=low, high=high)
    if assembly.strongback is not None:
        for side in RAILS:
            rail = rail_passage(assembly.strongback, side, frame.placement, low, high)
            if rail is not None:
                yield Thing(name=f"{side} rail", kind="rail", shape=rail, low=low, high=high)


def disc(at: Point, diameter: float) -> shapely.Polygon:
    """A round thing, mm."""
    return shapely.Point(at).buffer(diameter / 2, quad_segs=_ROUND)


def foot(shape: shapely.Geometry, at: Point) -> Point:
    """The point of a shape's boundary that is nearest to `at`."""
    line = shapely.shortest_line(shape.boundary if shape.geom_type != "LineString" else shape, shapely.Point(at))
    y, v = shapely.get_coordinates(line)[0]
    return float(y), float(v)
