"""What is drawn of a part that could not be read: what is found beside it may come of nothing but its loss."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.shared.findings import Finding, Level

from ..boat.assembly import Assembly
from ..boat.defect import Defect
from ..boat.frame import Frame
from ..geometry.plane import disc

_BESIDE = 1.0  # mm; what leans on a part is nearer, or a fault of its own. Common practice, no source


def is_beside_unread(finding: Finding, assembly: Assembly) -> bool:
    """Whether a finding is about a thing beside which a part of the same frame is drawn that could not be read."""
    names = {each.name for each in finding.subjects}
    return any(
        shapely.dwithin(place, lost, _BESIDE)
        for frame in assembly.frames
        if frame.number == finding.frame
        for lost in _unread(frame, assembly)
        for name, place in _things(frame)
        if name in names
    )


def _things(frame: Frame) -> Iterator[tuple[str, shapely.Geometry]]:
    yield from ((part.name, part.shape) for part in frame.parts)
    yield from ((screw.name, shapely.Point(screw.at)) for screw in frame.screws)
    yield from ((dowel.name, disc(dowel.at, dowel.diameter)) for dowel in frame.dowels)


def _unread(frame: Frame, assembly: Assembly) -> list[shapely.Geometry]:
    """Where what is drawn of each such part lies, gaps in it included."""
    return [
        shapely.multipoints(places).convex_hull
        for defect in frame.defects
        if _is_of_a_part(defect, assembly) and (places := _places(defect))
    ]


def _is_of_a_part(defect: Defect, assembly: Assembly) -> bool:
    use = assembly.plan.layers.get(defect.source.layer) if assembly.plan is not None else None
    return use is not None and use.makes == "part" and defect.check == "outline" and defect.level is Level.ERROR


def _places(defect: Defect) -> list[tuple[float, float]]:
    lines = (*defect.drawn, *(points for _, points in defect.lines), defect.span or ())
    return [point for line in lines for point in line] or ([defect.at] if defect.at is not None else [])
