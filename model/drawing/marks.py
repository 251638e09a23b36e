"""Screws and dowels of a frame: one mark for each centre drawn on their layers."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.edits import Remove
from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT
from scrieve.shared.wording import listed, place

from ..boat.defect import Defect
from ..geometry.outline import Outline
from .collector import counted
from .drawn import Drawing, DrawnChain, drawn_with, target_of
from .frame_shapes import LayerUse, Mark
from .halves import beyond_the_half, on_layer
from .stroke import SOLID
from .window import DrawingWindow

MARKED = frozenset({"screw", "dowel"})
"""What is made from circles and points."""

SYMBOL = 25.0
"""mm; a cross or a stroke that stands for a screw or a dowel is no larger. Common practice, no source."""


def marks_within(
    drawing: Drawing, layers: Mapping[str, LayerUse], window: DrawingWindow, *, mirror: bool, gap: float
) -> tuple[list[Mark], list[Defect], frozenset[str]]:
    """The marks in the window, by layer and place; what is wrong with them or is no mark; and what is not read.

    Circles, closed outlines that are round, points and blocks count, and small symbols of lines, crosses, short
    strokes or closed outlines, by their centres. Where several share a centre, as shank and head do, the widest is the
    mark; of the same width they are drawn twice. With `mirror` each that is not on the centreline has its image. Not
    read is "screw" or "dowel" where a layer of them holds things and none of those is a mark.
    """
    found, crossing, other = _found(drawing, layers, window, gap)
    defects = [_across(mark) for mark in crossing]
    marks, repeated, again = _one_a_centre(found, gap)
    if repeated:
        many = Quantity.of(len(repeated), "1 mark is" if len(repeated) == 1 else f"{len(repeated)} marks are")
        defects.append(
            Defect(
                message=Sentence.of(
                    "{many} drawn more than once on layer {layer} and taken once, at {places}",
                    many=many,
                    layer=Name(repeated[0].layer),
                    places=listed(place(*mark.at) for mark in repeated[:3]),
                ),
                level=Level.WARNING,
                source=repeated[0].source,
                at=repeated[0].at,
                cure="delete all but one of each",
                edits=tuple(
                    Remove(target=target_of(each.source, "mark", drawn=True), at=each.at, sure=True)
                    for each in again
                    if not each.source.bound
                ),
            )
        )
    marked = {mark.layer for mark in found}
    # a layer of screws or dowels that holds things and gives none is read wrongly, not empty
    for text in drawing.texts:
        if _marks(layers, text.layer) and text.layer not in marked and window.holds(*window.point(text.at)) == "inside":
            other["text", text.layer] += 1
    empty = {key: times for key, times in other.items() if _marks(layers, key[1]) and key[1] not in marked}
    unread = frozenset(_makes(layers, layer) for _, layer in empty)
    for level, those in ((Level.WARNING, empty), (Level.NOTE, {k: n for k, n in other.items() if k not in empty})):
        if those:
            said = listed(f"{counted(times, what)} on layer {layer}" for (what, layer), times in those.items())
            defects.append(
                Defect(
                    message=Sentence.of(
                        "not used, as screws and dowels are circles, points or small crosses, and parts closed "
                        "outlines: {said}{instead}",
                        said=said,
                        instead="; none are proposed in their place" if level is Level.WARNING else "",
                    ),
                    level=level,
                    source=Source(file=drawing.shown),
                )
            )
    if mirror:
        marks, beyond = _both_halves(marks, gap)
        defects.extend(beyond)
    return sorted(marks, key=lambda mark: (mark.layer, mark.at, mark.radius)), defects, unread


def _found(
    drawing: Drawing, layers: Mapping[str, LayerUse], window: DrawingWindow, gap: float
) -> tuple[list[Mark], list[Mark], Counter[tuple[str, str]]]:
    """Marks inside the window, marks across its edge, and a count of what is no mark."""
    marks: list[Mark] = []
    other: Counter[tuple[str, str]] = Counter()
    for circle in drawing.circles:
        if _marks(layers, circle.layer):
            at = window.point(circle.centre)
            marks.append(Mark(layer=circle.layer, at=at, radius=circle.radius, source=circle.source))
    for point in drawing.points:
        if _marks(layers, point.layer):
            marks.append(Mark(layer=point.layer, at=window.point(point.at), radius=0.0, source=point.source))
        elif (
            not point.of_block
            and _makes(layers, point.layer) in SOLID
            and window.holds(*window.point(point.at)) == "inside"
        ):
            other["point", point.layer] += 1
    for drawn in drawing.outlines:
        if _marks(layers, drawn.layer):
            round_one = _round(drawn.outline, gap)
            if round_one is not None:
                at = window.point(round_one[0])
                marks.append(Mark(layer=drawn.layer, at=at, radius=round_one[1], source=drawn.source))
                continue
            corners = window.points(drawn.outline.points)
            low, high = corners.min(axis=0), corners.max(axis=0)
            if float(np.max(high - low)) <= SYMBOL:
                at = (float((low[0] + high[0]) / 2), float((low[1] + high[1]) / 2))
                marks.append(Mark(layer=drawn.layer, at=at, radius=0.0, source=drawn.source))
            elif window.holds_line(corners) == "inside":
                other["outline", drawn.layer] += 1
    symbols = {(mark.layer, mark.source.handle) for mark in marks}
    # lines of a block that holds a mark are its cross hairs
    lone = [c for c in drawing.chains if _marks(layers, c.layer) and (c.layer, c.source.handle) not in symbols]
    drawn_marks = list(marks)
    for lines in _symbols(lone, gap):
        points = np.concatenate([window.points(chain.points) for chain in lines])
        low, high = points.min(axis=0), points.max(axis=0)
        layer, at = lines[0].layer, (float((low[0] + high[0]) / 2), float((low[1] + high[1]) / 2))
        source = drawn_with(lines[0].source, [line.source for line in lines[1:]])
        about = (
            n
            for n, m in enumerate(drawn_marks)
            if m.layer == layer and np.all(low - m.radius <= m.at) and np.all(m.at <= high + m.radius)
        )
        hairs, small = next(about, None), float(np.max(high - low)) <= SYMBOL
        if hairs is None and small:
            marks.append(Mark(layer=layer, at=at, radius=0.0, source=source))
        else:
            if hairs is not None and small:
                marks[hairs] = replace(marks[hairs], source=drawn_with(marks[hairs].source, [source]))
            other["line", layer] += sum(window.holds_line(window.points(c.points)) == "inside" for c in lines)
    where = [window.holds(*mark.at, radius=mark.radius) for mark in marks]
    return (
        [mark for mark, there in zip(marks, where, strict=True) if there == "inside"],
        [mark for mark, there in zip(marks, where, strict=True) if there == "across"],
        +other,
    )


def _symbols(chains: Sequence[DrawnChain], gap: float) -> list[list[DrawnChain]]:
    """The open lines in groups: those of one layer that cross or touch one another."""
    lines = np.array([shapely.linestrings(chain.points) for chain in chains], dtype=object)
    groups: dict[int, list[int]] = {n: [n] for n in range(len(lines))}
    for one, other in shapely.STRtree(lines).query(lines, predicate="dwithin", distance=gap).T.tolist():
        if chains[one].layer == chains[other].layer and groups[one] is not groups[other]:
            groups[one] += groups[other]
            for n in groups[other]:
                groups[n] = groups[one]
    return [[chains[n] for n in group] for n, group in groups.items() if group[0] == n]


def _marks(layers: Mapping[str, LayerUse], layer: str) -> bool:
    return _makes(layers, layer) in MARKED


def _makes(layers: Mapping[str, LayerUse], layer: str) -> str:
    use = layers.get(layer)
    return "" if use is None else use.makes


def _round(outline: Outline, gap: float) -> tuple[tuple[float, float], float] | None:
    """Centre and radius of an outline that is a circle to within `gap` mm, else None."""
    line = outline.flattened()
    if len(line) < 8:
        return None
    least, most = line.min(axis=0), line.max(axis=0)
    centre: NDArray[np.float64] = (least + most) / 2
    reach = np.hypot(*(line - centre).T)
    # the box of a flattened circle is off by up to its sagitta
    if np.ptp(reach) > 2 * gap:
        return None
    return (float(centre[0]), float(centre[1])), float(reach.mean())


def _across(mark: Mark) -> Defect:
    return Defect(
        message=Sentence.of(
            "{mark} at {place} lies across the edge of the frame's extent",
            mark=on_layer("a mark", mark.layer),
            place=place(*mark.at),
        ),
        source=mark.source,
        at=mark.at,
        cure="widen the extent to hold it, or narrow it to leave it out",
    )


def _one_a_centre(marks: list[Mark], gap: float) -> tuple[list[Mark], list[Mark], list[Mark]]:
    """The widest mark of each layer and centre, those of them that have a twin of the same width, and the twins."""
    kept: list[Mark] = []
    repeated: dict[int, Mark] = {}
    again: list[Mark] = []
    cells: dict[tuple[str, int, int], list[int]] = defaultdict(list)
    size = 4 * max(gap, COINCIDENT)
    for mark in sorted(marks, key=lambda m: (m.layer, -m.radius, m.at, len(m.source.handle), m.source.handle)):
        column, row = round(mark.at[0] / size), round(mark.at[1] / size)
        near = (
            index
            for dx in (0, -1, 1)
            for dy in (0, -1, 1)
            for index in cells.get((mark.layer, column + dx, row + dy), ())
            if math.dist(kept[index].at, mark.at) <= gap
        )
        twin = next(near, None)
        if twin is None:
            cells[mark.layer, column, row].append(len(kept))
            kept.append(mark)
        else:
            if abs(kept[twin].radius - mark.radius) <= gap:
                repeated[twin] = kept[twin]
                again.append(mark)
            kept[twin] = replace(kept[twin], source=drawn_with(kept[twin].source, [mark.source]))
    return kept, [repeated[index] for index in sorted(repeated)], again


def _both_halves(marks: list[Mark], gap: float) -> tuple[list[Mark], list[Defect]]:
    """The marks of the port half and their images; a defect for each that is drawn to starboard."""
    out: list[Mark] = []
    defects: list[Defect] = []
    for mark in marks:
        y, v = mark.at
        if y < -gap:
            defects.append(beyond_the_half(on_layer("a mark", mark.layer), mark.at, mark.source))
            continue
        out.append(mark)
        if y > gap:
            out.append(replace(mark, at=(-y, v), image=True))
    return out, defects
