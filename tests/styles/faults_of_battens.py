"""Faults in how battens run: off the fair curve, bent too tightly, shut in."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from .frames import Frame
from .hull import BATTENS, DEEP
from .planting import MEMBERS, Case, Planted, fault

JUDGED = 7  # frames from which on a curve is told from a bump
OF_NOTCHES = ("notch-foul", "notch-slack", "notch-missing", "dowel", "dowel-hold", "bend", "corner")


def _put_off(case: Case, by: float) -> Planted | None:
    """The sections and notches of the chine in one frame moved up the side."""
    frame = case.frame()
    style = case.style
    if frame is None or style.sawn or style.transoms or style.dowels or style.relief == "tbone":
        return None
    for piece in frame.pieces:
        for side in (1, -1):
            step = case.lines.up * (side, 1) * by
            piece.move(lambda c, side=side: c.mark.startswith("chine") and c.y * side > 0, tuple(map(float, step)))
    frame.sections = [
        (name, [tuple(map(float, np.add(at, case.lines.up * (np.sign(at[0]), 1) * by))) for at in corners])
        if name == "chine"
        else (name, corners)
        for name, corners in frame.sections
    ]
    return case.told("fair", where=[frame], follows=OF_NOTCHES)


@fault()
def batten_off_fair(case: Case) -> Planted | None:
    return _put_off(case, 3.0 * case.times) if case.style.frames >= JUDGED and case.style.sections else None


@fault(sized=False)
def batten_off_by_a_bump(case: Case) -> Planted | None:
    return _put_off(case, case.pick.choice((30.0, 40.0))) if case.style.frames < JUDGED else None


@fault()
def stock_too_stiff(case: Case) -> Planted | None:
    """The plan says of the chine that it takes less than it is bent, by the curvature of its own spline."""
    style = case.style
    if style.flare or style.transoms or style.changes:
        return None
    x, short = np.array(case.lines.stations), BATTENS["chine"][1]
    curve = case.lines._curves["chine"]
    slope, bend = curve(x, 1)[:, 0], curve(x, 2)[:, 0]
    ratio = float(np.min((1 + slope**2) ** 1.5 / np.abs(bend).clip(1e-12))) / short
    own = "[battens.chine]"
    spoilt = replace(style, changes={own: f"{own}\nbend = {ratio * case.times:.3f}"})
    return case.told("bend", where=case.frames, style=spoilt)


@fault(sized=False)
def stringer_in_closed_holes(case: Case) -> Planted | None:
    style, inner = case.style, case.frames[1:-1]
    if not style.sections or style.half or style.more or any(frame.kind not in MEMBERS for frame in inner):
        return None
    v, y = case.lines.heights["low"] + DEEP / 2, 300.0
    if y + 25 > inner_edge(case, case.frames[0]):
        return None
    for frame in inner:
        floor = frame.piece("floor")
        for side in (1, -1):
            at = side * y
            floor.holes.append(_rounded(at, v, 15.2, 10.2))
            corners = [(at + a * 15, v + b * 10) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
            frame.sections.append(("stringer", corners))
    long, short = ('"30 mm"', '"20 mm"')
    more = f'[battens.stringer]\nsection = [{long}, {short}]\narris = "5 mm"\nsides = "both"\n'
    return case.told("way-in", where=case.frames, style=replace(style, more=more), follows=("corner",))


def inner_edge(case: Case, frame: Frame) -> float:
    """How far abeam a frame's gussets begin."""
    lines = case.lines
    return lines.outer(frame.index, lines.heights["low"]) - lines.wide - lines.reach


class _Quarter(NamedTuple):
    a: int
    b: int
    upright: bool


def _rounded(y: float, v: float, wide: float, high: float, radius: float = 5.0) -> list[tuple[float, float, float]]:
    """A hole about a place, half as wide and high, its corners rounded."""
    out = []
    for a, b, upright in (_Quarter(1, -1, False), _Quarter(1, 1, True), _Quarter(-1, 1, False), _Quarter(-1, -1, True)):
        corner = (y + a * wide, v + b * high)
        level, plumb = (corner[0] - a * radius, corner[1]), (corner[0], corner[1] - b * radius)
        start, end = (plumb, level) if upright else (level, plumb)
        out += [(*start, float(np.tan(np.pi / 8))), (*end, 0.0)]
    return out
