"""Cut sheets among the drawings: told by the parts of the frames that lie on them, and what these say of the layers."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePosixPath

import numpy as np

from scrieve.shared.findings import Source
from scrieve.shared.limits import LIMITS

from ..drawing.extents import Extent, rounded
from ..drawing.halves import halves_joined
from ..drawing.stroke import Stroke
from ..geometry.outline import Outline
from ..plan.toml_fields import name_in_plan
from ..sheets.congruence import alike
from ..sheets.scale import drawn_factor
from ..sheets.stack import Stack
from .content import Content
from .frames_found import FoundFrame
from .layer_evidence import FrameOutlines

_WITHIN = 0.1  # mm to which a part on a sheet is as in its frame
_SOME = 0.3  # share of a sheet's outlines that are parts of frames; the rest are holes, or drawn otherwise
_LINKED = 0.2  # share of a layer's outlines that lie on a sheet of its stock
_AT_ONCE = 4_000_000  # pairs of outlines that are held against one another
_TWICE = 1.5  # times that each outline of a layer is on the sheets, on the whole, if plates lie on both faces
_MOST_SHEETS = 20  # in one drawing
_ROOM = 25.0  # mm round the edge of a sheet, as far as its neighbours let it
_NUMBERED = re.compile(r"[\s_-]+\d+$")
_THICK = re.compile(
    r"(?<![\d.])(\d{1,2}(?:[.,]\d{1,2})?)\s*-?mm(?![^\W\d_])|ply[\s_-]*(\d{1,2}(?:[.,]\d)?)(?!\d)", re.I
)
_USUAL = (1.5, 75.0)  # mm, of sheet stock; common practice, no source


@dataclass(frozen=True, kw_only=True, eq=False)
class FoundSheet:
    """A cut sheet, the layers whose outlines lie on it, and its size, mm, where its edge is drawn.

    `window` is that round its edge, drawing axes, mm, where the drawing shows others too.
    """

    content: Content
    layers: frozenset[str]
    size: tuple[float, float] | None
    window: Extent | None = None

    @property
    def shown(self) -> str:
        """The drawing."""
        return self.content.drawing.shown

    def extent(self, unit: str) -> Extent | None:
        """Its window, rounded outwards in `unit`, mm; None where the drawing shows no other."""
        if self.window is None:
            return None
        return rounded(self.window, replace(self.content.drawing, plan_unit=unit))  # type: ignore[return-value]


@dataclass(frozen=True, kw_only=True)
class StockGuess:
    """A stock: its `name`, the layers cut from it, and its `thickness`, mm, None where no name says it."""

    name: str
    layers: tuple[str, ...]
    thickness: float | None
    because: str
    size: tuple[float, float] | None = None


def sheets_among(
    contents: Sequence[Content], frames: Sequence[FrameOutlines]
) -> tuple[list[FoundSheet], dict[str, int]]:
    """The cut sheets among drawings without frames, and how often each outline of the layers on them is cut, 1 or 2."""
    by_layer: dict[str, list[Outline]] = defaultdict(list)
    for outlines in frames:
        for place, layer in zip(outlines.places.tolist(), outlines.layers, strict=True):
            by_layer[layer] += _whole(outlines.frame.found, place)
    half = any(outlines.frame.found.half for outlines in frames)
    stacks = {layer: Stack(these) for layer, these in sorted(by_layer.items())}
    sheets: list[FoundSheet] = []
    cut: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    every = Stack([outline for these in by_layer.values() for outline in these])
    for content in contents:
        linked, on_it = set(), set()
        shown = _in_size(content, every)
        for layer, stack in stacks.items():
            parts, shapes = alike(stack, shown, _WITHIN)
            own, there = set(parts.tolist()), set(shapes.tolist())
            on_it |= there
            if len(own) >= max(1, _LINKED * min(len(stack.counts), len(content.outlines))):
                linked.add(layer)
                cut[layer][0] += len(own)
                cut[layer][1] += len(there)
        if linked and len(on_it) >= _SOME * len(content.outlines):
            edges = _edges(content)
            room = _room(edges)
            sheets += [
                FoundSheet(
                    content=content,
                    layers=frozenset(linked),
                    size=(max(u1 - u0, v1 - v0), min(u1 - u0, v1 - v0)),
                    window=(u0 - room, v0 - room, u1 + room, v1 + room) if len(edges) > 1 else None,
                )
                for u0, v0, u1, v1 in edges
            ] or [FoundSheet(content=content, layers=frozenset(linked), size=None)]
    sides = _TWICE * (2 if half else 1)
    return sheets, {layer: 2 if there >= sides * own else 1 for layer, (own, there) in cut.items() if own}


def stocks(sheets: Sequence[FoundSheet], kinds: Mapping[str, str]) -> tuple[list[StockGuess], dict[str, str]]:
    """The stocks, and the name of each layer's and of each sheet's.

    `kinds` says of each layer of parts what stock it is likely cut from where no sheet tells: "core", "gussets", …
    """
    on_sheets = [{layer for layer in sheet.layers if layer in kinds} for sheet in sheets]
    told = set().union(*on_sheets)
    alike: dict[tuple[str, float | None], set[str]] = defaultdict(set)
    for layer, kind in kinds.items():
        if layer not in told:
            alike[kind, _thickness(layer)].add(layer)
    out: list[StockGuess] = []
    of: dict[str, str] = {}
    for group in _merged([*on_sheets, *alike.values()]):
        layers = tuple(sorted(group))
        own = [sheet for sheet in sheets if sheet.layers & group]
        stems = sorted({name_in_plan(_NUMBERED.sub("", PurePosixPath(sheet.shown).stem)) for sheet in own} - {""})
        thick = {name: value for name in (*layers, *stems) if (value := _thickness(name)) is not None}
        thickness = next(iter(thick.values())) if len(set(thick.values())) == 1 else None
        name = stems[0] if len(stems) == 1 else f"ply{thickness:g}" if thickness else kinds[layers[0]]
        name = next(each for n in range(1, 1000) if (each := f"{name}-{n}" if n > 1 else name) not in of.values())
        out.append(
            StockGuess(
                name=name,
                layers=layers,
                thickness=thickness,
                because=f'the name "{next(iter(thick))}"' if thickness else "",
                size=next((sheet.size for sheet in own if sheet.size), None),
            )
        )
        of |= dict.fromkeys((*layers, *(sheet.shown for sheet in own)), name)
    return out, of


def _whole(frame: FoundFrame, place: int) -> list[Outline]:
    """An outline of a frame; of a half drawing with its image if it lies along the centreline, as it is cut."""
    drawn = frame.content.outlines[place]
    if not frame.half:
        return [drawn]
    side = -1.0 if frame.half == "left" else 1.0
    points = (drawn.points - np.array(frame.origin)) * (side, 1.0)
    port = Stroke(
        layer="", makes="part", points=points, bulges=drawn.bulges * side, closed=True, source=Source(file="")
    )
    joined, _ = halves_joined([port], LIMITS["outline"].default)
    return [Outline(points=stroke.points, bulges=stroke.bulges) for stroke in joined]


def _in_size(content: Content, parts: Stack) -> Stack:
    """The outlines of a sheet, those of one that is drawn in another unit than it says in the size of the parts."""
    if len(content.outlines) * len(parts.counts) > _AT_ONCE:
        return content.stack
    factor = drawn_factor(content.stack, parts, _WITHIN)
    if factor == 1.0:
        return content.stack
    return Stack([Outline(points=each.points * factor, bulges=each.bulges) for each in content.outlines])


def _merged(groups: Sequence[set[str]]) -> list[set[str]]:
    """The groups, those that share a layer as one."""
    out: list[set[str]] = []
    for group in groups:
        apart = [each for each in out if not each & group]
        joined = set(group).union(*(each for each in out if each & group))
        out = [*apart, joined] if joined else apart
    return sorted(out, key=lambda group: min(group))


def _thickness(name: str) -> float | None:
    found = _THICK.search(name)
    value = float((found[1] or found[2]).replace(",", ".")) if found else 0.0
    return value if _USUAL[0] <= value <= _USUAL[1] else None


def _edges(content: Content) -> list[Extent]:
    """The rectangles, beside one another, that all else lies in, each with something in it; none if some does not."""
    bounds = content.bounds
    areas = (bounds[:, 2:] - bounds[:, :2]).prod(axis=1)
    four = np.flatnonzero((content.stack.counts == 4) & (np.abs(content.stack.areas) > 0.999 * areas))
    found: list[int] = []
    free = np.ones(len(bounds), dtype=bool)
    for n in four[np.argsort(-areas[four], kind="stable")][:_MOST_SHEETS].tolist():
        within = np.all(bounds[n, :2] <= bounds[:, :2], axis=1) & np.all(bounds[n, 2:] >= bounds[:, 2:], axis=1)
        if free[n] and np.count_nonzero(within) > 1:
            found.append(n)
            free &= ~within
    return [] if free.any() else [tuple(row) for row in sorted(bounds[found].tolist())]


def _room(edges: Sequence[Extent]) -> float:
    """How far round each of these a window may reach and stay clear of the others: half-way, and _ROOM at most."""
    boxes = np.array(edges).reshape(-1, 4)
    apart = np.maximum(boxes[:, None, :2] - boxes[None, :, 2:], boxes[None, :, :2] - boxes[:, None, 2:]).max(axis=2)
    return float(min(_ROOM, max(0.0, apart[~np.eye(len(boxes), dtype=bool)].min(initial=np.inf) / 2)))
