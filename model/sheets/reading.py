"""Reads a cut sheet: which of the outlines drawn are parts, which holes or marks in them, which the sheet's edge."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.errors import DrawingError
from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Quantity, Sentence

from ..boat.cut_sheet import CutSheet, SheetPocket, SheetShape
from ..boat.defect import Defect
from ..boat.part import Part
from ..drawing import Drawing, DrawnText
from ..drawing.drawn import drawn_with
from ..geometry.outline import Outline
from ..plan.plan import Layer, Plan
from .sheet_extent import drawing_of_sheet
from .stack import Stack, counter_clockwise

_LEAST_AREA = 1.0
"""mm2; a smaller outline is a dot, not a part (common practice, no source)."""

_LEAST_SHARE = 1e-5
"""share of the largest outline's area; a smaller one is a dot on a sheet that is drawn in metres, say."""

_OPEN_SHARE = 0.1
"""share of its length by which an open outline may gape and still be taken for one that was to be closed."""

MOST_OUTLINES = 25_000
"""closed outlines of one cut sheet; a full one has some hundred parts."""

MOST_CORNERS = 1_000_000
"""corners of those, arcs flattened."""

_AT_ONCE = 1_000_000
"""pairs of things held in memory at once."""

_SQUARE = 1e-3
"""rad; a sheet's edge that turns more from the drawing's axes is none."""

Floats = NDArray[np.float64]


class _Contour(NamedTuple):
    outline: Outline
    layer: str
    source: Source
    gap: float = 0.0


def sheets_of(
    plan: Plan, drawings: Mapping[str, Drawing], parts: Iterable[Part]
) -> tuple[tuple[CutSheet, ...], tuple[Defect, ...]]:
    """The cut sheets of a plan, as it lists them, and what in their drawings cannot be taken as it stands.

    `parts` are those of the boat: what is larger than any of them is a sheet's edge.
    """
    if not plan.cut_sheets:
        return (), ()
    bounds = shapely.bounds(np.array([part.shape for part in parts], dtype=object)).reshape(-1, 4)
    longest = float(np.hypot(*(bounds[:, 2:] - bounds[:, :2]).T).max(initial=0.0))
    sheets: list[CutSheet] = []
    defects: list[Defect] = []
    undecided = False
    for index, spec in enumerate(plan.cut_sheets):
        drawing, of_extent = drawing_of_sheet(plan, index, drawings[spec.drawing])
        defects += of_extent
        if drawing is None:
            undecided = True
            continue
        sheet, of_sheet = sheet_of(
            drawing,
            stock=spec.stock,
            size=plan.stock[spec.stock].size,
            longest=longest,
            source=plan.source_of("cut_sheets", index),
            layers=plan.layers,
        )
        sheets.append(sheet)
        defects += (defect for defect in of_sheet if defect not in defects)
    return () if undecided else tuple(sheets), tuple(defects)


def sheet_of(
    drawing: Drawing,
    *,
    stock: str,
    size: tuple[float, float] | None,
    longest: float = np.inf,
    source: Source,
    layers: Mapping[str, Layer] | None = None,
) -> tuple[CutSheet, tuple[Defect, ...]]:
    """The sheet in a drawing whose layers have all been read, and what cannot be taken as it stands.

    What bounds wood is told by what lies in what. An outline in no other is a part; one in a part is a
    hole of it if it is on the part's layer, else a mark; one in a hole is a part again. A rectangle
    along the drawing's axes that holds parts is the edge of the sheet, as is one longer than `longest`,
    which no part is. Where an open line gapes little
    it is taken for an outline that was meant to be closed. What lies on one of `layers` that makes pockets is cut into
    the part that it lies on. Raises DrawingError for more than any sheet could hold.
    """
    uses = {name.casefold(): layer for name, layer in (layers or {}).items() if layer.makes == "pocket"}
    drawn = _contours(drawing)
    contours, bounds, regions = _measured([contour for contour in drawn if contour.layer.casefold() not in uses])
    tree = shapely.STRtree(regions)
    parents = _parents(tree, bounds, regions)
    texts = _texts_in([text for text in drawing.texts if text.layer.casefold() not in uses], tree, regions)
    borders = _borders(contours, bounds, parents, texts, size, longest)
    kinds = _kinds(contours, parents, borders)
    inside: dict[int, dict[str, list[int]]] = defaultdict(lambda: {"hole": [], "mark": []})
    for index, kind in enumerate(kinds):
        if kind in ("hole", "mark"):
            inside[_part_around(index, parents, kinds)][kind].append(index)
    whose: dict[int, list[DrawnText]] = defaultdict(list)
    for index, said in texts.items():
        whose[index if kinds[index] == "part" else _part_around(index, parents, kinds)] += said
    own = [index for index, kind in enumerate(kinds) if kind == "part"]
    cut = [contour for contour in drawn if contour.layer.casefold() in uses]
    pockets, astray = _pockets([(contour, uses[contour.layer.casefold()]) for contour in cut], own, regions)
    rings = counter_clockwise([contour.outline for contour in contours])
    shapes = [
        SheetShape(
            outline=rings[index],
            region=regions[index],
            layer=contours[index].layer,
            source=drawn_with(
                contours[index].source,
                [
                    *(contours[i].source for kind in ("hole", "mark") for i in inside.get(index, {}).get(kind, ())),
                    *(text.source for text in whose.get(index, ())),
                    *(pocket.source for pocket in pockets.get(index, ())),
                ],
            ),
            texts=tuple(sorted(text.text for text in whose.get(index, ()))),
            written=tuple(text.source for text in whose.get(index, ())),
            holes=tuple(rings[i] for i in inside[index]["hole"]) if index in inside else (),
            marks=tuple(rings[i] for i in inside[index]["mark"]) if index in inside else (),
            gap=contours[index].gap,
            pockets=tuple(pockets.get(index, ())),
        )
        for index in sorted(range(len(contours)), key=lambda i: tuple(np.round(bounds[i], 3)))
        if kinds[index] == "part"
    ]
    edges = sorted((_box(bounds[index]) for index in borders if parents[index] < 0), key=lambda edge: edge)
    sheet = CutSheet(
        name=drawing.shown,
        stock=stock,
        size=size,
        shapes=tuple(shapes),
        edges=tuple(edges),
        unit=drawing.unit,
        unit_assumed=drawing.unit_assumed,
        source=source,
    )
    mirrored = [text for index in sorted(whose) for text in whose[index] if text.mirrored]
    return sheet, (
        *drawing.defects,
        *_forked(drawing),
        *_astray(astray, drawing.shown),
        *_mirrored(mirrored, drawing.shown),
    )


def _pockets(
    cut: Sequence[tuple[_Contour, Layer]], own: Sequence[int], regions: NDArray[np.object_]
) -> tuple[dict[int, list[SheetPocket]], list[_Contour]]:
    """The pockets of each contour that is a part, those that it shares most with; and those that lie on none."""
    found: dict[int, list[SheetPocket]] = defaultdict(list)
    astray = []
    for contour, layer in cut:
        shared = shapely.area(shapely.intersection(regions[list(own)], shapely.make_valid(contour.outline.polygon())))
        if not len(own) or shared.max() <= _LEAST_AREA:
            astray.append(contour)
            continue
        found[own[int(shared.argmax())]].append(
            SheetPocket(
                outline=contour.outline, layer=contour.layer, depth=layer.depth or 0.0, source=contour.source,
                face="aft" if layer.face == "aft" else "forward",
            )
        )  # fmt: skip
    return found, astray


def _astray(pockets: Sequence[_Contour], sheet: str) -> Iterator[Defect]:
    """The defect of pockets that lie in no part."""
    if pockets:
        left, low, right, high = pockets[0].outline.polygon().bounds
        yield Defect(
            message=Sentence.of(
                "{many} on layer {layer} of the cut sheet {sheet} in no part, the first at {place}",
                many="a pocket lies" if len(pockets) == 1 else Quantity.of(len(pockets), f"{len(pockets)} pockets lie"),
                layer=Name(pockets[0].layer),
                sheet=Name(sheet),
                place=Name(f"u {(left + right) / 2:.1f}, v {(low + high) / 2:.1f}"),
            ),
            source=pockets[0].source,
            cure="move it to the part that it is cut into, or take it off the sheet",
        )


def _mirrored(texts: Sequence[DrawnText], sheet: str) -> Iterator[Defect]:
    """The defect of texts on parts whose letters read backwards."""
    if texts:
        first = min(texts, key=lambda text: (text.at, text.text))
        others = Sentence.of(" and {count} more", count=Quantity.of(len(texts) - 1, str(len(texts) - 1)))
        yield Defect(
            check="label",
            message=Sentence.of(
                'the text "{text}"{others} on {sheet} {reads} mirrored',
                text=Name(first.text),
                others=others if len(texts) > 1 else "",
                sheet=Name(sheet),
                reads="reads" if len(texts) == 1 else "read",
            ),
            source=first.source,
            cure="turn the part over on the sheet, or the text alone: engraved so, it stands on the wrong face",
        )


def _contours(drawing: Drawing) -> list[_Contour]:
    """Everything that may bound wood: closed outlines, circles, and lines that all but close."""
    found = [_Contour(drawn.outline, drawn.layer, drawn.source) for drawn in drawing.outlines]
    found += [_Contour(Outline.circle(c.centre, c.radius), c.layer, c.source) for c in drawing.circles]
    for chain in drawing.chains:
        if len(chain.points) < 3 or chain.forked:
            continue
        outline = Outline.of(chain.points, [*chain.bulges, 0.0])
        gap = float(np.hypot(*(outline.points[-1] - outline.points[0])))
        if gap < _OPEN_SHARE * float(Stack([outline]).lengths[0]):
            found.append(_Contour(outline, chain.layer, chain.source, gap))
    for what, many, most in (
        ("closed outlines", len(found), MOST_OUTLINES),
        ("corners", sum(contour.outline.count_flattened() for contour in found), MOST_CORNERS),
    ):
        if many > most:
            raise DrawingError.at(f"a cut sheet may hold at most {most} {what} (got {many})", path=drawing.shown)
    areas = np.abs(Stack([contour.outline for contour in found]).areas)
    # a sheet in metres that is read as millimetres holds nothing larger
    least = min(_LEAST_AREA, _LEAST_SHARE * float(areas.max(initial=0.0)))
    return [contour for contour, area in zip(found, areas, strict=True) if area > least]


def _measured(contours: Sequence[_Contour]) -> tuple[list[_Contour], Floats, NDArray[np.object_]]:
    """The contours that bound something, their bounds (n, 4) and regions; of one that crosses itself the largest."""
    regions = Stack([contour.outline for contour in contours]).regions()
    broken = ~shapely.is_valid(regions)
    if broken.any():
        regions[broken] = [_largest(region) for region in shapely.make_valid(regions[broken])]
    real = ~shapely.is_empty(regions)
    kept = [contour for contour, is_real in zip(contours, real, strict=True) if is_real]
    return kept, shapely.bounds(regions[real]).reshape(-1, 4), regions[real]


def _largest(region: shapely.Geometry) -> shapely.Polygon:
    pieces = [piece for piece in shapely.get_parts(region) if piece.geom_type == "Polygon"]
    return max(pieces, key=lambda piece: piece.area, default=shapely.Polygon())


def _parents(tree: shapely.STRtree, bounds: Floats, regions: NDArray[np.object_]) -> list[int]:
    """For each contour the smallest that it lies in, -1 where it lies in none."""
    parents = [-1] * len(bounds)
    boxes = np.prod(bounds[:, 2:] - bounds[:, :2], axis=1)
    areas = shapely.area(regions)
    # what fills its box is a rectangle, in which lies what lies in its box
    full = areas > boxes * (1 - _SQUARE)
    for some in _shares(len(bounds), len(bounds)):
        inner, outer = tree.query(regions[some])
        inner = some[inner]
        within = np.all(bounds[inner, :2] >= bounds[outer, :2], axis=1)
        within &= np.all(bounds[inner, 2:] <= bounds[outer, 2:], axis=1) & (areas[inner] < areas[outer])
        inner, outer = inner[within], outer[within]
        sure = full[outer]
        sure[~sure] = shapely.contains_properly(regions[outer[~sure]], regions[inner[~sure]])
        for i, o in sorted(zip(inner[sure].tolist(), outer[sure].tolist(), strict=True), key=lambda p: -areas[p[1]]):
            parents[i] = o
    return parents


def _shares(count: int, others: int) -> list[NDArray[np.intp]]:
    """The numbers up to `count` in shares, each of which makes no more pairs with `others` things than fit."""
    return np.array_split(np.arange(count), 1 + count * others // _AT_ONCE)


def _texts_in(
    drawn: Sequence[DrawnText], tree: shapely.STRtree, regions: NDArray[np.object_]
) -> dict[int, list[DrawnText]]:
    """The texts by the smallest contour that their anchor, or failing that their middle, stands in."""
    found: dict[int, list[DrawnText]] = defaultdict(list)
    if not len(regions) or not drawn:
        return found
    areas = shapely.area(regions)
    left = list(range(len(drawn)))
    for places in ([text.at for text in drawn], [text.middle for text in drawn]):
        at = np.array([places[i] for i in left]).reshape(-1, 2)
        smallest: dict[int, int] = {}
        for some in _shares(len(at), len(regions)):
            which, contour = tree.query(shapely.points(at[some]))
            which = some[which]
            stands = shapely.contains_xy(regions[contour], at[which, 0], at[which, 1])
            for i, c in zip(which[stands].tolist(), contour[stands].tolist(), strict=True):
                smallest[i] = min(smallest.get(i, c), c, key=lambda index: (areas[index], index))
        for i, c in smallest.items():
            found[c].append(drawn[left[i]])
        left = [index for i, index in enumerate(left) if i not in smallest]
    return found


def _borders(
    contours: Sequence[_Contour],
    bounds: Floats,
    parents: Sequence[int],
    texts: Mapping[int, Sequence[DrawnText]],
    size: tuple[float, float] | None,
    longest: float,
) -> set[int]:
    """The rectangles that are no part but hold parts: the sheet's edge, or a margin within it.

    A rectangle that stands in none is one if it is of the stock's size, or too long for a part; or if it
    holds several outlines, or one on another layer, and one of those has a text or something else in it,
    or all lie on other layers. One in a border is one only if all that it holds lies on other layers.
    """
    children: dict[int, list[int]] = defaultdict(list)
    for index, parent in enumerate(parents):
        children[parent].append(index)
    borders: set[int] = set()
    waiting = list(children[-1])
    while waiting:
        index = waiting.pop()
        held = children.get(index, [])
        apart = all(contours[child].layer != contours[index].layer for child in held)
        filled = any(texts.get(child) or children.get(child) for child in held)
        holds = bool(held) and apart and (filled or len(held) > 1)
        if parents[index] < 0:
            too_long = bool(held) and float(np.max(bounds[index, 2:] - bounds[index, :2])) > longest
            holds = holds or (filled and len(held) > 1) or too_long or _is_of(size, bounds[index])
        if holds and _is_rectangle(contours[index].outline, bounds[index]):
            borders.add(index)
            waiting += held
    return borders


def _is_of(size: tuple[float, float] | None, bounds: Floats) -> bool:
    """Whether bounds are a sheet's size, either way round, to the millimetre."""
    if size is None:
        return False
    sides = sorted((bounds[2] - bounds[0], bounds[3] - bounds[1]))
    return all(abs(side - wanted) < 1.0 for side, wanted in zip(sides, sorted(size), strict=True))


def _is_rectangle(outline: Outline, bounds: Floats) -> bool:
    """Whether an outline is a rectangle along the axes: nothing of it off its own bounds."""
    if outline.bulges.any():
        return False
    reach = float(np.max(bounds[2:] - bounds[:2])) * _SQUARE
    off = np.abs(np.concatenate([outline.points - bounds[:2], outline.points - bounds[2:]], axis=1)).min(axis=1)
    corners = bounds[[[0, 1], [2, 1], [2, 3], [0, 3]]]
    missed = np.abs(outline.points[:, None] - corners[None]).max(axis=2).min(axis=0)
    return bool(off.max() <= reach and missed.max() <= reach)


def _kinds(contours: Sequence[_Contour], parents: Sequence[int], borders: set[int]) -> list[str]:
    """What each contour is: "border", "part", "hole" or "mark"."""
    kinds = [""] * len(contours)

    def depth(index: int) -> int:
        return 0 if parents[index] < 0 else 1 + depth(parents[index])

    for index in sorted(range(len(contours)), key=depth):
        parent = parents[index]
        if index in borders:
            kinds[index] = "border"
        elif parent < 0 or kinds[parent] == "border":
            kinds[index] = "part"
        elif kinds[parent] == "part":
            kinds[index] = "hole" if contours[index].layer == contours[parent].layer else "mark"
        elif kinds[parent] == "mark" and contours[index].layer == contours[parent].layer:
            kinds[index] = "mark"
        else:
            kinds[index] = "part"
    return kinds


def _part_around(index: int, parents: Sequence[int], kinds: Sequence[str]) -> int:
    """The part that a hole, a mark or a text is in; the contour itself where there is none."""
    while kinds[index] in ("hole", "mark") and parents[index] >= 0:
        index = parents[index]
    return index


def _box(bounds: Floats) -> tuple[float, float, float, float]:
    left, low, right, high = (float(value) for value in bounds)
    return left, low, right, high


def _forked(drawing: Drawing) -> list[Defect]:
    """A warning for each layer on which lines meet so that outlines cannot be told apart."""
    counted = Counter(fork.layer for fork in drawing.forks)
    first = {fork.layer: fork for fork in sorted(drawing.forks, key=lambda f: (f.layer, f.at), reverse=True)}
    return [
        Defect(
            message=Sentence.of(
                "three or more ends of lines on layer {layer} of the cut sheet {sheet} meet, at {places}: the outlines "
                "there cannot be told apart",
                layer=Name(layer),
                sheet=Name(drawing.shown),
                places=Quantity.of(number, f"{number} {'place' if number == 1 else 'places'}"),
            ),
            level=Level.WARNING,
            source=first[layer].source,
            cure="draw each part as one closed polyline",
        )
        for layer, number in sorted(counted.items())
    ]
