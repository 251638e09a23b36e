"""The pockets of a part against those that are drawn in its shape on a cut sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import shapely

from scrieve.shared.findings import Measure
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import SLIVER, exceeds
from scrieve.shared.wording import mm, place

from ..boat.cut_sheet import SheetPocket, SheetShape
from ..boat.part import Part
from ..boat.pocket import Pocket, PocketFace
from ..geometry.plane import common_area
from .congruence import placings
from .difference import Pattern, laid
from .move import RigidMotion
from .stack import Stack


class PocketFault(NamedTuple):
    """What is wrong with the pockets in a shape: a sentence about its part, what is measured, and the cure."""

    says: Sentence
    cure: str
    measure: Measure | None = None


def pocket_faults(part: Part, shape: SheetShape, within: float) -> list[PocketFault]:
    """What is wrong with the pockets in a shape of a part's form, laid on it the way that least is."""
    if not part.pockets and not shape.pockets:
        return []
    moves = placings(Stack([part.drawn]), Stack([shape.outline]), within)
    moves = moves or [laid(Pattern(part), shape, within).move]
    return min((list(_faults(part, shape, move, within)) for move in moves), key=len)


def _faults(part: Part, shape: SheetShape, move: RigidMotion, within: float) -> Iterator[PocketFault]:
    up: PocketFace = "aft" if move.over else "forward"  # (y, v) are seen from forward
    there = [(pocket, _clipped(part, move.shape(pocket.outline.polygon()))) for pocket in shape.pockets]
    marks = [_clipped(part, move.shape(mark.polygon())) for mark in shape.marks]
    here = [(pocket, _clipped(part, shapely.Polygon(pocket.drawn_shape.exterior))) for pocket in part.pockets]
    pairs = _paired(here, there, within)
    for n, (pocket, wanted) in enumerate(here):
        if n not in pairs:
            on_other = any(not exceeds(_off(mark, wanted), within) for mark in marks)
            yield _lacking(part, pocket, on_other=on_other)
            continue
        drawn, region = there[pairs[n]]
        at = _place(wanted)
        if _is_of_other_layer(pocket, drawn):
            yield PocketFault(
                Sentence.of(
                    "the pocket of {part} at {at}, {depth} deep in its {face} face, is drawn on layer {layer} for "
                    "{other} in the {its} one",
                    part=part, at=at, depth=mm(pocket.depth, drawn.depth), face=pocket.face, layer=Name(drawn.layer),
                    other=mm(drawn.depth, pocket.depth), its=drawn.face,
                ),
                Sentence.of("draw it on layer {layer}", layer=Name(pocket.layer)),
                Measure(value=drawn.depth, limit=pocket.depth),
            )  # fmt: skip
        if exceeds(off := _off(region, wanted), within):
            yield PocketFault(
                Sentence.of(
                    "the pocket in the {face} face of {part} at {at} has another form or place than in its frame, by "
                    "{off}, up to {limit} is allowed",
                    face=pocket.face, part=part, at=at, off=mm(off, within), limit=mm(within, off),
                ),
                "copy it onto the sheet anew from the frame's drawing, if that is the right one",
                Measure(value=off, limit=within),
            )  # fmt: skip
    yield from (
        PocketFault(
            Sentence.of("{part} has no pocket in its frame like that on layer {layer}", part=part,
                        layer=Name(drawn.layer)),
            "take it off the sheet, or draw it in the frame",
        )
        for n, (drawn, region) in enumerate(there)
        if n not in pairs.values() and not _is_island(part, region, within)
    )  # fmt: skip
    faces = {pocket.face for pocket in part.pockets}
    if len(faces) == 1 and up not in faces:
        (face,) = faces
        yield PocketFault(
            Sentence.of(
                "{part} lies with its {up} face up, and its pockets are cut into the {face} one", part=part, up=up,
                face=face,
            ),
            "turn the part over on the sheet, pockets and all",
        )  # fmt: skip


def _paired(
    here: Sequence[tuple[Pocket, shapely.Geometry]],
    there: Sequence[tuple[SheetPocket, shapely.Geometry]],
    within: float,
) -> dict[int, int]:
    """Which pocket drawn in the shape is which of the part: pairs with least wrong first, each once.

    So of two with one outline, in either face, each has its own.
    """
    tried = []
    for n, (pocket, wanted) in enumerate(here):
        for m, (drawn, region) in enumerate(there):
            if shapely.intersection(region, wanted).area > wanted.area / 2:
                off = _off(region, wanted)
                wrong = _is_of_other_layer(pocket, drawn) + exceeds(off, within)
                tried.append((wrong, abs(drawn.depth - pocket.depth), off, n, m))
    pairs: dict[int, int] = {}
    for *_, n, m in sorted(tried):
        if n not in pairs and m not in pairs.values():
            pairs[n] = m
    return pairs


def _is_of_other_layer(pocket: Pocket, drawn: SheetPocket) -> bool:
    return abs(drawn.depth - pocket.depth) > SLIVER or drawn.face != pocket.face


def _lacking(part: Part, pocket: Pocket, *, on_other: bool) -> PocketFault:
    wanted = _clipped(part, pocket.drawn_shape)
    return PocketFault(
        Sentence.of(
            "the pocket in the {face} face of {part} at {at} is {lacking}",
            face=pocket.face,
            part=part,
            at=_place(wanted),
            lacking="drawn on a layer that makes no pockets" if on_other else "lacking",
        ),
        Sentence.of("draw it on layer {layer}", layer=Name(pocket.layer)),
    )


def _is_island(part: Part, region: shapely.Geometry, within: float) -> bool:
    """Whether an outline is what is left standing in a pocket of the part."""
    islands = [_clipped(part, hole.polygon()) for pocket in part.pockets for hole in pocket.holes]
    return any(not exceeds(_off(region, island), within) for island in islands)


def _clipped(part: Part, region: shapely.Geometry) -> shapely.Geometry:
    return common_area(shapely.make_valid(region), shapely.Polygon(part.drawn_shape.exterior))


def _off(one: shapely.Geometry, other: shapely.Geometry) -> float:
    """How far the edges of two regions are apart at most, mm."""
    if one.is_empty or other.is_empty:
        return float("inf")
    return float(shapely.hausdorff_distance(one.boundary, other.boundary))


def _place(region: shapely.Geometry) -> str:
    at = region.representative_point()
    return place(at.x, at.y)
