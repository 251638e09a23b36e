"""A DXF file of several frames, to lay over their drawings.

Each frame is a block, FRAME and its number, in the coordinates and unit of its own drawing: inserted there at 0, 0
it lies exactly on what is drawn. In the file itself the blocks are set out side by side, each with its title.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from math import ceil, sqrt
from typing import Any

import numpy as np

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.view import DrawingView
from scrieve.model.drawing.dxf_file import UNIT_CODES, layer_name, new_drawing, text_of
from scrieve.model.geometry.outline import Outline
from scrieve.shared.units import INSUNITS, MM_PER_UNIT

Point = tuple[float, float]

FRAME_LINES, GUSSET_LINES, AXES, NAMES = "FRAME OUTLINES", "GUSSET OUTLINES", "CENTRELINE AND DATUM", "NAMES"
_COLOURS = {FRAME_LINES: 8, GUSSET_LINES: 5, AXES: 9, NAMES: 8}
_OTHER_COLOUR = 7
_LETTERS, _TITLE = 6.0, 20.0  # mm; height of the names of parts, and of the titles
_WIDE = 0.8  # width of a letter for its height, a little more than any font's
_BETWEEN = 150.0  # mm between frames


class FrameBlocks:
    """A document that frames are added to. `plan_layers` are the names that the plan has for layers of its own."""

    def __init__(self, views: Iterable[DrawingView], plan_layers: Collection[str]) -> None:
        units = {view.unit for view in views}
        self._unit = units.pop() if len(units) == 1 else "mm"
        self._document = new_drawing("R2010", unit=self._unit)
        self._plan_layers = {name.casefold() for name in plan_layers}
        self._cells: list[tuple[str, str, Point, Point]] = []  # block, title, its lower left and upper right

    def words(self, name: str) -> str:
        """A layer's name in plain words, changed as far as needed to be none of the plan's."""
        while name.casefold() in self._plan_layers:
            name = f"{name} (2)"
        return name

    def layer(self, name: str, colour: int = _OTHER_COLOUR) -> str:
        """The name as DXF allows it, once there is a layer of this name."""
        name = layer_name(name)
        if name not in self._document.layers:
            self._document.layers.add(name, color=_COLOURS.get(name, colour))
        return name

    def frame(self, frame: Frame, view: DrawingView, title: str) -> FrameBlock:
        """A block for a frame, with its outlines, axes and names, to add marks to."""
        name = f"FRAME {frame.number}"
        block = self._document.blocks.new(name)
        block.block_record.dxf.units = UNIT_CODES[view.unit]
        made = FrameBlock(self, block, view)
        made.draw_parts(frame.parts)
        boxes = np.array([part.shape.bounds for part in frame.parts] or [(0.0, 0.0, 0.0, 0.0)]).reshape(-1, 2)
        corners = np.array([view.point((y, v)) for y, v in boxes.tolist()])
        corners = np.vstack([corners, view.origin]) * self._size_of(view)
        low, high = corners.min(axis=0), corners.max(axis=0)
        self._cells.append((name, title, (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))))
        made.draw_axes(low / self._size_of(view), high / self._size_of(view))
        return made

    def mark_block(self, diameter: float, arm: float, view: DrawingView) -> str:
        """The name of the block of a centre mark: a circle of this diameter, and a cross that reaches `arm` past it."""
        unit = view.unit.upper()
        name = f"SCREW {round(diameter / view.scale, 4):g} {unit}"
        if name not in self._document.blocks:
            block = self._document.blocks.new(name)
            radius, reach = diameter / 2 / view.scale, (diameter / 2 + arm) / view.scale
            block.add_circle((0, 0), radius, dxfattribs={"layer": "0"})
            block.add_line((-reach, 0), (reach, 0), dxfattribs={"layer": "0"})
            block.add_line((0, -reach), (0, reach), dxfattribs={"layer": "0"})
        return name

    def text(self, remarks: Sequence[str] = ()) -> str:
        """The file, its frames set out side by side in rows, from the left and from the top; remarks above them."""
        scale = MM_PER_UNIT[self._unit]
        space = self._document.modelspace()
        names = self.layer(self.words(NAMES))
        columns = max(1, ceil(sqrt(len(self._cells))))
        wide = max((high[0] - low[0] for _, _, low, high in self._cells), default=0.0) + _BETWEEN / scale
        tall = max((high[1] - low[1] for _, _, low, high in self._cells), default=0.0) + _BETWEEN / scale
        for n, (name, title, low, high) in enumerate(self._cells):
            row, column = divmod(n, columns)
            at = column * wide - low[0], -row * tall - high[1]
            size = MM_PER_UNIT[str(INSUNITS[self._document.blocks[name].block_record.dxf.units])] / scale
            space.add_blockref(name, _tidy(at), dxfattribs={"layer": "0", "xscale": size, "yscale": size})
            head = (column * wide, -row * tall + _TITLE / scale)  # above the frame, whose top is at -row * tall
            space.add_text(title, dxfattribs={"layer": names, "height": _TITLE / scale, "insert": _tidy(head)})
        for n, line in enumerate(reversed(remarks)):
            at = 0.0, (3.5 + 1.6 * n) * _TITLE / scale
            space.add_text(line, dxfattribs={"layer": names, "height": _TITLE / scale, "insert": _tidy(at)})
        return text_of(self._document)

    def _size_of(self, view: DrawingView) -> float:
        """The document's units in one unit of a drawing."""
        return view.scale / MM_PER_UNIT[self._unit]


class FrameBlock:
    """The block of one frame. Points are (y, v) of the frame, mm, wherever they are taken."""

    def __init__(self, blocks: FrameBlocks, block: Any, view: DrawingView) -> None:
        self._blocks, self._block, self.view = blocks, block, view

    def draw_parts(self, parts: Iterable[Part]) -> None:
        """The outlines of all parts as drawn, those of the gussets on a layer of their own, and their names."""
        seen: set[tuple[str, str]] = set()
        for part in parts:
            gusset = part.role == "gusset"
            if (part.label, part.source.handle) in seen:
                continue  # a plate of both faces is drawn once
            seen.add((part.label, part.source.handle))
            layer = self._blocks.layer(self._blocks.words(GUSSET_LINES if gusset else FRAME_LINES))
            for outline in (part.drawn, *part.holes):
                self._outline(outline, layer)
            at = part.drawn_shape.representative_point()
            self.say(part.label, (float(at.x), float(at.y)), NAMES, centred=True)

    def draw_axes(self, low: np.ndarray, high: np.ndarray) -> None:
        """The centreline and the datum line through the origin, across the box of the frame (drawing units)."""
        u, v = self.view.origin
        layer = {"layer": self._blocks.layer(self._blocks.words(AXES))}
        self._block.add_line(_tidy((u, float(low[1]))), _tidy((u, float(high[1]))), dxfattribs=layer)
        self._block.add_line(_tidy((float(low[0]), v)), _tidy((float(high[0]), v)), dxfattribs=layer)

    def mark(self, at: Point, layer: str, diameter: float, arm: float, colour: int = _OTHER_COLOUR) -> None:
        """A centre mark, as a block of circle and cross."""
        name = self._blocks.mark_block(diameter, arm, self.view)
        self._block.add_blockref(name, self._at(at), dxfattribs={"layer": self._blocks.layer(layer, colour)})

    def outline(self, points: Iterable[Point], bulges: Sequence[float], layer: str) -> None:
        """A line of two points, or a closed outline of more, in the drawing's own coordinates."""
        corners = [_tidy(at) for at in points]
        rows = [(*at, bulge) for at, bulge in zip(corners, bulges or [0.0] * len(corners), strict=True)]
        style = {"layer": self._blocks.layer(layer)}
        self._block.add_lwpolyline(rows, format="xyb", close=len(rows) > 2, dxfattribs=style)

    def circle(self, at: Point, diameter: float, layer: str, colour: int = _OTHER_COLOUR) -> None:
        """A circle."""
        style = {"layer": self._blocks.layer(self._blocks.words(layer), colour)}
        self._block.add_circle(self._at(at), diameter / 2 / self.view.scale, dxfattribs=style)

    def line(self, start: Point, end: Point, layer: str, colour: int = _OTHER_COLOUR) -> None:
        """A line."""
        style = {"layer": self._blocks.layer(self._blocks.words(layer), colour)}
        self._block.add_line(self._at(start), self._at(end), dxfattribs=style)

    def say(self, words: str, at: Point, layer: str, *, height: float = _LETTERS, centred: bool = False) -> None:
        """Words that begin at a point, or are centred on it."""
        height /= self.view.scale
        u, v = self._at(at)
        if centred:
            u, v = u - height * _WIDE * len(words) / 2, v - height / 2
        style = {"layer": self._blocks.layer(self._blocks.words(layer)), "height": height, "insert": _tidy((u, v))}
        self._block.add_text(words, dxfattribs=style)

    def _outline(self, outline: Outline, layer: str) -> None:
        outline = outline.mirrored() if self.view.side < 0 else outline
        around = [(self.view.side * y, v) for y, v in outline.points.tolist()]
        corners = [(*self._at(at), round(bulge, 9)) for at, bulge in zip(around, outline.bulges.tolist(), strict=True)]
        self._block.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": layer})

    def _at(self, at: Point) -> Point:
        return _tidy(self.view.point(at))


def _tidy(at: Sequence[float]) -> Point:
    """To a millionth of a unit, without a minus zero."""
    return round(float(at[0]), 6) + 0.0, round(float(at[1]), 6) + 0.0
