"""Pockets: which parts those that are drawn are cut into, and which plates are let into them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import NamedTuple

import shapely

from scrieve.shared.findings import Level, Measure
from scrieve.shared.memory_shortage import short_of_memory
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import JOINT_REACH, SLIVER
from scrieve.shared.wording import listed, mm, place

from ..boat.defect import Defect
from ..boat.part import Part, drawn_polygon
from ..boat.pocket import Pocket, PocketFace
from ..drawing import LabelledOutline
from ..geometry.cut import pieces_as_cut, without_hairs
from ..geometry.overlap import deepest
from ..geometry.plane import common_area
from ..plan.label_reading import without_side
from ..plan.plan import Layer

_SEATED = 0.5
"""share of what a plate covers of a core part; with more of it pocketed from the plate's face it is let in there."""


_ALIKE = 0.9
"""share of a pocket and of what a plate covers of its part, that both have; then the one is drawn for the other."""


class Cut(NamedTuple):
    """The parts of a frame with their pockets, and what of these cannot be taken as it stands."""

    parts: tuple[Part, ...]
    defects: tuple[Defect, ...]


def with_pockets(
    parts: Sequence[Part],
    drawn: Sequence[LabelledOutline],
    layers: Mapping[str, Layer],
    cutter_of: Callable[[str], float],
) -> Cut:
    """The parts of a frame, pockets cut into them and plates let into those.

    `cutter_of` is the diameter of the cutter of a stock, mm; 0 cuts corners as drawn.

    A pocket is cut into the core parts that it lies on; where it lies on none, into the plates of its face; into the
    one that is named in it. It takes a name where core parts lie over one another in it, as they do at a half-lap.
    """
    defects: list[Defect] = []
    cut: dict[Part, list[Pocket]] = defaultdict(list)
    for shape in drawn:
        layer = layers[shape.layer]
        face: PocketFace = "aft" if layer.face == "aft" else "forward"
        region = drawn_polygon(shape.outline, shape.holes)
        on = [part for part in parts if _is_wide(common_area(part.drawn_shape, region))]
        into, wrong = _into(on, shape, face, region)
        defects += wrong
        for part in into:
            depth = layer.depth or 0.0
            if depth > part.thickness - SLIVER:
                defects.append(_too_deep(part, shape, region, depth))
                continue
            cut[part].append(
                Pocket(
                    face=face, depth=depth, drawn=shape.outline, holes=shape.holes, drawn_shape=region, shape=region,
                    layer=shape.layer, source=shape.source,
                )
            )  # fmt: skip
    if not cut:
        return Cut(tuple(parts), tuple(defects))
    pocketed = []
    for part in parts:
        try:
            pocketed.append(_cut_out(part, cut[part], cutter_of(part.stock)) if part in cut else part)
        except shapely.errors.GEOSException as error:
            if short_of_memory(error):
                raise
            pocketed.append(part)
            defects.append(_not_cut(part, cut[part][0], error))
    defects += [
        _too_narrow(part, pocket, cutter_of(part.stock))
        for part in pocketed
        for pocket in part.pockets
        if _is_uncut(part, pocket)
    ]
    pocketed = [_without_uncut(part) for part in pocketed]
    defects += [defect for part in pocketed for defect in _through(part)]
    seated = tuple(_let_in(part, pocketed) for part in pocketed)
    defects += [defect for part in seated for defect in _on_the_other_face(part, seated)]
    return Cut(seated, tuple(defects))


def _is_wide(shape: shapely.Geometry) -> bool:
    return bool(2 * shapely.area(shape) > SLIVER * shapely.length(shape))


def _into(
    on: Sequence[Part], shape: LabelledOutline, face: PocketFace, region: shapely.Polygon
) -> tuple[list[Part], list[Defect]]:
    """The parts that a pocket is cut into, of those that it lies on; none where that cannot be told."""
    if not on:
        return [], [_defect(shape, region, "{pocket} lies in no part", "move it to the part that it is cut into")]
    core = [part for part in on if part.face == "core"]
    plates = [part for part in on if part.face == face] or list(on)
    if shape.label:
        called = without_side(shape.label)
        named = [part for part in (*core, *plates) if without_side(part.label) == called]
        if named:
            return named[:1], []
        return [], [
            _defect(
                shape,
                region,
                '{pocket} says "{label}", and lies in no part of that name, but in {parts}',
                "write the name of the part that it is cut into in it, on its own layer",
                label=Name(shape.label),
                parts=listed(part.name for part in on),
            )
        ]
    into = core or plates
    for one, other in combinations(into, 2):
        lap = deepest(common_area(one.drawn_shape, region), other.drawn_shape)
        if lap is not None and lap.depth > JOINT_REACH:
            return [], [
                _defect(
                    shape,
                    region,
                    "{pocket} lies in {one} and in {other}, which lie over one another there",
                    "write the name of the one that it is cut into in it, on its own layer",
                    one=one,
                    other=other,
                )
            ]
    return into, []


def _defect(shape: LabelledOutline, region: shapely.Polygon, says: str, cure: str, **values: str | Part) -> Defect:
    at = region.representative_point()
    pocket = Sentence.of("a pocket on layer {layer}, at {place}", layer=Name(shape.layer), place=place(at.x, at.y))
    return Defect(
        message=Sentence.of(says, pocket=pocket, **values),
        source=shape.source,
        at=(float(at.x), float(at.y)),
        cure=cure,
        drawn=(_ring(region),),
    )


def _ring(region: shapely.Polygon) -> tuple[tuple[float, float], ...]:
    return tuple((float(y), float(v)) for y, v in shapely.get_coordinates(region.exterior))


def _too_deep(part: Part, shape: LabelledOutline, region: shapely.Polygon, depth: float) -> Defect:
    return replace(
        _defect(
            shape,
            region,
            "{pocket} is {depth} deep, and {part} {thickness} thick: it goes through",
            "draw it as a hole on the layer of the part, or on a layer of less depth",
            depth=mm(depth, part.thickness),
            part=part,
            thickness=mm(part.thickness, depth),
        ),
        measure=Measure(value=depth, limit=part.thickness),
    )


def _cut_out(part: Part, pockets: Sequence[Pocket], cutter: float) -> Part:
    """The part with these pockets, as a cutter leaves them: what is cut deeper from the same face is gone with each.

    Gone is also what would stand as a hair between a pocket and an edge of the part that it is drawn along.
    """
    cut = []
    for pocket in pockets:
        gone = [other.drawn_shape for other in pockets if other.face == pocket.face and other.depth >= pocket.depth]
        left = without_hairs(shapely.difference(part.drawn_shape, shapely.union_all(gone)))
        out = shapely.difference(part.shape, pieces_as_cut(left, cutter))
        reach = shapely.buffer(pocket.drawn_shape, SLIVER, join_style="mitre")
        cut.append(replace(pocket, shape=common_area(out, reach)))
    return replace(part, pockets=tuple(sorted(cut, key=lambda p: (p.face, p.depth, p.drawn_shape.bounds))))


def _not_cut(part: Part, pocket: Pocket, error: Exception) -> Defect:
    """The defect of a part that is taken without its pockets."""
    at = pocket.drawn_shape.representative_point()
    return Defect(
        message=Sentence.of(
            "the pockets of {part} could not be cut: outlines that all but touch defeat the computation", part=part
        ),
        source=pocket.source,
        at=(float(at.x), float(at.y)),
        cure=Sentence.of(
            "draw their edges on the part's, or apart from them; and please report it, with the plan ({error})",
            error=Name(error),
        ),
        drawn=(_ring(pocket.drawn_shape),),
    )


def _is_uncut(part: Part, pocket: Pocket) -> bool:
    """Whether a cutter leaves more of a pocket than it takes."""
    return float(pocket.shape.area) < float(common_area(part.drawn_shape, pocket.drawn_shape).area) / 2


def _without_uncut(part: Part) -> Part:
    kept = tuple(pocket for pocket in part.pockets if not _is_uncut(part, pocket))
    return part if len(kept) == len(part.pockets) else replace(part, pockets=kept)


def _too_narrow(part: Part, pocket: Pocket, cutter: float) -> Defect:
    """The defect of a pocket that a cutter of this diameter does not get into."""
    at = pocket.drawn_shape.representative_point()
    return Defect(
        message=Sentence.of(
            "a pocket in the {face} face of {part} at {place} is too narrow for the cutter of {cutter}, which leaves "
            "most of it standing",
            part=part,
            face=pocket.face,
            place=place(at.x, at.y),
            cutter=mm(cutter),
        ),
        source=pocket.source,
        at=(float(at.x), float(at.y)),
        cure="draw it wider, or cut it with a smaller cutter",
        drawn=(_ring(pocket.drawn_shape),),
    )


def _through(part: Part) -> Iterator[Defect]:
    """A defect for every two pockets of a part, cut from either face, that meet."""
    for one, other in combinations(part.pockets, 2):
        common = common_area(common_area(one.drawn_shape, other.drawn_shape), part.drawn_shape)
        if one.face != other.face and one.depth + other.depth > part.thickness - SLIVER and _is_wide(common):
            at = common.representative_point()
            yield Defect(
                message=Sentence.of(
                    "{part} has pockets on both faces that meet at {place}: {one} from {face} and {other} from {back} "
                    "go through its {thickness}",
                    part=part,
                    place=place(at.x, at.y),
                    one=mm(one.depth),
                    face=one.face,
                    other=mm(other.depth),
                    back=other.face,
                    thickness=mm(part.thickness),
                ),
                source=one.source,
                at=(float(at.x), float(at.y)),
                cure="draw a hole there on the layer of the part, or pockets of less depth",
                drawn=(_ring(one.drawn_shape), _ring(other.drawn_shape)),
                measure=Measure(value=one.depth + other.depth, limit=part.thickness),
            )


def _let_in(plate: Part, parts: Sequence[Part]) -> Part:
    """A plate, sunk to the floor of the pockets of the core that it lies in, if it lies in any; that of most area."""
    if plate.face == "core":
        return plate
    areas: dict[float, float] = defaultdict(float)
    for part in parts:
        seats = [pocket for pocket in part.pockets if pocket.face == plate.face]
        if part.face != "core" or not seats:
            continue
        over = float(shapely.intersection(plate.shape, part.shape).area)
        within = {pocket: float(common_area(plate.shape, _free(part, pocket, parts)).area) for pocket in seats}
        if sum(within.values()) > _SEATED * over:
            for pocket, area in within.items():
                areas[pocket.depth] += area
    if not areas:
        return plate
    by = max(areas, key=lambda depth: (areas[depth], -depth))
    by = by if plate.face == "aft" else -by
    return replace(plate, low=plate.low + by, high=plate.high + by)


def _on_the_other_face(part: Part, parts: Sequence[Part]) -> Iterator[Defect]:
    """A warning for each empty pocket of a part that has the outline of a plate on its other face, and of none on its
    own; none where that plate has a pocket on its own face too."""
    for pocket in part.pockets if part.face == "core" else ():
        like = [
            plate
            for plate in parts
            if plate.face != "core"
            and _is_seat(pocket, part, plate)
            and not any(
                other.face == plate.face != pocket.face and _is_seat(other, part, plate) for other in part.pockets
            )
        ]
        if not like or any(plate.face == pocket.face for plate in like):
            continue
        if shapely.area(_free(part, pocket, parts)) > _SEATED * pocket.shape.area:
            at = pocket.shape.representative_point()
            yield Defect(
                message=Sentence.of(
                    "the pocket in the {face} face of {part} at {place} has the outline of {plate}, which lies on the "
                    "{other} face",
                    face=pocket.face,
                    part=part,
                    place=place(at.x, at.y),
                    plate=like[0],
                    other=like[0].face,
                ),
                level=Level.WARNING,
                source=pocket.source,
                at=(float(at.x), float(at.y)),
                cure=Sentence.of(
                    'set face = "{other}" of layer {layer}, or draw the plate on the other face',
                    other=like[0].face,
                    layer=Name(pocket.layer),
                ),
                drawn=(_ring(pocket.drawn_shape),),
            )


def _is_seat(pocket: Pocket, part: Part, plate: Part) -> bool:
    """Whether a pocket has the outline that a plate has over its part, or nearly."""
    over = common_area(plate.shape, part.shape)
    alike = float(common_area(over, pocket.shape).area)
    return alike > _ALIKE * max(float(over.area), float(pocket.shape.area))


def _free(part: Part, pocket: Pocket, parts: Sequence[Part]) -> shapely.Geometry:
    """What of a pocket is not filled by another part of the core, lapped in it."""
    low, high = sorted((part.floor(pocket), part.high if pocket.face == "forward" else part.low))
    others = [other for other in parts if other.face == "core" and other is not part]
    filled = [other.between(low, high) for other in others if shapely.intersects(other.shape, pocket.shape)]
    return shapely.difference(pocket.shape, shapely.union_all(filled)) if filled else pocket.shape
