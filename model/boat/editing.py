"""Edits made from what a check has in hand: things of a frame, and places (y, v) of it, mm.

Each is a tuple, empty where no edit of a drawing can do it: of what is proposed and not drawn, of an outline in a
block. What is drawn on the port half alone is changed there, for both sides.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import dist
from typing import TypeAlias

import numpy as np

from scrieve.shared.edits import Add, Edit, Move, Remove, Reshape, SetKey, Spot, Target
from scrieve.shared.findings import Source
from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT

from ..geometry.edges_moved import Shift, edges_moved
from ..geometry.outline import Outline
from .batten import Section
from .frame import Frame
from .part import Part
from .screw import Dowel, Screw

SURE_REACH = 20.0
"""mm; what has to go further may be somebody else's mistake, and is not sure. Common practice, no source."""

Point: TypeAlias = tuple[float, float]
Thing: TypeAlias = Part | Screw | Dowel | Section


def move(
    frame: Frame, thing: Thing, to: Point, *, along: Sequence[str] = (), after: bool = False, sure: bool = False
) -> tuple[Edit, ...]:
    """A thing moved so that its middle comes to a place; what the same object draws goes along."""
    if not _drawn_alone(thing):
        return ()
    start, end = _spots(frame, _middle(thing), to)
    sure = sure and dist(_middle(thing), to) <= SURE_REACH
    target, others = _target(frame, thing)
    return (Move(target=target, start=start, end=end, along=tuple(along) or others, after=after, sure=sure),)


def remove(frame: Frame, thing: Thing, *, along: Sequence[str] = ()) -> tuple[Edit, ...]:
    """A thing taken out of its drawing."""
    if not _drawn_alone(thing):
        return ()
    (at,), (target, others) = _spots(frame, _middle(thing)), _target(frame, thing)
    return (Remove(target=target, at=at, along=tuple(along) or others),)


def reshape(frame: Frame, part: Part, shifts: Iterable[Shift], *, sure: bool = False) -> tuple[Edit, ...]:
    """Edges of a part moved, as `edges_moved` has it."""
    return reshaped(frame, part, edges_moved(part.drawn, shifts), sure=sure)


def reshaped(
    frame: Frame, part: Part, corners: Iterable[tuple[Point, Point]], *, sure: bool = False
) -> tuple[Edit, ...]:
    """Corners of a part, each from a place to another; nothing where one is no corner that is drawn."""
    corners = [pair for pair in corners if pair[0] != pair[1]]
    are = all(np.hypot(*(part.drawn.points - start).T).min() <= COINCIDENT for start, _ in corners)
    sure = sure and all(dist(*pair) <= SURE_REACH for pair in corners)
    pairs = {(start, end) for corner in corners for start, end in [_spots(frame, *corner)]}
    if not (pairs and are and _drawn_alone(part)):
        return ()
    return (Reshape(target=_target(frame, part)[0], corners=tuple(sorted(pairs)), sure=sure),)


def add_round(
    frame: Frame, like: Screw | Dowel, places: Iterable[Point], diameter: float, *, sure: bool = False
) -> tuple[Edit, ...]:
    """Circles about these places on the layer of a thing that is drawn."""
    target, size = _new(frame, like.source, like.name), diameter / frame.view.scale
    drawn = dict.fromkeys(spot for at in places for spot in _spots(frame, at))
    return tuple(Add(target=target, points=(spot,), diameter=size, sure=sure) for spot in drawn if like.source.handle)


def add_outline(frame: Frame, like: Source, outline: Outline, label: str) -> tuple[Edit, ...]:
    """An outline with a label on the layer of something that is drawn."""
    if frame.view.half and float(outline.points[:, 0].mean()) < 0.0:
        outline = outline.mirrored()
    points = tuple(frame.view.point((float(y), float(v))) for y, v in outline.points)
    bulges = tuple((outline.bulges * frame.view.side).tolist()) if outline.bulges.any() else ()
    return (Add(target=_new(frame, like, label), points=points, bulges=bulges, text=label),)


def in_drawing(frame: Frame, edit: Edit) -> Edit:
    """An edit that is told in the frame's own (y, v), mm, in those of its drawing."""
    if isinstance(edit, SetKey):
        return edit
    made = replace(edit, target=replace(edit.target, frame=frame.number, unit=frame.view.unit))
    if isinstance(made, Add):
        return replace(made, points=tuple(_spots(frame, *made.points)))
    return replace(made, at=_spots(frame, made.at)[0]) if isinstance(made, Remove) else made


def _target(frame: Frame, thing: Thing) -> tuple[Target, tuple[str, ...]]:
    """What draws a thing, by the name of the first that it draws where it stands; and the names of the others."""
    same = _drawn_by(frame).get(thing.source) or {_name(thing): thing}
    first, *others = sorted(same, key=lambda name: (frame.view.half and _middle(same[name])[0] < -COINCIDENT, name))
    handles = (thing.source.handle, *thing.source.others)
    return replace(_new(frame, thing.source, first), handles=handles), tuple(sorted(others))


@kept
def _drawn_by(frame: Frame) -> dict[Source, dict[str, Thing]]:
    """What each object of the drawing draws, by name."""
    things: tuple[Thing, ...] = (*frame.parts, *frame.screws, *frame.dowels, *frame.sections)
    found: dict[Source, dict[str, Thing]] = {}
    for each in things:
        found.setdefault(each.source, {})[_name(each)] = each
    return found


def _new(frame: Frame, like: Source, name: str) -> Target:
    return Target(name=name, frame=frame.number, file=like.file, layer=like.layer, unit=frame.view.unit)


def _spots(frame: Frame, *points: Point) -> list[Spot]:
    """Where points of a frame lie in its drawing; of a side that is not drawn the image, as the first of them lies."""
    side = -1.0 if frame.view.half and points[0][0] < -COINCIDENT else 1.0
    return [frame.view.point((side * y, v)) for y, v in points]


def _drawn_alone(thing: Thing) -> bool:
    return bool(thing.source.handle) and not (isinstance(thing, Part) and thing.source.bound)


def _name(thing: Thing) -> str:
    return thing.batten if isinstance(thing, Section) else thing.name


def _middle(thing: Thing) -> Point:
    if isinstance(thing, Part):
        centre = thing.shape.centroid
        return float(centre.x), float(centre.y)
    return thing.centre if isinstance(thing, Section) else thing.at
