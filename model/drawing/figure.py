"""Figures: the strokes of a frame judged one by one: what they enclose, and what is wrong with them."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from scrieve.shared.edits import Add, Edit, Remove
from scrieve.shared.findings import Measure, Source
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.wording import mm, place

from ..boat.defect import Defect
from ..geometry.outline import Outline
from .drawn import Point, target_of
from .network import Face
from .ring import same_region, settled
from .stroke import Stroke

LEAST_AREA = 1.0
"""mm2; a smaller outline is a slip of the pen (common practice, no source)."""

LEAST_WIDTH = 0.1
"""mm; into a narrower outline no disc of this diameter fits: a line drawn twice, not a part (no source)."""

_MOST_OPEN = 50  # open chains of one layer that are told one by one
_PLACE_IN_REASON = re.compile(r"^(Ring )?Self-intersection\[(\S+) (\S+?)\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineFault:
    """What is wrong with a figure: the `what` of a sentence that begins with its name."""

    what: str
    at: Point
    measure: Measure | None = None
    cure: str = ""
    span: tuple[Point, Point] | None = None
    drawn: tuple[tuple[Point, ...], ...] = ()
    edits: tuple[Edit, ...] = ()

    def defect(self, name: str, figure: Figure) -> Defect:
        """The defect of the figure called `name`."""
        return Defect(
            message=Sentence.of("{name} {what}", name=name, what=self.what),
            source=figure.source,
            at=self.at,
            measure=self.measure,
            cure=self.cure,
            span=self.span,
            drawn=self.drawn or figure.drawn,
            edits=self.edits,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figure:
    """`outline` is None where nothing sound is enclosed; `region` is then what it roughly encloses, maybe empty.

    `whole`: it reaches over the centreline by its own image. `face`: the face of a network that it is.
    """

    layer: str
    makes: str
    outline: Outline | None
    region: shapely.Geometry
    source: Source
    faults: tuple[OutlineFault, ...] = ()
    whole: bool = False
    face: Face | None = None

    @property
    def middle(self) -> Point:
        """The centroid of its region."""
        centre = self.region.centroid
        return float(centre.x), float(centre.y)

    @property
    def drawn(self) -> tuple[tuple[Point, ...], ...]:
        """The lines around its region."""
        return tuple(
            corners(shapely.get_coordinates(line))
            for line in shapely.get_parts(shapely.boundary(self.region))
            if not line.is_empty
        )


def figures_of(strokes: Sequence[Stroke], gap: float) -> list[Figure]:
    """A figure for each stroke, closed ones before open ones, those that repeat another left out.

    The first of each that is drawn more than once carries the fault.
    """
    closed = [_closed(stroke) for stroke in strokes if stroke.closed]
    twice = [stroke.twice for stroke in strokes if stroke.closed]
    return [*_without_repeats(closed, twice, gap), *_open([s for s in strokes if not s.closed], gap)]


def _closed(stroke: Stroke) -> Figure:
    outline = settled(stroke.points, stroke.bulges)
    line = outline.flattened()
    if len(line) < 3:
        at = (float(line[0, 0]), float(line[0, 1]))
        return _figure(stroke, None, shapely.Polygon(), _too_small(0.0, at))
    region = shapely.Polygon(line)
    if not region.is_valid:
        return _figure(stroke, None, shapely.make_valid(region), _crossing(region, line))
    if region.area < LEAST_AREA:
        return _figure(stroke, None, region, _too_small(region.area, (float(line[0, 0]), float(line[0, 1]))))
    # a disc as wide as area / half the circumference always fits
    if 2 * region.area < LEAST_WIDTH * region.length and region.buffer(-LEAST_WIDTH / 2).is_empty:
        width = 2 * region.area / region.length
        fault = OutlineFault(
            what=Sentence.of("is too narrow for a part: about {width} wide", width=mm(width, LEAST_WIDTH)),
            at=(float(line[0, 0]), float(line[0, 1])),
            measure=Measure(value=width, limit=LEAST_WIDTH, sense="least"),
            cure="delete it, or draw it at its full size",
        )
        return _figure(stroke, None, region, fault)
    figure = _figure(stroke, outline, region)
    return figure if stroke.doubled_at is None else partly_repeated(figure, stroke.doubled_at)


def _figure(stroke: Stroke, outline: Outline | None, region: shapely.Geometry, *faults: OutlineFault) -> Figure:
    return Figure(
        layer=stroke.layer,
        makes=stroke.makes,
        outline=outline,
        region=region,
        source=stroke.source,
        faults=faults,
        whole=stroke.whole,
        face=stroke.face,
    )


def _too_small(area: float, at: Point) -> OutlineFault:
    return OutlineFault(
        what=Sentence.of(
            "at {place} is too small for a part: {area}", place=place(*at), area=Quantity.of(area, f"{area:.2f} mm2")
        ),
        at=at,
        measure=Measure(value=area, limit=LEAST_AREA, unit="mm2", sense="least"),
        cure="delete it, or draw it at its full size",
    )


def _crossing(region: shapely.Polygon, line: np.ndarray) -> OutlineFault:
    match = _PLACE_IN_REASON.match(shapely.is_valid_reason(region))
    at = (float(match[2]), float(match[3])) if match else (float(line[0, 0]), float(line[0, 1]))
    what = "touches" if match and match[1] else "crosses"
    return OutlineFault(
        what=Sentence.of("{what} itself at {place}", what=what, place=place(*at)),
        at=at,
        cure="redraw it there so that it runs round once",
        drawn=(corners(np.concatenate([line, line[:1]])),),
    )


def _without_repeats(figures: list[Figure], twice: list[bool], gap: float) -> list[Figure]:
    """The figures, of those that are the same on one layer the one drawn first, with its fault."""
    order = sorted(range(len(figures)), key=lambda i: (len(figures[i].source.handle), figures[i].source.handle))
    groups: list[list[int]] = []
    heads: dict[str, list[int]] = defaultdict(list)
    bounds = np.array([figure.region.bounds for figure in figures]).reshape(-1, 4)
    for index in order:
        figure = figures[index]
        group = None
        if figure.outline is not None and heads[figure.layer]:
            known = heads[figure.layer]
            off = np.abs(bounds[[groups[g][0] for g in known]] - bounds[index]).max(axis=1)
            group = next(
                (
                    known[k]
                    for k in np.flatnonzero(off <= gap)
                    if same_region(figures[groups[known[k]][0]].region, figure.region, gap)
                ),
                None,
            )
        if group is None:
            if figure.outline is not None:
                heads[figure.layer].append(len(groups))
            groups.append([index])
        else:
            groups[group].append(index)
    kept = []
    for group_ in groups:
        figure = figures[group_[0]]
        times = len(group_) + any(twice[i] for i in group_)
        if times > 1:
            figure = repeated(figure, times, [figures[i].source for i in group_[1:]])
        kept.append(figure)
    return kept


def corners(line: np.ndarray) -> tuple[Point, ...]:
    """The corners (n, 2) of a line as plain numbers."""
    return tuple((float(y), float(v)) for y, v in line)


def repeated(figure: Figure, times: int, again: Sequence[Source] = ()) -> Figure:
    """The figure with the fault that it is drawn so many times, also where it is drawn `again`."""
    often = Quantity.of(times, "twice" if times == 2 else f"{times} times")
    what = Sentence.of("is drawn {often}; it is taken once", often=often)
    edits = tuple(
        Remove(target=target_of(source, "outline", drawn=True), at=figure.middle, sure=True)
        for source in again
        if not source.bound
    )
    fault = OutlineFault(what=what, at=figure.middle, cure="delete all of it but one", edits=edits)
    return replace(figure, faults=(*figure.faults, fault))


def partly_repeated(figure: Figure, at: Point) -> Figure:
    """The figure with the fault that one of its lines, with its middle at a place, is drawn twice."""
    what = Sentence.of("has a line drawn twice, about {place}; it is taken once", place=place(*at))
    fault = OutlineFault(what=what, at=at, cure="delete one of the two")
    return replace(figure, faults=(*figure.faults, fault))


def _open(strokes: Iterable[Stroke], gap: float) -> list[Figure]:
    """A figure for each open stroke; those that end on a fork carry no fault, which is the fork's."""
    layers: dict[str, list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        layers[stroke.layer].append(stroke)
    figures: list[Figure] = []
    for layer in sorted(layers):
        here = sorted(layers[layer], key=lambda s: (len(s.source.handle), s.source.handle, s.points.tolist()))
        loose = [stroke for stroke in here if not stroke.forked]
        faults = _gaps(loose, gap)
        for stroke in here:
            region = shapely.Polygon() if len(here) > _MOST_OPEN else _roughly(stroke)
            figures.append(_figure(stroke, None, region, *faults.get(stroke, ())))
    return figures


def _roughly(stroke: Stroke) -> shapely.Geometry:
    """What an open stroke would enclose if a straight line closed it."""
    line = stroke.flattened()
    return shapely.make_valid(shapely.Polygon(line)) if len(line) > 2 else shapely.Polygon()


def _gaps(strokes: list[Stroke], gap: float) -> dict[Stroke, list[OutlineFault]]:
    """The gaps between the ends of open strokes of one layer, by the stroke that tells of each.

    The two ends that are closest make the first gap, the closest of those left the next.
    """
    if len(strokes) > _MOST_OPEN:
        at = (float(strokes[0].points[0, 0]), float(strokes[0].points[0, 1]))
        fault = OutlineFault(
            what=Sentence.of(
                "and {count} more on this layer are no closed outlines; the first begins at {place}",
                count=Quantity.of(len(strokes) - 1, str(len(strokes) - 1)),
                place=place(*at),
            ),
            at=at,
            cure="join each outline into one closed polyline, and draw the rest on another layer",
            drawn=(corners(strokes[0].flattened()),),
        )
        return {strokes[0]: [fault]}
    ends = [(s, (float(p[0]), float(p[1]))) for s, stroke in enumerate(strokes) for p in stroke.points[[0, -1]]]
    pairs = sorted((math.dist(a, b), i, j) for i, (_, a) in enumerate(ends) for j, (_, b) in enumerate(ends[:i]))
    told: dict[Stroke, list[OutlineFault]] = defaultdict(list)
    used: set[int] = set()
    for distance, i, j in pairs:
        if i in used or j in used:
            continue
        used.update((i, j))
        (one, a), (other, b) = sorted((ends[i], ends[j]))
        stroke = strokes[one]
        if one == other and len(stroke.points) == 2 and not stroke.bulges.any():
            what = Sentence.of(
                "is a lone line from {start} to {end}, not a closed outline", start=place(*a), end=place(*b)
            )
            cure: str = "draw it on another layer, or close the outline that it belongs to"
            edits: tuple[Edit, ...] = ()
        else:
            what = Sentence.of(
                "is left open by {gap}, between {start} and {end}",
                gap=mm(distance, gap),
                start=place(*a),
                end=place(*b),
            )
            cure = Sentence.of("close the gap of {gap}", gap=mm(distance, gap))
            edits = (Add(target=target_of(stroke.source, "line across the gap"), points=(a, b)),)
        drawn = tuple(corners(each.flattened()) for each in dict.fromkeys((stroke, strokes[other])))
        measure = Measure(value=distance, limit=gap, words="open by {value}")
        told[stroke].append(
            OutlineFault(what=what, at=a, measure=measure, cure=cure, span=(a, b), drawn=drawn, edits=edits)
        )
    return told
