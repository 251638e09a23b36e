"""How much room there is wherever one thing is let into another or butts against it, in a boat as it is set up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from scrieve.shared.findings import Source, Subject

from ..boat.assembly import Assembly
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..relations.joints.joint import joints, leg_joints
from ..relations.joints.lap import tightest_faces, tightest_flanks
from ..relations.notches.notch import Crossing, Wall, crossings, walls
from ..relations.scope import in_scope

FitKind: TypeAlias = Literal["notch", "joint", "lap"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Where two things meet in a frame: how much room there is, `play` mm, negative where they are in one another.

    `check` judges it, down to a play of `least`. `where` is the wall of a notch, or what of a lap; `subjects` are the
    two. `cut` is by how much the play shrinks, mm for each mm that the cutter is smaller in diameter than it is taken
    for: an outline that is cut outside its line grows by half of that, so that a notch loses it on each wall and a
    joint on both of its edges; a pocket, cut inside, shrinks by as much. What is not cut by it loses nothing. `at` is
    in hull axes, mm.
    """

    kind: FitKind
    check: str
    frame: str
    where: str
    subjects: tuple[Subject, ...]
    play: float
    least: float
    cut: float
    at: tuple[float, float, float]
    source: Source

    @property
    def key(self) -> tuple[object, ...]:
        """What is the same of it in a boat of other stock."""
        if self.kind == "notch":
            return self.kind, self.frame, self.subjects[0]  # the batten: which wall is the tightest may change
        return self.kind, self.frame, self.subjects, self.where if self.kind == "lap" else ""


def fits(boat: Assembly) -> dict[tuple[object, ...], Fit]:
    """The fits of a boat by their keys: the tightest wall of each notch, each butt joint, each face and flank of a lap.

    Where several have one key, it is the tightest.
    """
    found: dict[tuple[object, ...], Fit] = {}
    for fit in _fits(in_scope(boat)):
        if fit.key not in found or fit.play < found[fit.key].play:
            found[fit.key] = fit
    return found


def _fits(boat: Assembly) -> Iterator[Fit]:
    for batten in boat.battens:
        for crossing in crossings(batten, boat.frames):
            if not crossing.unnotched:
                yield from _notch(crossing, boat)
    for frame in boat.frames:
        yield from _joints(frame, boat)
        yield from _laps(frame, boat)


def _share(boat: Assembly, *parts: Part) -> float:
    """The `cut` of a fit between these edges: half of what the cutter lacks for each that it cuts."""
    return sum(0.5 for part in parts if part.stock not in boat.sawn)


def _notch(crossing: Crossing, boat: Assembly) -> Iterator[Fit]:
    """The tightest wall of all plies."""
    found: list[tuple[Wall, Part, Part]] = [
        (wall, prism, part)
        for part in crossing.frame.parts
        if crossing.reaches(part) and not crossing.missing_in(part)
        for prism in part.prisms
        for wall in walls(crossing, [prism], prism.low, prism.high)
    ]
    if not found:
        return
    wall, prism, part = min(found, key=lambda each: (round(each[0].gap, 6), each[2].name, each[0].name))
    batten = crossing.batten
    yield Fit(
        kind="notch",
        check="notch-foul",
        frame=crossing.frame.number,
        where=f"{wall.name} wall",
        subjects=subjects(batten, part),
        play=wall.gap,
        least=-boat.limits["notch_foul"],
        cut=_share(boat, part),
        at=Marker(frame=crossing.frame, w=(prism.low + prism.high) / 2).at(wall.at),
        source=part.source,
    )


def _joints(frame: Frame, boat: Assembly) -> Iterator[Fit]:
    for joint in (*joints(frame), *leg_joints(frame)):
        mark = Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)
        yield Fit(
            kind="joint",
            check="joint-gap",
            frame=frame.number,
            where="",
            subjects=subjects(joint.first, joint.second),
            play=min(min(stretch.apart) for stretch in joint.stretches),
            least=-boat.limits["joint_gap"],
            cut=_share(boat, joint.first, joint.second),
            at=mark.at(joint.at),
            source=joint.first.source,
        )


def _laps(frame: Frame, boat: Assembly) -> Iterator[Fit]:
    for face in tightest_faces(frame):
        yield Fit(
            kind="lap",
            check="foul",
            frame=frame.number,
            where="faces",
            subjects=subjects(face.first, face.second),
            play=face.high - face.low,
            least=-boat.limits["foul"],
            cut=0.0,
            at=Marker(frame=frame, w=(face.low + face.high) / 2).at(face.overlap.at),
            source=face.cut.source,
        )
    for flank in tightest_flanks(frame):
        yield Fit(
            kind="lap",
            check="foul",
            frame=frame.number,
            where="flanks",
            subjects=subjects(flank.cut, flank.part),
            play=min(flank.stretch.apart),
            least=-boat.limits["foul"],
            cut=_share(boat, flank.cut, flank.part),
            at=Marker(frame=frame, w=(flank.low + flank.high) / 2).at(flank.stretch.middle[0]),
            source=flank.cut.source,
        )
