"""The parts of a boat laid out on sheets: a simple arrangement, to be bettered by whoever has the patience."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
import shapely

from ..boat.assembly import Assembly
from ..geometry.outline import Outline
from .packing import packed
from .stack import Floats, Stack

USUAL_SIZE = (2440.0, 1220.0)
"""mm; the sheet that is thought of where a stock has no size: 8 x 4 ft, the commonest plywood."""

MARGIN = 10.0
"""mm between parts and the edge of the sheet, where sheets are bruised and clamped. Common practice, no source."""

PLAY = 2.0
"""mm between parts beyond the cutter's diameter, so that no edge is cut from both sides. Common practice, no source."""


class Piece(NamedTuple):
    """What is to be cut, as seen with the face up that is to be up."""

    name: str
    stock: str
    outline: Outline
    holes: tuple[Outline, ...]


class LaidSheet(NamedTuple):
    """Pieces in their places on a sheet of `stock`, its lower left corner at (0, 0); `number` counts from 1."""

    stock: str
    number: int
    size: tuple[float, float]
    pieces: tuple[Piece, ...]


def pieces_of(assembly: Assembly) -> list[Piece]:
    """Every part of a boat as drawn in its frame, seen from forward."""
    return [Piece(part.name, part.stock, part.drawn, part.holes) for part in assembly.parts()]


def laid_out(
    pieces: Iterable[Piece], *, sizes: Mapping[str, tuple[float, float] | None], cutter: float
) -> tuple[tuple[LaidSheet, ...], tuple[str, ...]]:
    """The pieces on sheets, stock by stock, turned so that they lie close and never turned over; and remarks.

    `sizes` are those of the stocks, (long, wide), None where none is known. Rectangles around pieces
    lie the cutter's diameter and a little more apart. Pieces that are larger than a sheet are remarked on
    and come to lie on sheets that are drawn as large as they have to be. The order of `pieces`
    makes no difference.
    """
    by_stock: dict[str, list[Piece]] = {}
    for piece in sorted(pieces, key=lambda piece: piece.name):
        by_stock.setdefault(piece.stock, []).append(piece)
    sheets: list[LaidSheet] = []
    remarks: list[str] = []
    for stock in sorted(by_stock):
        laid, told = _stock_laid(stock, by_stock[stock], sizes.get(stock) or USUAL_SIZE, cutter + PLAY)
        sheets += laid
        remarks += told
    return tuple(sheets), tuple(remarks)


def _stock_laid(
    stock: str, pieces: Sequence[Piece], size: tuple[float, float], apart: float
) -> tuple[list[LaidSheet], list[str]]:
    lying = [_lying(piece) for piece in pieces]
    boxes = [_extent(piece) for piece in lying]
    fits = [_fits(box, size) for box in boxes]
    small, large = ([n for n, fit in enumerate(fits) if fit is wanted] for wanted in (True, False))
    sheets = _on_sheets(stock, [(lying[n], boxes[n]) for n in small], size, apart, first=1)
    if not large:
        return sheets, []
    needed = np.ceil(np.array([boxes[n] for n in large]).max(axis=0) + 2 * MARGIN)
    larger = (max(float(needed[0]), size[0]), max(float(needed[1]), size[1]))
    more = _on_sheets(stock, [(lying[n], boxes[n]) for n in large], larger, apart, first=len(sheets) + 1)
    longest = max(large, key=lambda n: (boxes[n], pieces[n].name))
    others = "" if len(large) == 1 else f" and {len(large) - 1} more parts"
    remark = (
        f"{pieces[longest].name}, {boxes[longest][0]:.0f} x {boxes[longest][1]:.0f} mm,{others} "
        f"{'does' if len(large) == 1 else 'do'} not fit on a sheet of {stock}, {size[0]:g} x {size[1]:g} mm: "
        f"drawn on {len(more)} of {larger[0]:g} x {larger[1]:g} mm"
    )
    return [*sheets, *more], [remark]


def _on_sheets(
    stock: str,
    lying: Sequence[tuple[Piece, tuple[float, float]]],
    size: tuple[float, float],
    apart: float,
    *,
    first: int,
) -> list[LaidSheet]:
    """The pieces, each with its extent, on sheets of a size that each of them fits, numbered from `first`."""
    # a rectangle takes the room to its neighbours along, of which the last needs none
    room = (size[0] - 2 * MARGIN + apart, size[1] - 2 * MARGIN + apart)
    spots = packed([(box[0] + apart, box[1] + apart) for _, box in lying], room)
    held: dict[int, list[Piece]] = {}
    for (piece, _), spot in zip(lying, spots, strict=True):
        at = (spot.at[0] + MARGIN, spot.at[1] + MARGIN)
        held.setdefault(spot.sheet, []).append(_placed(piece, at, turned=spot.turned))
    return [LaidSheet(stock, first + number, size, tuple(held[number])) for number in sorted(held)]


def _fits(box: tuple[float, float], size: tuple[float, float]) -> bool:
    room = sorted(side - 2 * MARGIN for side in size)
    return all(side <= most for side, most in zip(sorted(box), room, strict=True))


def _lying(piece: Piece) -> Piece:
    """The piece turned so that the least rectangle around it lies along the sheet, its long side too."""
    hull = shapely.get_coordinates(shapely.convex_hull(Stack([piece.outline]).regions()[0]))
    edges = np.diff(hull, axis=0)
    lengths = np.hypot(*edges.T)
    ways = edges[lengths > 1.0] / lengths[lengths > 1.0][:, None]
    along = hull @ ways.T
    across = hull @ np.column_stack([-ways[:, 1], ways[:, 0]]).T
    sides = np.round(np.column_stack([np.ptp(along, axis=0), np.ptp(across, axis=0)]), 2)
    # of rectangles of one area, so that rounding decides nothing, the one along the longest edge
    rank = np.lexsort(
        [
            np.round(np.arctan2(ways[:, 1], ways[:, 0]), 4),
            -np.round(lengths[lengths > 1.0], 2),
            np.round(sides.prod(axis=1)),
        ]
    )
    best = int(rank[0])
    angle = -float(np.arctan2(ways[best, 1], ways[best, 0]))
    if sides[best, 0] < sides[best, 1]:
        angle += np.pi / 2
    return _turned(piece, angle)


def _placed(piece: Piece, at: tuple[float, float], *, turned: bool) -> Piece:
    """The piece, perhaps turned by a quarter, with its lower left at a place."""
    there = _turned(piece, np.pi / 2) if turned else piece
    least = _bounds(there)[:2]
    offset = (at[0] - float(least[0]), at[1] - float(least[1]))
    return there._replace(outline=there.outline.moved(offset), holes=tuple(hole.moved(offset) for hole in there.holes))


def _turned(piece: Piece, angle: float) -> Piece:
    return piece._replace(outline=piece.outline.turned(angle), holes=tuple(hole.turned(angle) for hole in piece.holes))


def _extent(piece: Piece) -> tuple[float, float]:
    left, low, right, high = _bounds(piece)
    return float(right - left), float(high - low)


def _bounds(piece: Piece) -> Floats:
    return np.asarray(shapely.bounds(Stack([piece.outline]).regions()[0]))
