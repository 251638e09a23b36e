"""The frames that a drawing shows: what hangs together, about a centreline drawn or seen."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from ..drawing.extents import Extent, rounded
from .content import TOUCHING, Content, Floats, Whole
from .outline_groups import groups_of
from .reference_lines import crossed, datum_line, uprights
from .symmetry import axes, mirrored, paired

_ROOM = 50.0  # mm that are left round a frame, as far as its neighbours let them
_MOSTLY = 0.5  # share of the outlines that are mirrored about a centreline; the rest may be drawn wrong


@dataclass(frozen=True, kw_only=True, eq=False)
class FoundFrame:
    """A frame as shown in a drawing: its outlines, by index, and the `box` round them, drawing axes, mm.

    `origin` is where its centreline meets its datum line, `upright` and `level` the layers on which those are drawn,
    None where they are not. Of a `half` all lies to that side. `others` (n, 4) are the boxes of what else is shown.
    """

    content: Content
    pieces: Whole
    box: Extent
    origin: tuple[float, float]
    upright: str | None
    level: str | None
    half: Literal["", "left", "right"] = ""
    others: Floats = field(default_factory=lambda: np.zeros((0, 4)))

    @cached_property
    def regions(self) -> NDArray[np.object_]:
        """(n,) its outlines as polygons, counted from its origin."""
        return np.asarray(shapely.transform(self.content.regions[self.pieces], lambda p: p - np.array(self.origin)))

    @cached_property
    def layers(self) -> NDArray[np.str_]:
        """(n,) the layers of its outlines."""
        return np.array([self.content.layers[n] for n in self.pieces.tolist()])

    def extent(self, unit: str) -> Extent | None:
        """Its window, counted from its origin, rounded outwards in `unit`, mm; None where nothing else is shown."""
        if not len(self.others):
            return None
        low, high = np.array(self.box[:2]), np.array(self.box[2:])
        apart = np.maximum(self.others[:, :2] - high, low - self.others[:, 2:]).max(axis=1).min()
        room = min(_ROOM, max(float(apart) / 2, 0.0))
        u0, v0, u1, v1 = np.concatenate([low - room, high + room]) - np.tile(self.origin, 2)
        return rounded((float(u0), float(v0), float(u1), float(v1)), replace(self.content.drawing, plan_unit=unit))  # type: ignore[return-value]


def frames_in(content: Content, *, bare: bool = False) -> list[FoundFrame]:
    """The frames in a drawing, from left to right and from below; none where it is a cut sheet, or something else.

    With `bare` also what shows neither a centreline nor parts to either side of one.
    """
    groups = groups_of(content)
    boxes = np.array([content.box(group) for group in groups]).reshape(-1, 4)
    found = []
    for n, group in enumerate(groups):
        if (frame := _frame(content, group, bare=bare)) is not None:
            found.append(replace(frame, others=np.delete(boxes, n, axis=0)))
    return sorted(found, key=lambda frame: (round(frame.origin[1]), round(frame.origin[0])))


def _frame(content: Content, group: Whole, *, bare: bool) -> FoundFrame | None:
    box = content.box(group)
    best: tuple[float, float, str | None, tuple[float, float]] = (-1.0, 0.0, None, (0.0, 0.0))
    for u, layer, span in uprights(content, box):
        share = mirrored(content, group, u)
        if _half(box, u) or (share < _MOSTLY and crossed(content, u, span, layer, box)):
            share = max(share, _MOSTLY)
        best = max(best, (share, u, layer, span), key=lambda each: each[0])
    share, u, upright, span = best
    if upright is None or share < _MOSTLY:
        share, u = max(((mirrored(content, group, u), u) for u in axes(content, group)), default=(0.0, 0.0))
        if share < _MOSTLY or not (bare or paired(content, group, u)):
            return None
        upright, span = None, (box[1], box[3])
    v, level = datum_line(content, u, span, upright, box)
    half = _half(box, u) if share <= _MOSTLY else ""
    return FoundFrame(
        content=content,
        pieces=group,
        box=box,
        origin=(u, v),
        upright=upright,
        level=level,
        half=half,
    )


def _half(box: Extent, u: float) -> Literal["", "left", "right"]:
    """The side of an upright line that all lies to."""
    if box[2] <= u + TOUCHING:
        return "left"
    return "right" if box[0] >= u - TOUCHING else ""
