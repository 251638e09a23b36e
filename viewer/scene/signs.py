"""Signs: what is drawn of a finding's marks besides the bodies that it is about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import dist

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Finding
from scrieve.shared.marks import Arrow, Axis, Ghost, Line, Mark, Region, Span

from .body import Body, Mesh
from .kinds import Kind
from .solid_mesh import Solid, cylinder, mesh_of, together
from .triple import Triple, triple

Ends = tuple[Triple, Triple]
Points = NDArray[np.float64]

_PAST = 9.0  # mm by which an axis is drawn past the ends of its screw
_CROSS = 0.5  # of the diameter of a screw: an arm of the cross on its axis
_ON_AXIS = 0.05  # mm; a body whose middle lies so near to an axis, between its ends, is the one that is meant


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarkedAxis:
    """`ends` (2, 3) of a screw's, a dowel's or a driver's axis, and the number and kind of the body that has it.

    None where that is not there.
    """

    ends: Points
    body: int | None
    kind: Kind | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Signs:
    """Hull axes, mm. `arrows` are lines (n, 3) from tail to head, `strokes` lines that nothing hides, `inked` too,
    but of what is drawn and not of what is wrong.

    `ghosts` are solids that are not there, `shared` is what two things want. `gap` are the ends of what is measured.
    `words` are what stands beside a place.
    """

    arrows: tuple[Points, ...] = ()
    strokes: tuple[Points, ...] = ()
    inked: tuple[Points, ...] = ()
    ghosts: tuple[Mesh, ...] = ()
    shared: Solid | None = None
    gap: Ends | None = None
    axes: tuple[MarkedAxis, ...] = ()
    words: tuple[tuple[str, Triple], ...] = ()


NO_SIGNS = Signs()


def signs_of(finding: Finding, bodies: Sequence[Body]) -> Signs:
    """What is drawn of a finding."""
    marks = finding.evidence
    axes = [(mark, _body_on(mark, bodies)) for mark in marks if isinstance(mark, Axis) and dist(mark.start, mark.end)]
    lines = [mark for mark in marks if isinstance(mark, Line)]
    gap = next(((mark.start, mark.end) for mark in marks if isinstance(mark, Span) and mark.length), None)
    screws = [axis for axis, n in axes if n is not None and bodies[n].kind == "screw"]
    shared = [mesh_of(mark.solid)[:2] for mark in marks if isinstance(mark, Region)]
    ghosts = [mesh_of(mark.solid) for mark in marks if isinstance(mark, Ghost)]
    return Signs(
        arrows=tuple(np.array(mark.points) for mark in marks if isinstance(mark, Arrow)),
        strokes=(
            *(np.array(line.points) for line in lines if not line.drawn),
            *(_rim(axis) for axis, _ in axes if axis.words),
            *_centre_lines(screws, gap, shared=bool(shared)),
        ),
        inked=tuple(np.array(line.points) for line in lines if line.drawn),
        ghosts=(*ghosts, *(cylinder(axis) for axis, body in axes if body is None)),
        shared=together(shared) if shared else None,
        gap=gap,
        axes=tuple(
            MarkedAxis(ends=np.array([axis.start, axis.end]), body=n, kind=None if n is None else bodies[n].kind)
            for axis, n in axes
        ),
        words=tuple(_words(finding)),
    )


def _body_on(axis: Axis, bodies: Sequence[Body]) -> int | None:
    """The screw or dowel whose axis it is."""
    start, way = np.array(axis.start), np.subtract(axis.end, axis.start)
    for n, body in enumerate(bodies):
        if body.kind in ("screw", "dowel") and body.frame == axis.frame:
            off = body.points.mean(axis=0) - start
            share = float(off @ way / (way @ way))
            if 0.0 < share < 1.0 and np.linalg.norm(off - share * way) < _ON_AXIS:
                return n
    return None


def _centre_lines(screws: Sequence[Axis], gap: Ends | None, *, shared: bool) -> Iterator[Points]:
    """The axes of screws that meet, past their ends; a cross on the head of one from whose axis is measured."""
    ways = [np.subtract(axis.end, axis.start) / dist(axis.start, axis.end) for axis in screws]
    if gap is not None and any(abs(np.subtract(*gap) @ way) > _ON_AXIS for way in ways):
        return
    if len(screws) > 1 and (gap is not None or shared):
        for axis, way in zip(screws, ways, strict=True):
            yield np.array([axis.start - _PAST * way, axis.end + _PAST * way])
    elif len(screws) == 1 and gap is not None:
        along = np.subtract(*gap) / dist(*gap)
        for arm in (along, np.cross(along, ways[0])):
            reach = _CROSS * screws[0].diameter * arm
            yield np.array([screws[0].start - reach, screws[0].start + reach])


def _rim(axis: Axis) -> Points:
    """The circle at the end of what is round."""
    rim = np.split(cylinder(axis)[0], 2)[1]
    return np.concatenate([rim, rim[:1]])


def _words(finding: Finding) -> Iterator[tuple[str, Triple]]:
    """The words of the marks, each where it does not lie over those of the mark before."""
    worded = [mark for mark in finding.evidence if mark.words]
    for n, mark in enumerate(worded):
        corners = _corners(mark)
        if isinstance(mark, Axis):
            others = [each.start for each in worded if isinstance(each, Axis)]
            way = np.subtract(mark.start, np.mean(others, axis=0))
            far = float(np.linalg.norm(way))
            yield mark.words, triple(mark.end + way * (0.9 * mark.diameter / far if far else 0.0))
        elif isinstance(mark, Region | Ghost):
            off = np.linalg.norm(corners - (finding.at or corners[0]), axis=1)
            yield mark.words, triple(corners[int(off.argmin())])
        else:
            yield mark.words, triple(corners[-(n % 2)])


def _corners(mark: Mark) -> Points:
    match mark:
        case Span() | Axis():
            return np.array([mark.start, mark.end])
        case Line() | Arrow():
            return np.array(mark.points)
        case _:
            return mesh_of(mark.solid)[0]
