"""Faults of fit: joints, legs, notches, gussets and plates. Alike on both sides, so that `mirror` says nothing."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from .hull import BATTENS, CLEAR, RAILS
from .planting import MEMBERS, Case, Planted, V, Y, fault, notched, of_kind, shifted
from .shapes import Corner

DOWELS = ("dowel", "dowel-hold")  # what stands in a notch is off with its walls

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
        shifted(sides, {"joint"}, V, -by)
    else:
        floor = frame.piece("floor")
        line = floor.marked("joint", 1)
        runs = [np.subtract(b.at, a.at) for a, b in pairwise(line)]
        share = max(abs(run[1]) / np.hypot(*run) for run in runs)
        shifted([floor], {"joint"}, Y, by / share)
    # of lines that cross one another it cannot be told whose they are
    more = ["foul", *(["outline"] if case.style.loose and case.times > 10 else [])] if way > 0 else []
    # a side that stands on the floor comes up with it, past the beam's end
    return case.told("joint-gap", *more, where=[frame], follows=("proud",) if case.style.joint == "standing" else ())


@fault()
def leg_head_short(case: Case) -> Planted | None:
    frame = case.frame()
    inner = of_kind(frame, "leg inner") if frame else []
    if not inner:
        return None
    down = 1.0 if case.style.inverted else -1.0
    shifted(inner, {"head", "head in"}, V, down * 0.5 * case.times)
    return case.told("joint-gap", "leg-pair", where=[frame])


# ---- legs


@fault()
def leg_off_the_rail(case: Case) -> Planted | None:
    frame, way = case.frame(), case.pick.choice((1, -1))
    plies = of_kind(frame, "leg inner", "leg outer") if frame else []
    if not plies:
        return None
    shifted(
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
    plies = of_kind(frame, "leg inner", "leg outer") if frame else []
    if not shifted(plies, {"foot in", "head in"}, Y, way * 0.5 * case.times):
        return None
    return case.told("leg-side", where=[frame])


@fault()
def legs_unlike(case: Case) -> Planted | None:
    frame = case.frame()
    plies = [p for p in of_kind(frame, "leg inner", "leg outer") if p.hand == 1] if frame else []
    if not plies or case.style.half:
        return None
    for ply in plies:
        ply.move(lambda c: c.mark == "foot out", (0.3 * case.times, 0.0))
    return case.told("leg-pair", where=[frame])


@fault(sized=False)
def leg_gone(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or case.style.half or not of_kind(frame, "leg outer"):
        return None
    frame.pieces = [p for p in frame.pieces if not (p.hand == 1 and p.kind.startswith("leg"))]
    return case.told("leg-pair", where=[frame])


# ---- notches


def _notch(case: Case, marks: set[str], way: np.ndarray, by: float, check: str) -> Planted | None:
    frame = case.frame()
    if frame is None or not case.style.sections:
        return None
    if not shifted(notched(frame), marks, way, by):
        return None
    return case.told(check, where=[frame], follows=DOWELS)


@fault()
def notch_shallow(case: Case) -> Planted | None:
    by = CLEAR + 0.2 * case.times
    if case.style.relief == "tbone" and case.times > 10:  # its relief is longer than that is deep
        return None
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
    shifted(of_kind(frame, "core"), {"keel wall", "keel mouth"}, Y, -CLEAR - 0.2 * case.times)
    return case.told("notch-foul", where=[frame], follows=DOWELS)


@fault(sized=False)
def notch_gone(case: Case) -> Planted | None:
    frame = case.frame()
    if frame is None or not case.style.sections:
        return None
    for piece in notched(frame):
        piece.corners = [c for c in piece.corners if not c.mark.startswith("chine")]
    return case.told("notch-missing", where=[frame])


@fault(sized=False)
def notch_too_many(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None or case.style.sawn:
        return None
    up, out = case.lines.up, case.lines.out
    for piece in notched(frame):
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
    shifted([p for p in of_kind(frame, "gusset") if p.what == "chine gusset"], {"arm"}, Y, flat)
    return case.told("gusset-lap", where=[frame])


@fault()
def gusset_proud(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None:
        return None
    by = (case.style.shy + 0.3 * case.times) / np.cos(case.lines.flare)
    shifted([p for p in of_kind(frame, "gusset") if p.what == "chine gusset"], {"outer"}, Y, by)
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
    shifted(of_kind(frame, "doubler"), {"arm"}, Y, leg - 80 + 0.1 * case.times)
    return case.told("foul", where=[frame])


@fault(sized=False)
def side_gone(case: Case) -> Planted | None:
    frame = case.frame(*MEMBERS)
    if frame is None or case.style.half:
        return None
    frame.pieces = [p for p in frame.pieces if not (p.what in ("side", "upper side") and p.hand == 1)]
    return case.told("mirror", "notch-missing", where=[frame], follows=("mirror", "bend"))
