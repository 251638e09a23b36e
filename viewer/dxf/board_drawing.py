"""The drawing of the assembly board: holes, the frames' numbers beside them, and the lines they are set out from.

It is drawn as the builder sees it, in millimetres, the centreline at u = 0 and the datum line at v = 0.
Layers: HOLES, FRAME NUMBERS, CENTRELINE, DATUM LINE, LEVEL LINE, BOARD EDGE, TITLE.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor

import shapely

from scrieve.model.boat.board import Board, Hole
from scrieve.model.drawing.dxf_file import new_drawing, text_of
from scrieve.model.dxf_library import Modelspace
from scrieve.model.geometry.plane import disc

from ..marks.placing import PlacedWords, Places, Point, around
from ..reports.style import count, plain

LETTERS = 6.0
"""mm; height of the names."""

WIDE = 0.9
"""width of a letter for its height: a little more than that of any usual font."""

CLEAR = 2.0
"""mm between a name and anything else."""

_CLOSE = 1.1  # times CLEAR, from a hole to a name close beside it
_BOARD = shapely.box(-1e6, -1e6, 1e6, 1e6)  # names may stand beside the board as well

HOLES, NUMBERS, EDGE, TITLE = "HOLES", "FRAME NUMBERS", "BOARD EDGE", "TITLE"
CENTRELINE, DATUM, LEVEL = "CENTRELINE", "DATUM LINE", "LEVEL LINE"

LAYERS = {HOLES: 1, NUMBERS: 7, CENTRELINE: 8, DATUM: 8, LEVEL: 8, EDGE: 5, TITLE: 7}
"""The layers and the numbers of their colours."""

_HEADING = 12.0  # mm; height of the title's letters
_PAST = 30.0  # mm by which the lines of reference run on past the board
_LEVELS = 100.0  # mm; a level line stands a whole number of these from the datum line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedName:
    """A name in its `place`; `key` says that it stands for a longer one, for which there was no room."""

    words: str
    place: PlacedWords
    key: bool = False


def placed(
    holes: Sequence[tuple[Point, float]], words: Sequence[str], lines: Iterable[shapely.Geometry]
) -> list[PlacedName]:
    """A name for each hole (middle, diameter), in their order, clear of holes, `lines` and each other.

    Those that fit close beside their hole come first, then those that a line leads to. Where not even that can
    be had, a key stands beside the hole, *1, *2 and so on; only if there is no room for this either, it covers
    something.
    """
    places = Places(page=_BOARD, clear=CLEAR)
    places.take(*(disc(at, diameter) for at, diameter in holes), *lines)
    found = {n: place for n, hole in enumerate(holes) if (place := places.first(_close(words[n], hole)))}
    for n, (at, diameter) in enumerate(holes):
        if n not in found and (place := places.beside(_size(words[n]), at, rim=diameter / 2 + CLEAR / 2)):
            found[n] = place
    names = {n: PlacedName(words=words[n], place=place) for n, place in found.items()}
    for key, n in enumerate((n for n in range(len(holes)) if n not in found), start=1):
        at, diameter = holes[n]
        close = _close(f"*{key}", holes[n])
        place = places.first(close) or places.beside(_size(f"*{key}"), at, rim=diameter / 2 + CLEAR / 2)
        names[n] = PlacedName(words=f"*{key}", place=place or places.first_or_best(close), key=True)
    return [names[n] for n in range(len(holes))]


def _size(words: str) -> tuple[float, float]:
    return WIDE * LETTERS * len(words), LETTERS


def _close(words: str, hole: tuple[Point, float]) -> list[shapely.Polygon]:
    """Boxes for a name close round a hole, those on the side away from the centreline first."""
    at, diameter = hole
    outward = (1.0 if at[0] >= 0.0 else -1.0, 0.0)
    return around(_size(words), at, [diameter / 2 + _CLOSE * CLEAR], toward=outward, count=16)


def board_drawing(board: Board, boat: str) -> str:
    """The text of the drawing of a boat's board, a DXF."""
    document = new_drawing("R2010", layers=LAYERS)
    space = document.modelspace()
    sign = -1.0 if board.seen == "from aft" else 1.0
    holes = sorted(((sign * hole.at[0], hole.at[1]), hole) for hole in board.holes)
    _edge(space, board)
    _lines(space, board)
    for at, hole in holes:
        space.add_circle(_round(at), _fine(hole.diameter / 2), dxfattribs={"layer": HOLES})
    _numbers(space, board, holes)
    _title(space, board, boat)
    return text_of(document)


def _edge(space: Modelspace, board: Board) -> None:
    corners = [(-board.half, board.low), (board.half, board.low), (board.half, board.high), (-board.half, board.high)]
    space.add_lwpolyline([_round(corner) for corner in corners], close=True, dxfattribs={"layer": EDGE})


def _lines(space: Modelspace, board: Board) -> None:
    """The centreline and the datum line, which cross in the origin; a level line if the datum line is off the board."""
    low, high, wide = min(board.low, 0.0) - _PAST, max(board.high, 0.0) + _PAST, board.half + _PAST
    _line(space, CENTRELINE, (0.0, low), (0.0, high))
    _line(space, DATUM, (-wide, 0.0), (wide, 0.0))
    _words(space, CENTRELINE, "centreline", (CLEAR, high - LETTERS))
    _words(space, DATUM, "datum line", (board.half + _PAST + CLEAR, -LETTERS / 2))
    level = level_of(board)
    if level is not None:
        way = "above" if level > 0 else "below"
        _line(space, LEVEL, (-wide, level), (wide, level))
        _words(space, LEVEL, f"{abs(level):g} {way} the datum line", (wide + CLEAR, level - LETTERS / 2))


def level_of(board: Board) -> float | None:
    """Where a line on the board stands for a datum line that is off it, mm up; None if that is on it or none fits."""
    if board.low <= 0.0 <= board.high:
        return None
    level = _LEVELS * floor((board.low + board.high) / 2 / _LEVELS)
    return next((v for v in (level, level + _LEVELS) if board.low < v < board.high), None)


def _title(space: Modelspace, board: Board, boat: str) -> None:
    size = f"{2 * board.half:g} x {board.high - board.low:g}"
    kind = "board" if board.given else "least board"
    diameters = sorted({hole.diameter for hole in board.holes})
    across = ", ".join(f"{diameter:g}" for diameter in diameters)
    facing = "port is on the right" if board.seen == "from forward" else "port is on the left"
    lines = (
        f"{plain(boat)}: assembly board, seen {board.seen} ({facing})",
        f"Millimetres. {kind.capitalize()} {size}; {count(len(board.holes), 'hole')}, diameter {across}.",
    )
    top = max(board.high, 0.0) + _PAST + _HEADING
    for number, words in enumerate(reversed(lines)):
        _words(space, TITLE, words, (-board.half, top + number * 2 * _HEADING), height=_HEADING)


# ---- the numbers


def _numbers(space: Modelspace, board: Board, holes: Sequence[tuple[tuple[float, float], Hole]]) -> None:
    """The names of the frames beside each hole; where there is no room, a key to a table beside the board."""
    words = [" ".join(f"F{frame}" for frame in hole.frames) for _, hole in holes]
    names = placed([(at, hole.diameter) for at, hole in holes], words, _in_the_way(board))
    for name in names:
        _words(space, NUMBERS, name.words, name.place.box.bounds[:2])
        if name.place.lead is not None:
            _line(space, NUMBERS, *name.place.lead)
    keyed = [f"{name.words}  {said}" for name, said in zip(names, words, strict=True) if name.key]
    for row, line in enumerate(keyed):
        _words(space, NUMBERS, line, (board.half + _PAST + CLEAR, board.high - (row + 1) * 2 * LETTERS))


def _in_the_way(board: Board) -> list[shapely.Geometry]:
    """The lines that a number should not stand on."""
    far = 4 * (board.half + board.high - board.low)
    lines = [((0.0, -far), (0.0, far)), ((-far, 0.0), (far, 0.0))]
    level = level_of(board)
    if level is not None:
        lines.append(((-far, level), (far, level)))
    edge = shapely.box(-board.half, board.low, board.half, board.high).exterior
    return [*(shapely.LineString(line) for line in lines), edge]


# ---- what is put on paper


def _words(space: Modelspace, layer: str, words: str, at: Iterable[float], *, height: float = LETTERS) -> None:
    space.add_text(words, dxfattribs={"layer": layer, "height": height, "insert": _round(at)})


def _line(space: Modelspace, layer: str, start: Iterable[float], end: Iterable[float]) -> None:
    space.add_line(_round(start), _round(end), dxfattribs={"layer": layer})


def _round(point: Iterable[float]) -> tuple[float, float]:
    u, v = point
    return _fine(u), _fine(v)


def _fine(value: float) -> float:
    """To a ten-thousandth of a millimetre, without a minus nought."""
    return round(float(value), 4) + 0.0
