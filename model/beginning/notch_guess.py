"""Battens whose sections are not drawn, from the notches: by their sizes from frame to frame, and by their place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor

import numpy as np
import shapely

from scrieve.shared.findings import Source

from ..boat.frame import Frame
from ..boat.part import Part
from ..geometry.outline import Outline
from ..geometry.placement import Placement
from ..proposals.battens.found_notch import slots_of
from .layer_evidence import FrameOutlines
from .measures import BattenGuess

_LEAST, _WIDEST = 6.0, 120.0  # mm, of a batten's sides; common practice, no source
_OUTSIDE = 6.0  # mm from the line round the frame; a notch opens there, an inside corner of the frame does not
_FILLED = 0.1  # share of a notch that holds wood at most
_AS_HIGH = 0.25  # share of a frame's height by which a batten rises from frame to frame at most
_ALIKE = 8.0  # mm; a notch is cut wider where its batten passes askew
_ON_LINE = 1.5  # mm
_MOST = 0.6  # share of the frames that a batten runs through
_AT_TOP = 0.85  # of a frame's height, from where on a batten is the sheer
_STEP = 0.5  # mm; notches have some play


@dataclass(frozen=True, kw_only=True)
class _NotchSeen:
    frame: str
    side: str
    long: float
    short: float
    height: float


def notched_battens(frames: Sequence[FrameOutlines], cores: Sequence[str], cutter: float | None) -> list[BattenGuess]:
    """The battens that notches in most frames show, named by their place: keel, chines, sheer."""
    notches = [notch for outlines in frames for notch in _notches(outlines, cores, cutter or 0.0)]
    rows: list[tuple[float, str, list[_NotchSeen]]] = []
    while notches:
        best = max((_like(notch, notches) for notch in notches), key=lambda row: len({each.frame for each in row}))
        if len({each.frame for each in best}) < max(2, _MOST * len(frames)):
            break
        rows.append((float(np.mean([each.height for each in best])), best[0].side, best))
        notches = [notch for notch in notches if notch not in best]
    out = []
    for name, row in _named(sorted(rows, key=lambda row: row[0])):
        section = tuple(floor(min(sizes) / _STEP) * _STEP for sizes in ([n.long for n in row], [n.short for n in row]))
        many = len({each.frame for each in row})
        why = f"notches of {min(n.long for n in row):.1f} x {min(n.short for n in row):.1f} mm in {many} frames"
        side = "centre" if row[0].side == "centre" else "both"
        out.append(BattenGuess(name=name, section=(section[0], section[1]), sides=side, because=why, drawn=False))
    return sorted(out, key=lambda batten: batten.name)


def _like(one: _NotchSeen, notches: Sequence[_NotchSeen]) -> list[_NotchSeen]:
    """The notches that may be of the batten that one is of: alike in size and place, the nearest in each frame."""
    found: dict[tuple[str, str], _NotchSeen] = {}
    for each in notches:
        alike = abs(each.long - one.long) <= _ALIKE and abs(each.short - one.short) <= _ALIKE
        if alike and abs(each.height - one.height) <= _AS_HIGH and (each.side == "centre") == (one.side == "centre"):
            key = (each.frame, each.side)
            if key not in found or abs(each.height - one.height) < abs(found[key].height - one.height):
                found[key] = each
    return list(found.values())


def _named(rows: Sequence[tuple[float, str, list[_NotchSeen]]]) -> Iterator[tuple[str, list[_NotchSeen]]]:
    """The rows, from below, with the words of the trade for battens in their places."""
    centre = [row for _, side, row in rows if side == "centre"]
    beside = [(height, row) for height, side, row in rows if side != "centre"]
    yield from zip(["keel", *(f"batten-{n}" for n in range(2, 99))], centre, strict=False)
    if beside and beside[-1][0] >= _AT_TOP:
        yield "sheer", beside.pop()[1]
    names = {1: ["chine"], 2: ["lower chine", "upper chine"]}.get(len(beside), [f"chine-{n}" for n in range(1, 99)])
    yield from zip(names, (row for _, row in beside), strict=False)


def _notches(outlines: FrameOutlines, cores: Sequence[str], cutter: float) -> Iterator[_NotchSeen]:
    """The notches in the outer line of a frame's core; heights as a share of its own."""
    frame = _frame(outlines, cores)
    if not frame.parts:
        return
    wood = outlines.wood(cores)
    around = shapely.convex_hull(wood)
    _, low, _, high = around.bounds
    half = outlines.frame.found.half
    for slot in slots_of(frame, cutter):
        if not np.isnan(slot.walls).any():
            continue
        corners = (
            np.array([[slot.ends[0, i], slot.ends[1, j]] for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))]) @ slot.axes
        )
        y, v = slot.middle
        sizes = slot.size.copy()
        across = int(np.argmax(np.abs(slot.axes[:, 0])))
        if half and np.abs(corners[:, 0]).min() <= _ON_LINE:
            sizes[across], y = 2 * sizes[across], 0.0
        long, short = sorted(sizes.tolist(), reverse=True)
        room = shapely.Polygon(corners)
        if short < _LEAST or long > _WIDEST or room.distance(around.boundary) > _OUTSIDE:
            continue
        if room.intersection(wood).area > _FILLED * room.area:  # another part's end lies in it
            continue
        side = "centre" if abs(y) <= _ON_LINE else "left" if y < 0 else "right"
        yield _NotchSeen(
            frame=outlines.frame.number, side=side, long=long, short=short, height=float((v - low) / (high - low))
        )


def _frame(outlines: FrameOutlines, cores: Sequence[str]) -> Frame:
    """The frame's core alone, as the search for notches wants it; y runs as the drawing does."""
    found, parts = outlines.frame.found, []
    for n, (place, layer) in enumerate(zip(outlines.places.tolist(), outlines.layers, strict=True)):
        if layer in cores:
            drawn = found.content.outlines[place]
            parts.append(
                Part(
                    name=f"{n}",
                    label=f"{n}",
                    frame=outlines.frame.number,
                    role="core",
                    face="core",
                    stock="",
                    density=0.0,
                    drawn=Outline(points=drawn.points - np.array(found.origin), bulges=drawn.bulges),
                    shape=outlines.regions[n],
                    low=0.0,
                    high=1.0,
                    source=Source(file=outlines.frame.drawing),
                )
            )
    return Frame(
        number=outlines.frame.number,
        kind="open",
        placement=Placement(station=0.0),
        core_low=0.0,
        core_high=1.0,
        parts=tuple(parts),
        source=Source(file=outlines.frame.drawing),
    )
