"""Faults of sides, labels, outlines, screws, dowels and of the plan; with those of fit in `FAULTS`."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from . import faults_of_battens, faults_of_fit, faults_of_sheets
from .frames import Frame
from .planting import FAULTS, MEMBERS, SIZES, Case, Planted, V, Y, fault, planted
from .shapes import Corner, Piece
from .sheet import SCREW, name_of

CLEAT = 0.05  # mm before the gusset's end

__all__ = ["FAULTS", "SIZES", "faults_of_battens", "faults_of_fit", "faults_of_sheets", "planted"]

# ---- both sides, labels, outlines


@fault()
def sides_unlike(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None or case.style.half:
        return None
    gusset = frame.piece("chine gusset", 1)
    gusset.move(lambda c: c.mark == "arm", (-0.1 * case.times, 0.0))
    return case.told("mirror", where=[frame])


@fault(sized=False)
def labels_exchanged(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None or case.style.half:
        return None
    what = case.pick.choice([p.what for p in frame.pieces if p.hand == 1])
    one, other = frame.piece(what, 1), frame.piece(what, -1)
    one.says, other.says = name_of(case.style, frame, other), name_of(case.style, frame, one)
    return case.told("label", where=[frame])


@fault(sized=False)
def label_of_another_frame(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or case.style.labels not in ("number", "behind", "letter", "marks"):
        return None
    piece = case.pick.choice(frame.pieces)
    piece.says = name_of(case.style, case.frames[frame.index + 1], piece)
    return case.told("label", where=[frame])


@fault()
def outline_open(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or case.style.loose or case.style.blocks or case.style.half:
        return None
    case.pick.choice(frame.pieces).open = 0.01 * case.times
    return case.told("outline", where=[frame])


# ---- screws


def _screwed(case: Case) -> Frame | None:
    frame = case.frame(*MEMBERS)
    return frame if frame is not None and frame.screws else None


@fault()
def screw_near_the_edge(case: Case) -> Planted | None:
    frame = _screwed(case)
    if frame is None:
        return None
    arm = frame.piece("chine gusset", 1).marked("arm")[0].y
    for screw in [s for s in frame.screws if s.face == "forward"][:4]:  # those of the floor, two to a side
        slope = (screw.at[1] - case.lines.heights["low"] - case.style.shy) * np.tan(case.lines.flare)
        y = arm + slope + 2.5 * SCREW[0] / case.times / np.cos(case.lines.flare)
        screw.at = (float(np.sign(screw.at[0]) * y), screw.at[1])
    return case.told("screw-edge", where=[frame])


@fault()
def screws_meet(case: Case) -> Planted | None:
    frame = _screwed(case)
    if frame is None or case.style.sawn:
        return None
    forward, aft = ([s for s in frame.screws if s.face == face][:2] for face in ("forward", "aft"))
    for one, other in zip(forward, aft, strict=True):
        other.at = (one.at[0], one.at[1] + 2.5 * SCREW[0] / case.times)
    return case.told("screw-foul", where=[frame])


@fault()
def screw_too_long(case: Case) -> Planted | None:
    if not any(frame.screws for frame in case.frames):
        return None
    longer = case.style.core + 18 - 1.0 / case.times
    changes = {'length = "3/4 in"': f'length = "{longer:.6f} mm"'}
    return case.told("screw-bite", where=case.frames, style=replace(case.style, changes=changes))


@fault(sized=False)
def screw_gone(case: Case) -> Planted | None:
    frame = _screwed(case)
    if frame is None:
        return None
    frame.screws.remove(next(s for s in frame.screws if s.face == "aft"))
    return case.told("screw-count", where=[frame])


@fault()
def cleat_beside_screws(case: Case) -> Planted | None:
    """A cleat 45 mm high before the arm of the gusset, and its screws moved to where a driver wants 6 mm each way."""
    frame = _screwed(case)
    if frame is None or case.style.half or case.style.doubler or case.style.legs or case.style.more:
        return None
    plate = frame.piece("chine gusset", 1).marked("arm")
    low, high = sorted(c.v for c in plate)
    off = 6.0 / case.times
    for screw in [s for s in frame.screws if s.face == "forward"][:4]:
        share = (screw.at[1] - low) / (high - low)
        edge = np.interp(share, [0, 1], [c.y for c in sorted(plate, key=lambda c: c.v)])
        screw.at = (float(np.sign(screw.at[0]) * (edge - CLEAT + off)), screw.at[1])
    y = [c.y - CLEAT for c in sorted(plate, key=lambda c: c.v)]
    corners = [Corner(y[0] - 30, low), Corner(y[0], low), Corner(y[1], high), Corner(y[1] - 30, high)]
    cleat = Piece(what="cleat", kind="cleat", hand=1, corners=corners, at=(y[0] - 20, (low + high) / 2), relieved=False)
    frame.pieces += [cleat, cleat.mirrored()]
    return case.told("driver", where=[frame], follows=("screw-edge", "screw-bite"))


# ---- dowels


def _dowel(case: Case, number: int, way: np.ndarray, by: float, check: str) -> Planted | None:
    frame = next((f for f in case.frames[1:-1] if f.dowels), None)
    if frame is None:
        return None
    for place, side in ((2 * number, 1), (2 * number + 1, -1)):
        y, v = frame.dowels[place]
        frame.dowels[place] = (float(y + side * way[0] * by), float(v + way[1] * by))
    return case.told(check, where=[frame], follows=("board",))


@fault()
def dowel_off(case: Case) -> Planted | None:
    return _dowel(case, 7, -case.lines.out, 0.3 * case.times, "dowel")


@fault()
def dowel_in_the_wood(case: Case) -> Planted | None:
    return _dowel(case, 7, case.lines.out, 0.1 * case.times, "dowel")


@fault()
def dowel_holes_close(case: Case) -> Planted | None:
    spoilt = _dowel(case, 1, Y, 10 + 10 / case.times, "board")
    return None if spoilt is None else replace(spoilt, where=frozenset(f.number for f in case.frames))


@fault()
def dowel_under_the_floor_off(case: Case) -> Planted | None:
    return _dowel(case, 1, -V, 0.3 * case.times, "dowel")


@fault()
def dowel_over_the_floor_in_the_wood(case: Case) -> Planted | None:
    return _dowel(case, 2, -V, 0.1 * case.times, "dowel")


@fault()
def dowel_holes_of_two_frames_close(case: Case) -> Planted | None:
    """A dowel set along a side's outer edge: where the same of a like frame is, the two share no hole any more."""
    spoilt = _dowel(case, 5, -case.lines.up, 10 + 10 / case.times, "board")
    return None if spoilt is None else replace(spoilt, where=frozenset(f.number for f in case.frames))


@fault(sized=False)
def dowels_gone(case: Case) -> Planted | None:
    frame = next((f for f in case.frames[1:-1] if f.dowels), None)
    if frame is None:
        return None
    del frame.dowels[10:14]
    return case.told("dowel-hold", where=[frame])


# ---- the plan


@fault(sized=False)
def stations_alike(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or case.frames[frame.index + 1].rake:
        return None
    frame.station = case.frames[frame.index + 1].station
    return case.told("station", where=case.frames)


@fault(sized=False)
def cutter_large(case: Case) -> Planted | None:
    style = replace(case.style, radius=case.style.cutter / 2, cutter=40.0)
    return case.told("corner", where=case.frames, style=style)
