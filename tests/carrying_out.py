"""Carries edits out in the files of a copy of a plan folder, by what the edits themselves say and nothing else."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import ezdxf
import numpy as np
import shapely

from scrieve.shared.edits import Add, Edit, Move, Relabel, Remove, Reshape, SetKey

NEAR = 1e-3
"""of a drawing's unit; a corner this close to where an edit has it is that corner."""


def carry_out(plan: Path, edits: Iterable[Edit]) -> None:
    """Makes the edits of one finding, or of several that do not touch the same things, in their order."""
    in_plan: list[SetKey] = []
    drawings: dict[str, list[Edit]] = defaultdict(list)
    for edit in dict.fromkeys(edits):
        if isinstance(edit, SetKey):
            in_plan.append(edit)
        else:
            drawings[edit.target.file].append(edit)
    for file, own in drawings.items():
        document = ezdxf.readfile(plan / file)
        for edit in own:
            change(document, edit)
        document.saveas(plan / file)
    for edit in sorted(in_plan, key=lambda one: one.start, reverse=True):
        text = (plan / edit.file).read_text(encoding="utf-8")
        (plan / edit.file).write_text(replaced(text, edit), encoding="utf-8")


def replaced(text: str, edit: SetKey) -> str:
    """The plan's text with its region changed."""
    start, end = (_position(text, place) for place in (edit.start, edit.end))
    return text[:start] + edit.text + text[end:]


def change(document, edit) -> None:
    """Makes one edit in a drawing."""
    space, entities = document.modelspace(), [document.entitydb[handle] for handle in edit.target.handles]
    match edit:
        case Move():
            for entity in entities:
                entity.translate(*np.subtract(edit.end, edit.start), 0)
        case Remove():
            for entity in entities:
                space.delete_entity(entity)
        case Relabel():
            (entity,) = entities
            assert entity.dxf.text == edit.was
            entity.dxf.text = edit.text
        case Reshape():
            for start, end in edit.corners:
                assert sum(_reshaped(entity, start, end) for entity in entities) > 0, (edit.target, start)
        case Add():
            style = {"layer": edit.target.layer}
            if edit.diameter:
                space.add_circle(edit.points[0], edit.diameter / 2, dxfattribs=style)
                return
            bulges = edit.bulges or [0.0] * len(edit.points)
            corners = [(*at, bulge) for at, bulge in zip(edit.points, bulges, strict=True)]
            space.add_lwpolyline(corners, format="xyb", close=len(corners) > 2, dxfattribs=style)
            if edit.text:
                at = shapely.Polygon(edit.points).representative_point()
                space.add_text(edit.text, dxfattribs={**style, "insert": (at.x, at.y), "height": 5.0})


def _reshaped(entity, start, end) -> int:
    """How many corners of an object were moved."""
    if entity.dxftype() == "LWPOLYLINE":
        points = entity.get_points("xyb")
        start, end = (tuple(entity.ocs().from_wcs((*at, 0.0)))[:2] for at in (start, end))
        here = [np.hypot(u - start[0], v - start[1]) < NEAR for u, v, _ in points]
        entity.set_points([(*end, p[2]) if at else p for p, at in zip(points, here, strict=True)], format="xyb")
        return sum(here)
    if entity.dxftype() == "LINE":
        ends = [name for name in ("start", "end") if np.hypot(*np.subtract(entity.dxf.get(name)[:2], start)) < NEAR]
        for name in ends:
            entity.dxf.set(name, (*end, 0.0))
        return len(ends)
    return 0


def _position(text: str, place: tuple[int, int]) -> int:
    line, column = place
    return sum(len(each) for each in text.splitlines(keepends=True)[: line - 1]) + column - 1
