"""What of a boat the checks look at, and which findings come only of what they leave aside."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal, TypeAlias

from scrieve.shared.findings import Finding
from scrieve.shared.tolerances import COINCIDENT

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.frame import Frame
from .battens.stations import misplaced
from .one_place import in_one_place

RestsOn: TypeAlias = Literal["gussets", "batten", "curve"]
"""What the findings of a check come of: a frame's gussets, how a batten lies at the place, or how it is bent there.

The curve of a batten at a frame goes by those on both sides.
"""

_BESIDE = 3  # frames; a batten held off at one swings through the next, back, and is at rest from the fourth on
_CURVED = 3  # frames that hold a batten from which on it shows how it bends


def in_scope(assembly: Assembly) -> Assembly:
    """The boat without the frames, and the screws of frames, that are left aside; itself where nothing is.

    Battens run on through frames left aside. A boat of such frames only has neither battens nor strongback.
    """
    if not assembly.excluded:
        return assembly
    away = {each.frame for each in assembly.excluded if not each.gussets}
    bare = {each.frame for each in assembly.excluded if each.gussets}
    frames = tuple(
        replace(frame, screws=()) if frame.number in bare else frame
        for frame in assembly.frames
        if frame.number not in away
    )
    return replace(
        assembly,
        frames=frames,
        battens=assembly.battens if frames else (),
        strongback=assembly.strongback if frames else None,
    )


def followed(finding: Finding, rests_on: RestsOn | None, assembly: Assembly) -> str:
    """The number of the frame of which is told already what a finding comes of; "" where it is told of none.

    A joint bare of gussets, a batten not held there or bent away: a frame at a wrong station bends its battens away
    from their notches in it and in those beside it; a section out of place does so beside it. Of two frames in one
    place whatever is about both, and how battens lie in either.
    """
    about = {each.frame for each in finding.subjects} | {finding.frame}
    for place in in_one_place(assembly):
        both = {place.first.number, place.second.number}
        if both <= about or (rests_on in ("batten", "curve") and not both.isdisjoint(about)):
            return place.second.number
    if rests_on == "gussets":
        return next((each.frame for each in assembly.excluded if each.gussets and each.frame == finding.frame), "")
    if rests_on is None or finding.at is None:
        return ""
    if rests_on == "batten" and (wrong := _bent_away(finding, assembly)):
        return wrong
    for frame, batten, start, end in unheld(assembly, curve=rests_on == "curve"):
        if start - COINCIDENT <= finding.at[0] <= end + COINCIDENT and batten.name in finding.parts:
            return frame.number
    return ""


def _bent_away(finding: Finding, assembly: Assembly) -> str:
    for wrong in misplaced(assembly.battens, assembly.limits["fair"], assembly.limits["bend"]):
        for batten, _ in wrong.offs:
            frames = [section.frame for section in batten.sections]
            own = frames.index(wrong.frame)
            if batten.name in finding.parts and finding.frame in frames[max(own - _BESIDE, 0) : own + _BESIDE + 1]:
                return wrong.frame if wrong.shift is not None or finding.frame != wrong.frame else ""
    return ""


def unheld(assembly: Assembly, *, curve: bool = False) -> Iterator[tuple[Frame, Batten, float, float]]:
    """The frames left aside, the battens whose section is not known there, and between which x these are loose.

    Between the frames next to it that hold them, or past the last of them; for the `curve` those frames included,
    and where there is none on one side also the second on the other. Anywhere, if it is left with less than three.
    """
    away = {each.frame for each in assembly.excluded if not each.gussets}
    for frame in assembly.frames:
        if frame.number in away:
            for batten in assembly.battens:
                if all(section.frame != frame.number for section in batten.sections):
                    yield frame, batten, *_between(batten, frame, assembly, curve)


def _between(batten: Batten, frame: Frame, assembly: Assembly, curve: bool) -> tuple[float, float]:
    held = {section.frame for section in batten.sections}
    if len(held) < _CURVED:
        return float("-inf"), float("inf")
    holding = [other for other in assembly.frames if other.number in held]
    aft = [other for other in holding if other.placement.station < frame.placement.station]
    fore = holding[len(aft) :]
    last, first = (2 if curve and not fore else 1), (2 if curve and not aft else 1)
    start = _face(batten, aft[-last], -1.0 if curve else 1.0) if aft else float("-inf")
    end = _face(batten, fore[first - 1], 1.0 if curve else -1.0) if fore else float("inf")
    return start, end


def _face(batten: Batten, frame: Frame, way: float) -> float:
    """The x of the outermost face of a frame where a batten passes it, forward (1) or aft (-1)."""
    faces = [abs(w) for part in frame.parts for w in (part.low, part.high)]
    return batten.meets(frame.placement) + way * max(faces, default=0.0)
