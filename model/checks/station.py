"""Check `station`: frames in one place, off the strongback, out of order, or off their origin."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Line, Place, Span
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.tolerances import SLIVER, exceeds
from scrieve.shared.wording import at_least, mm

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, rail, subjects
from ..boat.frame import Frame
from ..boat.strongback import Strongback
from ..relations.legs.feet import legs_or_feet
from ..relations.one_place import in_one_place
from .check import Check, Page
from .outline import defects_as_findings

Floats = NDArray[np.float64]


def check(assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with where the frames stand along the boat."""
    yield from defects_as_findings(assembly, "station")
    yield from _in_one_place(assembly)
    yield from _out_of_order(assembly.frames)
    if assembly.strongback is not None:
        yield from _off_the_strongback(assembly, assembly.strongback)
    yield from _legs_and_rails(assembly)


def _in_one_place(assembly: Assembly) -> Iterator[Finding]:
    """A finding for every two frames whose cores lie in one another's thickness."""
    for shared in in_one_place(assembly):
        first, second, depth, by = shared.first, shared.second, shared.depth, at_least(shared.depth)
        apart = depth < min(first.core_thickness, second.core_thickness) - SLIVER
        yield Finding(
            check="station",
            level=Level.ERROR,
            message=Sentence.of(
                "{first} and {second} stand in one place: their cores share {depth} of the boat's length",
                first=first,
                second=second,
                depth=mm(depth),
            ),
            frame=second.number,
            at=shared.at,
            cure=Sentence.of(
                "move {second} forward, or {first} aft, by {by} or more", second=second, first=first, by=by
            )
            if apart
            else Sentence.of("give {second} and {first} a station each", second=second, first=first),
            edits=assembly.keys.set(second.source, "station", second.placement.station + by.value) if apart else (),
            source=second.source,
            subjects=subjects(second, first),
            measure=Measure(value=depth, limit=0.0),
            evidence=(_along(shared.middle, depth),),
        )


def _along(at: Place, length: float) -> Span:
    """A length of the boat about a place."""
    x, y, z = at
    return Span(start=(x - length / 2, y, z), end=(x + length / 2, y, z))


def _off_the_strongback(assembly: Assembly, strongback: Strongback) -> Iterator[Finding]:
    for frame in assembly.frames:
        station = frame.placement.station
        off = max(strongback.start - station, station - strongback.end)
        if not exceeds(off, 0.0):
            continue
        aft, by = station < strongback.start, at_least(off)
        end, way = ("aft", "forward") if aft else ("forward", "aft")
        x = strongback.start if aft else strongback.end
        y = strongback.inside_width / 2 + strongback.width
        yield Finding(
            check="station",
            level=Level.ERROR,
            message=Sentence.of(
                "{frame} stands {off} past the {end} end of the strongback", frame=frame, off=mm(off, 0.0), end=end
            ),
            frame=frame.number,
            at=frame.placement.point(0.0, 0.0),
            cure=Sentence.of(
                "make the strongback {by} longer at its {end} end, or move the frame as much {way}",
                by=by,
                end=end,
                way=way,
            ),
            edits=assembly.keys.set(("strongback",), "from" if aft else "to", x - by.value if aft else x + by.value),
            source=frame.source,
            subjects=subjects(frame, rail("port"), rail("starboard")),
            measure=Measure(value=off, limit=0.0),
            evidence=(
                Span(start=(x, y, 0.0), end=(station, y, 0.0)),
                *(Line(points=((each, -y, 0.0), (each, y, 0.0))) for each in (x, station)),
            ),
        )


def _out_of_order(frames: Sequence[Frame]) -> Iterator[Finding]:
    """A warning for each frame whose number breaks the run of the others; numbers that are words are left out."""
    numbered = [(int(frame.number), frame) for frame in frames if frame.number.isascii() and frame.number.isdigit()]
    numbers = [number for number, _ in numbered]
    growing, falling = _longest_run(numbers), _longest_run([-number for number in numbers])
    in_order = set(growing if len(growing) >= len(falling) else falling)
    for index, (_, frame) in enumerate(numbered):
        if index in in_order:
            continue
        station = frame.placement.station
        _, _, _, top = shapely.total_bounds([part.shape for part in frame.core]) if frame.core else (0.0, 0.0, 0.0, 1.0)
        yield Finding(
            check="station",
            level=Level.WARNING,
            message=Sentence.of(
                "{frame} at station {station} is out of order: numbers grow going {way}",
                frame=frame,
                station=Quantity.of(station, f"{station:g}"),
                way="forward" if len(growing) >= len(falling) else "aft",
            ),
            frame=frame.number,
            at=frame.placement.point(0.0, 0.0),
            cure=Sentence.of(
                "compare the station of {frame} with the table of stations, or number the frames anew", frame=frame
            ),
            source=frame.source,
            subjects=subjects(frame),
            evidence=(Marker(frame=frame).line([(0.0, 0.0), (0.0, top)]),),
        )


def _longest_run(numbers: Sequence[int]) -> list[int]:
    """The places of the longest growing run in `numbers`, the first such."""
    best: list[list[int]] = []
    for index, number in enumerate(numbers):
        before = max((run for run in best if numbers[run[-1]] < number), key=len, default=[])
        best.append([*before, index])
    return max(best, key=len, default=[])


def _legs_and_rails(assembly: Assembly) -> Iterator[Finding]:
    """A note where there are legs and no strongback, or a strongback and no legs."""
    with_legs = any(legs_or_feet(assembly).values()) or any(frame.midship_plies for frame in assembly.frames)
    if with_legs == (assembly.strongback is not None):
        return
    yield Finding(
        check="station",
        level=Level.NOTE,
        message=(
            "the frames have legs but the plan has no strongback: how the legs stand was not checked"
            if with_legs
            else "the plan has a strongback but no frame has legs: how the frames stand was not checked"
        ),
        cure=(
            "add [strongback] to the plan, with inside_width, rail, from and to"
            if with_legs
            else 'draw the legs on a layer with role = "leg", or take [strongback] out of the plan'
        ),
        source=assembly.source,
    )


CHECK = Check(
    slug="station",
    title="Frames in one place, off the strongback or out of order",
    level=Level.ERROR,
    limits=(),
    tells_first=True,
    sees_all=True,
    page=Page(
        looks_at=(
            "Where the frames stand along the boat. No two cores may lie in one another's thickness at any height "
            "they share, rake included; what else is found of both follows from that. Every station has to lie on "
            "the strongback. Frames whose numbers are whole numbers should be numbered in the order they stand, from "
            "either end; names such as T are left out. Where a drawing has reference lines, the plan's origin has to "
            "lie on them. A boat with legs and no strongback, or the other way about, gets a note, since the checks of "
            "the legs then say nothing."
        ),
        matters=(
            "A wrong digit in a station puts a frame half a metre away and every batten is then bent through it. It "
            "shows on the strongback, when the frames either side are already glued down; and an origin that is off "
            "shifts every part of a frame without anything in that frame looking wrong."
        ),
        limit=(
            "No limit to set: frames may touch but not share thickness, and stand on the strongback or not. Common "
            "practice, no source."
        ),
        cure=(
            "Compare the station that is named with the table of stations, and which face of the core stands on it. "
            "For an origin that is off, give the plan the place where centreline and datum line cross in that drawing."
        ),
    ),
    on_boat=check,
)
