"""Faults that a draughtsman can really make, planted in a sound boat's pieces at so many times a check's limit.

Each is the same to port and to starboard where it can be, so that `mirror` has nothing to say of it.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from .frames import Frame
from .habit import Style
from .hull import BATTENS, CLEAR, RAILS, Lines
from .shapes import Corner, Piece
from .sheet import SCREW, name_of

SIZES = (0.8, 1.25, 3.0, 30.0)


@dataclass(frozen=True, kw_only=True)
class Planted:
    """A boat with a fault: the checks of which one must tell it, and the frames in which.

    What `follows` is told anywhere without being invented.
    """

    style: Style
    frames: list[Frame]
    checks: frozenset[str]
    where: frozenset[str]
    follows: frozenset[str]


@dataclass(frozen=True)
class Case:
    """What a fault is planted in."""

    style: Style
    frames: list[Frame]
    pick: random.Random
    times: float

    @property
    def lines(self) -> Lines:
        return Lines(self.style)

    def frame(self, *kinds: str) -> Frame | None:
        """One between the ends, of these kinds."""
        these = [f for f in self.frames[1:-1] if not kinds or f.kind in kinds]
        return self.pick.choice(these) if these else None

    def told(
        self, *checks: str, where: Iterable[Frame] = (), style: Style | None = None, follows: tuple[str, ...] = ()
    ) -> Planted:
        return Planted(
            style=style or self.style,
            frames=self.frames,
            checks=frozenset(checks),
            where=frozenset(f.number for f in where),
            follows=frozenset(follows),
        )


Plant = Callable[[Case], Planted | None]
FAULTS: dict[str, tuple[Plant, bool]] = {}
"""By name: what plants it, and whether it has a size."""


def fault(*, sized: bool = True) -> Callable[[Plant], Plant]:
    def keep(plant: Plant) -> Plant:
        FAULTS[plant.__name__] = (plant, sized)
        return plant

    return keep


def planted(name: str, style: Style, frames: Sequence[Frame], seed: int, times: float = 1.0) -> Planted | None:
    """The boat with this fault; None where she has nothing that it could be planted in."""
    plant, _ = FAULTS[name]
    return plant(Case(style, deepcopy(list(frames)), random.Random(seed), times))


def _of(frame: Frame, *kinds: str) -> list[Piece]:
    return [p for p in frame.pieces if p.kind in kinds]


def _notched(frame: Frame) -> list[Piece]:
    """The pieces with the notch of the chine."""
    return [p for p in frame.pieces if any(c.mark.startswith("chine") for c in p.corners)]


def _hand(at: Corner, way: np.ndarray, by: float) -> tuple[float, float]:
    return (float(np.sign(at.y) * way[0] * by), float(way[1] * by))


def _shift(pieces: Iterable[Piece], marks: set[str], way: np.ndarray, by: float) -> int:
    """Moves the corners of these marks, a mirror image to either side."""
    count = 0
    for piece in pieces:
        for side in (1, -1):
            step = (float(side * way[0] * by), float(way[1] * by))
            count += piece.move(lambda c, side=side: c.mark in marks and c.y * side > 0, step)
    return count


Y, V = np.array([1.0, 0.0]), np.array([0.0, 1.0])
MEMBERS = ("open", "ring")


# ---- joints


@fault()
def floor_short(case: Case) -> Planted | None:
    return _floor(case, -1.0)


@fault()
def floor_long(case: Case) -> Planted | None:
    return _floor(case, 1.0)


def _floor(case: Case, way: float) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None:
        return None
    by = way * 0.5 * case.times
    if case.style.joint == "standing":
        sides = [p for p in frame.pieces if p.what in ("side", "lower side")]
        _shift(sides, {"joint"}, V, -by)
    else:
        floor = frame.piece("floor")
        line = floor.marked("joint", 1)
        runs = [np.subtract(b.at, a.at) for a, b in pairwise(line)]
        share = max(abs(run[1]) / np.hypot(*run) for run in runs)
        _shift([floor], {"joint"}, Y, by / share)
    return case.told("joint-gap", *(["foul"] if way > 0 else []), where=[frame])


@fault()
def leg_head_short(case: Case) -> Planted | None:
    frame = case.frame()
    inner = _of(frame, "leg inner") if frame else []
    if not inner:
        return None
    down = 1.0 if case.style.inverted else -1.0
    _shift(inner, {"head", "head in"}, V, down * 0.5 * case.times)
    return case.told("joint-gap", "leg-pair", where=[frame])


# ---- legs


@fault()
def leg_off_the_rail(case: Case) -> Planted | None:
    frame, way = case.frame(), case.pick.choice((1, -1))
    plies = _of(frame, "leg inner", "leg outer") if frame else []
    if not plies:
        return None
    _shift(
        plies,
        {"foot in", "foot out", "tongue"} if case.style.legs != "tongue" else {"foot out"},
        V,
        way * 0.5 * case.times,
    )
    if case.style.legs == "tongue":  # its shoulder alone
        foot = min((c for c in plies[0].corners if c.mark == "foot out"), key=lambda c: c.v)
        for ply in plies:
            ply.corners = [
                replace(c, v=foot.v) if c.mark == "foot in" and abs(c.v - foot.v) < 40 else c for c in ply.corners
            ]
    return case.told("leg-bottom", where=[frame])


@fault()
def leg_off_the_face(case: Case) -> Planted | None:
    frame, way = case.frame(), case.pick.choice((1, -1))
    plies = _of(frame, "leg inner", "leg outer") if frame else []
    if not _shift(plies, {"foot in", "head in"}, Y, way * 0.5 * case.times):
        return None
    return case.told("leg-side", where=[frame])


@fault()
def legs_unlike(case: Case) -> Planted | None:
    frame = case.frame()
    plies = [p for p in _of(frame, "leg inner", "leg outer") if p.hand == 1] if frame else []
    if not plies or case.style.half:
        return None
    for ply in plies:
        ply.move(lambda c: c.mark == "foot out", (0.3 * case.times, 0.0))
    return case.told("leg-pair", where=[frame])


@fault(sized=False)
def leg_gone(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or case.style.half or not _of(frame, "leg outer"):
        return None
    frame.pieces = [p for p in frame.pieces if not (p.hand == 1 and p.kind.startswith("leg"))]
    return case.told("leg-pair", where=[frame])


# ---- notches


def _notch(case: Case, marks: set[str], way: np.ndarray, by: float, check: str) -> Planted | None:
    frame = case.frame()
    if frame is None or not case.style.sections:
        return None
    if not _shift(_notched(frame), marks, way, by):
        return None
    return case.told(check, where=[frame])


@fault()
def notch_shallow(case: Case) -> Planted | None:
    by = CLEAR + 0.2 * case.times
    return _notch(case, {"chine low wall", "chine high wall"}, case.lines.out, by, "notch-foul")


@fault()
def notch_deep(case: Case) -> Planted | None:
    by = CLEAR - 1.0 * case.times
    return _notch(case, {"chine low wall", "chine high wall"}, case.lines.out, by, "notch-slack")


@fault()
def notch_narrow(case: Case) -> Planted | None:
    by = CLEAR + 0.2 * case.times
    if case.style.relief == "tbone":  # that leaves hardly any of the short walls between itself and the arris
        return None
    return _notch(case, {"chine low wall", "chine low mouth"}, case.lines.up, by, "notch-foul")


@fault()
def notch_wide(case: Case) -> Planted | None:
    by = CLEAR - 1.0 * case.times
    return _notch(case, {"chine low wall", "chine low mouth"}, case.lines.up, by, "notch-slack")


@fault()
def notch_moved(case: Case) -> Planted | None:
    marks = {f"chine {end} {what}" for end in ("low", "high") for what in ("wall", "mouth")}
    by = case.pick.choice((1, -1)) * (CLEAR + 0.2 * case.times)
    if case.style.relief == "tbone":
        return None
    return _notch(case, marks, case.lines.up, by, "notch-foul")


@fault()
def keel_notch_narrow(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or not case.style.sections:
        return None
    _shift(_of(frame, "core"), {"keel wall", "keel mouth"}, Y, -CLEAR - 0.2 * case.times)
    return case.told("notch-foul", where=[frame])


@fault(sized=False)
def notch_gone(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or not case.style.sections:
        return None
    for piece in _notched(frame):
        piece.corners = [c for c in piece.corners if not c.mark.startswith("chine")]
    return case.told("notch-missing", where=[frame])


@fault(sized=False)
def notch_too_many(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None or case.style.sawn:
        return None
    up, out = case.lines.up, case.lines.out
    for piece in _notched(frame):
        mouth = next(c for c in piece.corners if c.mark == "chine high mouth")
        way, side = up * (np.sign(mouth.y), 1), out * (np.sign(mouth.y), 1)
        rows = [np.array(mouth.at) + way * s - side * m for s, m in ((18, 0), (18, 14.2), (58.5, 14.2), (58.5, 0))]
        more = [Corner(float(y), float(v), "more") for y, v in rows]
        here = piece.corners.index(mouth)
        piece.corners[here + (piece.hand > 0) : here + (piece.hand > 0)] = more if piece.hand > 0 else more[::-1]
    return case.told("notch-empty", where=[frame])


@fault()
def section_other(case: Case) -> Planted | None:
    if not case.style.sections:
        return None
    long, short = BATTENS["keel"]
    own = "{:g}" if case.style.unit == "mm" else '"{:g} mm"'
    was, now = (f"section = [{own.format(long)}, {own.format(s)}]" for s in (short, short + 0.5 * case.times))
    return case.told("outline", where=case.frames, style=replace(case.style, changes={was: now}))


# ---- gussets and plates


@fault()
def gusset_short(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None or case.style.joint not in ("butt", "half-lap", "finger") or case.style.screws:
        return None
    flat = case.lines.reach - 4 * case.style.core / case.times / np.cos(case.lines.flare)
    _shift([p for p in _of(frame, "gusset") if p.what == "chine gusset"], {"arm"}, Y, flat)
    return case.told("gusset-lap", where=[frame])


@fault()
def gusset_proud(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None:
        return None
    by = (case.style.shy + 0.3 * case.times) / np.cos(case.lines.flare)
    _shift([p for p in _of(frame, "gusset") if p.what == "chine gusset"], {"outer"}, Y, by)
    return case.told("proud", where=[frame])


@fault(sized=False)
def gusset_gone(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None:
        return None
    frame.pieces = [p for p in frame.pieces if not (p.what == "chine gusset" and p.hand == 1)]
    return case.told("joint-bare", where=[frame])


@fault()
def doubler_in_the_leg(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or not case.style.doubler or not case.style.legs or case.style.inverted:
        return None
    leg = RAILS / 2 - (40 if case.style.legs == "tongue" else 0)
    _shift(_of(frame, "doubler"), {"arm"}, Y, leg - 80 + 0.1 * case.times)
    return case.told("foul", where=[frame])


@fault(sized=False)
def side_gone(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None or case.style.half:
        return None
    frame.pieces = [p for p in frame.pieces if not (p.what in ("side", "upper side") and p.hand == 1)]
    return case.told("mirror", "notch-missing", where=[frame], follows=("mirror",))


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
    return _dowel(case, 1, Y, 10 + 10 / case.times, "board")


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
