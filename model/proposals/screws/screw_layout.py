"""A computed layout of screws for the gussets on both faces of a frame.

Each face's screws go into every core part under the gusset, at least two, in rows along the part; the
two faces are set out side by side so that no two screws meet in the wood between them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.limits import Limits
from scrieve.shared.screw_table import SPACINGS, ScrewSize

from ...geometry.plane import mirrored, mirrored_points
from .gusset_arms import arms_of

FromFace = Literal["forward", "aft"]
Floats: TypeAlias = NDArray[np.float64]

USUAL = Limits()
"""The limits where no plan sets any."""

MARGIN = 0.5
"""mm added to every least distance: what marking out by hand is good to. Common practice, no source."""

_ROWS = ((0.2, 0.8), (0.3, 0.7), (0.1, 0.9), (0.0, 1.0))  # pairs of rows tried, as shares of the free width
_SINGLE = (0.5, 0.35, 0.65, 0.2, 0.8)  # single rows tried
_GRID = 2.0  # mm between the places tried where no row fits
_NOWHERE: Floats = np.empty((0, 2))
_STRAIGHT = 0.5  # mm; an edge curved by less counts as straight when the way of a part is looked for


class Sheet(NamedTuple):
    """A piece of ply by name, its shape as cut in the frame's (y, v), mm."""

    name: str
    shape: shapely.Polygon


class ScrewPlace(NamedTuple):
    """A screw laid out at (y, v), mm, through a gusset into a core part."""

    at: tuple[float, float]
    driven_from: FromFace
    gusset: str
    member: str


class Shortage(NamedTuple):
    """A core part that got fewer screws through a gusset than it should have.

    `width` is how wide the wood is that the part and the gussets over it share, at its widest, mm.
    """

    gusset: str
    member: str
    driven_from: FromFace
    got: int
    wanted: int
    width: float


class ScrewLayout(NamedTuple):
    """The screws of one frame, in the order of parts and along them, and where there was no room."""

    places: tuple[ScrewPlace, ...]
    short: tuple[Shortage, ...]


class _Patch(NamedTuple):
    """A core part and the gussets over one region of it; None where a face has none, or has its screws already."""

    member: Sheet
    forward: Sheet | None
    aft: Sheet | None
    plates: tuple[Sheet, ...]


def apart(size: ScrewSize, limits: Mapping[str, float] = USUAL) -> float:
    """The least distance of an axis from an edge or from another axis, mm.

    2.5 D for both (NDS Commentary, Table C12.1.5.7: edge; rows, staggered) or what the limits want, and `MARGIN`.
    """
    factors = SPACINGS["edge"].plain, SPACINGS["between rows, staggered"].plain
    wide = max(*factors, limits["screw_edge_warning"], limits["screw_foul_warning"]) * size.diameter
    heads = max(size.head_diameter, size.diameter + limits["screw_foul"])
    return max(wide, heads) + MARGIN


def screw_layout(
    members: Sequence[Sheet],
    forward: Sequence[Sheet],
    aft: Sequence[Sheet],
    *,
    size: ScrewSize,
    spacing: float | None = None,
    limits: Mapping[str, float] = USUAL,
    keep_off: shapely.Geometry | None = None,
    standing: Sequence[tuple[float, float]] = (),
    screwed: Collection[str] = (),
) -> ScrewLayout:
    """Screws for the gussets of both faces; empty where no gusset lies on a core part.

    `spacing` is wanted along a row, mm; by default 10 D (NDS Commentary, Table C12.1.5.7: in a row,
    prebored), less where there is no room for it. What lies to starboard is laid out as the mirror
    image of what would be laid out to port. No axis comes to lie in `keep_off`, nor near one of those
    `standing` already; gussets named in `screwed` have their screws and get none, but their edges count.
    """
    need = apart(size, limits)
    pitch = max(spacing or SPACINGS["in a row, along grain"].prebored * size.diameter, need)
    wanted = int(limits["screw_count"])
    places: list[ScrewPlace] = []
    short: list[Shortage] = []
    for patch in _patches(members, forward, aft, screwed):
        taken = [*standing, *(place.at for place in places)]
        closed = [] if keep_off is None else [keep_off]
        if taken:
            closed.append(shapely.MultiPoint(taken).buffer(need))
        found, width = _laid(patch, closed, need, pitch, wanted)
        for face, gusset, mine in (("forward", patch.forward, found[0]), ("aft", patch.aft, found[1])):
            if gusset is None:
                continue
            side: FromFace = "forward" if face == "forward" else "aft"
            for y, v in mine.tolist():
                places.append(ScrewPlace(at=(y, v), driven_from=side, gusset=gusset.name, member=patch.member.name))
            if len(mine) < wanted:
                short.append(Shortage(gusset.name, patch.member.name, side, len(mine), wanted, width))
    return ScrewLayout(places=tuple(places), short=tuple(short))


def _patches(
    members: Sequence[Sheet], forward: Sequence[Sheet], aft: Sequence[Sheet], screwed: Collection[str]
) -> Iterator[_Patch]:
    """Each core part with each gusset over it, the gussets of the two faces paired where they cover one place."""
    for member in members:
        over = [plate for plate in forward if _covers(plate, member)]
        left = [plate for plate in aft if _covers(plate, member)]
        pairs: list[tuple[Sheet | None, Sheet | None]] = []
        for plate in over:
            region = plate.shape.intersection(member.shape)
            shared = [(other.shape.intersection(region).area, other) for other in left]
            area, partner = max(shared, key=lambda pair: pair[0], default=(0.0, None))
            if partner is not None and area > region.area / 3:
                left = [other for other in left if other is not partner]
            else:
                partner = None
            pairs.append((plate, partner))
        for pair in (*pairs, *((None, plate) for plate in left)):
            plates = tuple(plate for plate in pair if plate is not None)
            bare = [None if plate is None or plate.name in screwed else plate for plate in pair]
            if any(bare):
                yield _Patch(member, bare[0], bare[1], plates)


def _covers(plate: Sheet, member: Sheet) -> bool:
    """Whether a gusset lies on a part with more than an edge."""
    return not plate.shape.intersection(member.shape).buffer(-1.0).is_empty


def _laid(
    patch: _Patch, closed: Sequence[shapely.Geometry], need: float, pitch: float, wanted: int
) -> tuple[tuple[Floats, Floats], float]:
    """The places for both faces, each (n, 2), and how wide the wood is at its widest, mm."""
    sheets = [patch.member, *patch.plates]
    base = shapely.intersection_all([sheet.shape for sheet in sheets])
    # an axis keeps clear of the edges of all that its screw may pass, on either face
    free = _eroded(base, sheets, need)
    for taken in closed:
        free = free.difference(taken)
    flip = base.centroid.x < 0
    if flip:
        free, base = mirrored(free), mirrored(base)
    edges = [mirrored(s.shape.boundary) if flip else s.shape.boundary for s in sheets]
    faces = patch.forward is not None, patch.aft is not None
    found = _in_arms(base, free, edges, faces, need, pitch, wanted)
    forward, aft = (mirrored_points(places) if flip else places for places in found)
    short = any(wants and len(places) < wanted for wants, places in zip(faces, (forward, aft), strict=True))
    return (forward, aft), _width(base) if short else 0.0


def _in_arms(
    base: shapely.Geometry,
    free: shapely.Geometry,
    edges: Sequence[shapely.Geometry],
    faces: tuple[bool, bool],
    need: float,
    pitch: float,
    wanted: int,
) -> tuple[Floats, Floats]:
    """The places in a region of one board: in both arms of an L as if they were joined at the mitre, or in one.

    `faces` says whether screws are wanted from forward and from aft.
    """
    arms = arms_of(base, edges)
    if arms:
        laid = [
            _in_rows(free.intersection(arm.half.buffer(-need)), arm.angle, faces, need, pitch, wanted) for arm in arms
        ]
        if all(len(places) >= wanted for arm in laid for wants, places in zip(faces, arm, strict=True) if wants):
            return np.concatenate([arm[0] for arm in laid]), np.concatenate([arm[1] for arm in laid])
    return _in_rows(free, _way(base, edges), faces, need, pitch, wanted)


def _in_rows(
    free: shapely.Geometry, angle: float, faces: tuple[bool, bool], need: float, pitch: float, wanted: int
) -> tuple[Floats, Floats]:
    """The places in a region, in rows at this angle."""
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    level = shapely.transform(free, lambda points: points @ turn)
    if all(faces):
        forward, aft = _two_faces(level, need, pitch, wanted)
        return forward @ turn.T, aft @ turn.T
    row = _one_face(level, need, pitch, wanted) @ turn.T
    return (row, _NOWHERE) if faces[0] else (_NOWHERE, row)


def _width(base: shapely.Geometry) -> float:
    """The diameter of the widest circle in a region, mm."""
    pieces = [piece for piece in shapely.get_parts(base) if piece.geom_type == "Polygon"]
    return max((2 * shapely.maximum_inscribed_circle(piece, tolerance=0.01).length for piece in pieces), default=0.0)


def _eroded(base: shapely.Geometry, sheets: Sequence[Sheet], need: float) -> shapely.Geometry:
    free = base.buffer(-need, quad_segs=32)
    for sheet in sheets:
        free = free.intersection(sheet.shape.buffer(-need, quad_segs=32))
    return free


def _way(region: shapely.Geometry, boundaries: Sequence[shapely.Geometry]) -> float:
    """The way the part runs in a region, radians: that of the longest edge that part and gussets have in common.

    Where they have none in common, that of the longest edge.
    """
    best = (False, 0.0)
    angle = 0.0
    for piece in shapely.get_parts(shapely.normalize(region.simplify(_STRAIGHT))):
        if piece.geom_type != "Polygon":
            continue
        corners = shapely.get_coordinates(piece.exterior)
        edges = np.diff(corners, axis=0)
        for corner, edge in zip(corners, edges, strict=False):
            middle = shapely.Point(corner + edge / 2)
            common = all(boundary.distance(middle) <= 1.2 * _STRAIGHT for boundary in boundaries)
            length = float(np.hypot(*edge))
            if (common, length) > (best[0], best[1] + MARGIN * (common == best[0])):
                best, angle = (common, length), float(np.arctan2(edge[1], edge[0]))
    angle %= np.pi
    return angle if angle < np.pi - 1e-9 else 0.0


def _two_faces(free: shapely.Geometry, need: float, pitch: float, wanted: int) -> tuple[Floats, Floats]:
    """Two rows, staggered; else one row by turns; else wherever there is room."""
    if free.is_empty:
        return _NOWHERE, _NOWHERE
    _, low, _, high = free.bounds
    best: tuple[Floats, Floats] | None = None
    best_pitch = 0.0
    for one, other in _ROWS:
        at = low + one * (high - low), low + other * (high - low)
        if at[1] - at[0] < need:
            continue
        spans = [_span(free, t) for t in at]
        start, end = max(span[0] for span in spans), min(span[1] for span in spans)
        count = max(wanted, int((end - start) / pitch + 0.5))
        step = (end - start) / (count - 0.5)
        if step >= need and min(step, pitch) > best_pitch + MARGIN:
            best_pitch = min(step, pitch)
            s = start + step * np.arange(count)
            best = np.column_stack([s, np.full(count, at[1])]), np.column_stack([s + step / 2, np.full(count, at[0])])
    if best is not None:
        return best
    for share in _SINGLE:
        t = low + share * (high - low)
        start, end = _span(free, t)
        count = max(2 * wanted, 2 * int(((end - start) / (pitch / 2) + 1) / 2))
        step = (end - start) / (count - 1)
        if step >= need:
            row = np.column_stack([start + step * np.arange(count), np.full(count, t)])
            return row[::2], row[1::2]
    spread = _spread(free, need, 2 * wanted)
    return spread[::2], spread[1::2]


def _one_face(free: shapely.Geometry, need: float, pitch: float, wanted: int) -> Floats:
    if free.is_empty:
        return _NOWHERE
    _, low, _, high = free.bounds
    best, best_step = None, 0.0
    for share in _SINGLE:
        t = low + share * (high - low)
        start, end = _span(free, t)
        count = max(wanted, int((end - start) / pitch) + 1)
        step = (end - start) / (count - 1)
        if step >= need and min(step, pitch) > best_step + MARGIN:
            best_step = min(step, pitch)
            best = np.column_stack([start + step * np.arange(count), np.full(count, t)])
    return _spread(free, need, wanted) if best is None else best


def _span(free: shapely.Geometry, t: float) -> tuple[float, float]:
    """The longest stretch of the level line at `t` within the region; of no length where there is none."""
    left, _, right, _ = free.bounds
    line = shapely.LineString([(left - 1.0, t), (right + 1.0, t)]).intersection(free)
    spans = [
        (p.bounds[0], p.bounds[2]) for p in shapely.get_parts(line) if p.geom_type == "LineString" and not p.is_empty
    ]
    return max(spans, key=lambda span: span[1] - span[0], default=(0.0, 0.0))


def _spread(free: shapely.Geometry, need: float, count: int) -> Floats:
    """Up to `count` places within the region, each at least `need` from the others, sorted along it."""
    left, low, right, high = free.bounds
    s, t = np.meshgrid(np.arange(left, right + _GRID, _GRID), np.arange(low, high + _GRID, _GRID))
    places = np.column_stack([s.ravel(), t.ravel()])
    places = np.concatenate([places, shapely.get_coordinates(free)])
    places = places[shapely.intersects(free.buffer(1e-9), shapely.points(places))]
    if not len(places):
        return _NOWHERE
    places = places[np.lexsort((places[:, 1], places[:, 0]))]
    chosen = [places[0]]
    while len(chosen) < count:
        nearest = np.min([np.hypot(*(places - at).T) for at in chosen], axis=0)
        good = nearest >= need
        if not good.any():
            break
        # the nearest that is far enough: leaves most room for those to come
        chosen.append(places[int(np.argmin(np.where(good, nearest, np.inf)))])
    return np.array(sorted(chosen, key=lambda at: (at[0], at[1])))
