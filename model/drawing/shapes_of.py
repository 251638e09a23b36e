"""What one DXF object draws: runs, a circle, a point or a text, through the map of the block it stands in.

Objects that have their own axes (those with an extrusion) are taken when they lie flat in the
drawing's plane, seen from the front or from behind; the height at which they lie is not looked at.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from ..dxf_library import (
    Arc,
    BaseAttrib,
    Circle,
    DXFEntity,
    Ellipse,
    Insert,
    Line,
    LWPolyline,
    MText,
    Polyline,
    Spline,
    Text,
    plain_mtext,
)
from ..dxf_library import Point as PointObject
from .broken import BROKEN, plain, reason
from .drawn import Point
from .plane_map import PlaneMap, insert_map
from .run import CurveError, Run, check_place, conic, mapped_polyline, run_of, sampled

_UPRIGHT = 1e-9  # share of the extrusion that may lie in the plane
_LETTER_WIDTH = 0.7  # of a letter's height: common practice, no source; only the middle of a text hangs on it
_LINE_STEP = 1.6  # of a letter's height, from line to line of a text
_FRAME_CORNER = 16  # flag of a POLYLINE's vertex that only steers a spline and is not on it
_SOLID_POLYLINE = 16 | 64  # flags of a POLYLINE that is a mesh
_SPACE_POLYLINE = 8
_LONGEST_SPLINE = 5_000  # control or fit points

Answer = TypeVar("Answer")

RunObject = Line | Arc | Ellipse | Spline | LWPolyline | Polyline
"""Objects that draw lines and arcs in one go."""


class NotFlatError(ValueError):
    """An object that does not lie flat in the drawing's plane."""


class NoOutlineError(ValueError):
    """An object that bounds nothing: a mesh."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A text, its anchor and the estimated middle of its box; whether its letters read backwards."""

    text: str
    at: Point
    middle: Point
    mirrored: bool


def run_drawn(entity: RunObject, place: PlaneMap, level: float) -> Run | None:
    """The run that an object draws; None if it has no length.

    Ends of one object may differ by `level` mm in height. Raises NotFlatError, NoOutlineError, CurveError.
    """
    return _RUN_OF[entity.dxftype()](entity, place, level)


def circle_drawn(entity: Circle, place: PlaneMap) -> tuple[Point, float] | Run | None:
    """Centre and radius (mm) of a CIRCLE; a closed run where its block squashes it; radius 0 for a mere point."""
    place = own_axes(entity, place)
    x, y, _ = entity.dxf.get("center", (0.0, 0.0, 0.0))
    radius = float(entity.dxf.get("radius", 0.0))
    centre = place.point(x, y)
    check_place(centre, radius)
    check_place((radius * place.scale, 0.0))
    if radius < 0:
        raise CurveError("its radius is below 0")
    if place.turn:
        return centre, radius * math.hypot(place.a, place.c)
    return conic(centre, place.vector(radius, 0.0), place.vector(0.0, radius), 0.0, 2 * math.pi)


def point_drawn(entity: PointObject, place: PlaneMap) -> Point:
    """Where a POINT stands."""
    x, y, _ = entity.dxf.get("location", (0.0, 0.0, 0.0))
    at = place.point(x, y)
    check_place(at)
    return at


def block_maps(entity: Insert, base: Point) -> tuple[PlaneMap, Sequence[Point]]:
    """The map of an INSERT's block for its first place, and the shift of each place of the array.

    Raises NotFlatError, CurveError. Call it only after the size of the array has been looked at.
    """
    dxf = entity.dxf
    x, y, _ = dxf.get("insert", (0.0, 0.0, 0.0))
    rotation = _turn(dxf.rotation)
    first = insert_map(at=(x, y), scale=(dxf.xscale, dxf.yscale), rotation=rotation, base=base)
    rows, columns = array_size(entity)
    c, s = math.cos(rotation), math.sin(rotation)
    spacing = [(j * dxf.column_spacing, i * dxf.row_spacing) for i in range(rows) for j in range(columns)]
    return first, [(c * u - s * v, s * u + c * v) for u, v in spacing]


def array_size(entity: Insert) -> tuple[int, int]:
    """Rows and columns of an INSERT; places of an array without spacing are one place."""
    dxf = entity.dxf
    rows = max(int(dxf.row_count), 1) if dxf.row_spacing else 1
    columns = max(int(dxf.column_count), 1) if dxf.column_spacing else 1
    return rows, columns


def own_axes(entity: DXFEntity, place: PlaneMap) -> PlaneMap:
    """The map of an object's own axes. Raises NotFlatError where they are tilted."""
    x, y, z = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    if not math.hypot(x, y) <= _UPRIGHT * abs(z):
        raise NotFlatError
    return place if z > 0 else place.flipped()


def text_drawn(entity: Text | MText, place: PlaneMap) -> Written:
    """What a TEXT, MTEXT or attribute says and where; control characters and line ends become spaces."""
    return _mtext(entity, place) if isinstance(entity, MText) else _text(entity, place)


def _line(entity: Line, place: PlaneMap, level: float) -> Run | None:
    x, y, z = entity.dxf.get("start", (0.0, 0.0, 0.0))
    x2, y2, z2 = entity.dxf.get("end", (0.0, 0.0, 0.0))
    _check_level((z, z2), place, level)
    return run_of([place.point(x, y), place.point(x2, y2)], [0.0, 0.0], closed=False)


def _arc(entity: Arc, place: PlaneMap, level: float) -> Run | None:
    place = own_axes(entity, place)
    dxf = entity.dxf
    x, y, _ = dxf.get("center", (0.0, 0.0, 0.0))
    radius = float(dxf.get("radius", 0.0))
    start, end = float(dxf.get("start_angle", 0.0)), float(dxf.get("end_angle", 360.0))
    check_place((start, end))
    sweep = (end - start) % 360.0 or (360.0 if start != end else 0.0)
    return conic(
        place.point(x, y),
        place.vector(radius, 0.0),
        place.vector(0.0, radius),
        math.radians(start),
        math.radians(sweep),
    )


def _ellipse(entity: Ellipse, place: PlaneMap, level: float) -> Run | None:
    dxf = entity.dxf
    own_axes(entity, place)
    x, y, _ = dxf.get("center", (0.0, 0.0, 0.0))
    u, v, w = dxf.get("major_axis", (1.0, 0.0, 0.0))
    _check_level((0.0, w), place, level)
    behind = -1.0 if dxf.get("extrusion", (0.0, 0.0, 1.0))[2] < 0 else 1.0
    ratio = float(dxf.get("ratio", 1.0)) * behind
    start, end = float(dxf.get("start_param", 0.0)), float(dxf.get("end_param", 2 * math.pi))
    check_place((start, end), ratio)
    sweep = (end - start) % (2 * math.pi) or (2 * math.pi if start != end else 0.0)
    # a drawing's last decimal of 2 pi may be rounded up
    sweep = 2 * math.pi if sweep < 1e-9 else sweep
    return conic(place.point(x, y), place.vector(u, v), place.vector(-v * ratio, u * ratio), start, sweep)


def _spline(entity: Spline, place: PlaneMap, level: float) -> Run | None:
    count = max(len(entity.control_points), len(entity.fit_points))
    if count > _LONGEST_SPLINE:
        raise CurveError(f"a spline of at most {_LONGEST_SPLINE} points can be followed ({count} found)")
    curve = _asked(entity.construction_tool)
    controls = np.array([tuple(p) for p in curve.control_points], dtype=np.float64)
    if not np.isfinite(controls).all():
        raise CurveError("its coordinates are out of all bounds")
    _check_level((float(controls[:, 2].min()), float(controls[:, 2].max())), place, level)
    turn, shift = np.array([[place.a, place.c], [place.b, place.d]]), np.array([place.e, place.f])

    def follow(t: NDArray[np.float64]) -> NDArray[np.float64]:
        there = np.array([(p.x, p.y) for p in curve.points(t.tolist())], dtype=np.float64)
        return np.asarray(there.reshape(-1, 2) @ turn + shift)

    # where the knots at the ends are single, the curve begins after the first few of them
    first, last = curve.knots()[curve.order - 1], curve.knots()[curve.count]
    knots = sorted({k for k in curve.knots() if first < k < last} | {first, last})
    if len(knots) < 2:
        raise CurveError("its knots do not rise")
    ends = follow(np.array([first, last]))
    return sampled(follow, knots, closed=bool(np.hypot(*(ends[1] - ends[0])) <= level))


def _lwpolyline(entity: LWPolyline, place: PlaneMap, level: float) -> Run | None:
    place = own_axes(entity, place)
    corners = [(float(x), float(y), float(bulge)) for x, y, bulge in entity.get_points("xyb")]
    return mapped_polyline(corners, place, closed=bool(entity.closed))


def _polyline(entity: Polyline, place: PlaneMap, level: float) -> Run | None:
    flags = int(entity.dxf.flags)
    if flags & _SOLID_POLYLINE:
        raise NoOutlineError
    corners = [vertex.dxf for vertex in entity.vertices if not vertex.dxf.flags & _FRAME_CORNER]
    rows = [(*corner.get("location", (0.0, 0.0, 0.0)), corner.bulge) for corner in corners]
    if flags & _SPACE_POLYLINE:
        _check_level([z for _, _, z, _ in rows], place, level)
        return mapped_polyline([(x, y, 0.0) for x, y, *_ in rows], place, closed=bool(flags & 1))
    place = own_axes(entity, place)
    return mapped_polyline([(x, y, bulge) for x, y, _, bulge in rows], place, closed=bool(flags & 1))


_RUN_OF: dict[str, Callable[[Any, PlaneMap, float], Run | None]] = {
    "LINE": _line,
    "ARC": _arc,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
}


def _asked(question: Callable[[], Answer]) -> Answer:
    """The answer of an object that has something to compute first. Raises CurveError."""
    try:
        return question()
    except BROKEN as problem:
        raise CurveError(reason(problem)) from None


def _check_level(heights: Sequence[float], place: PlaneMap, level: float) -> None:
    if heights and not (max(heights) - min(heights)) * place.scale <= level:
        raise NotFlatError


def _text(entity: Text, place: PlaneMap) -> Written:
    place = own_axes(entity, place)
    dxf = entity.dxf
    if isinstance(entity, BaseAttrib) and entity.has_embedded_mtext_entity:
        text = plain(_asked(lambda: entity.plain_mtext(fast=False)))
    else:
        text = plain(_asked(entity.plain_text))
    insert = tuple(dxf.get("insert", (0.0, 0.0, 0.0)))
    align = tuple(dxf.get("align_point", insert))
    across, up = int(dxf.halign), int(dxf.valign)
    x, y = insert[:2] if (across, up) == (0, 0) else align[:2]
    if across in (3, 5) and up == 0:  # stretched between two points of the base line
        x, y = (insert[0] + align[0]) / 2, (insert[1] + align[1]) / 2
    half_width = len(text) * _LETTER_WIDTH * dxf.height * dxf.width / 2
    right = {0: half_width, 2: -half_width}.get(across, 0.0)
    above = 0.0 if across == 4 else {2: 0.0, 3: -dxf.height / 2}.get(up, dxf.height / 2)
    backward = entity.is_backward != entity.is_upside_down  # both are a half turn
    return _written(text, place, (x, y), (right, above), _turn(dxf.rotation), backward=backward)


def _mtext(entity: MText, place: PlaneMap) -> Written:
    backward = own_axes(entity, place) != place  # its places are in the drawing's axes all the same
    dxf = entity.dxf
    lines = [plain(line) for line in _asked(lambda: plain_mtext(entity.all_columns_raw_content(), split=True))]
    x, y, _ = dxf.get("insert", (0.0, 0.0, 0.0))
    row, column = divmod(int(dxf.get("attachment_point", 1)) - 1, 3)
    height = float(dxf.get("char_height", 0.0))
    half_width = max(map(len, lines), default=0) * _LETTER_WIDTH * height / 2
    half_height = ((len(lines) - 1) * _LINE_STEP + 1) * height / 2
    offset = ((1 - column) * half_width, (row - 1) * half_height)
    rotation = _turn(_asked(entity.get_rotation))
    return _written(plain(" ".join(lines)), place, (x, y), offset, rotation, backward=backward)


def _turn(degrees: float) -> float:
    """An angle in radians. Raises CurveError for none."""
    if not math.isfinite(degrees):
        raise CurveError("its rotation is no number")
    return math.radians(degrees)


def _written(text: str, place: PlaneMap, at: Point, offset: Point, rotation: float, *, backward: bool) -> Written:
    c, s = math.cos(rotation), math.sin(rotation)
    middle = (at[0] + c * offset[0] - s * offset[1], at[1] + s * offset[0] + c * offset[1])
    where, middle = place.point(*at), place.point(*middle)
    check_place(where)
    check_place(middle)
    return Written(text=text, at=where, middle=middle, mirrored=place.mirrors != backward)
