"""The drawing of the assembly board: holes, their numbers and frames beside them, the lines they are set out from.

It is drawn as the builder sees it, in millimetres, the centreline at u = 0 and the datum line at v = 0. A machine
drills the layer HOLES, which has a circle for each hole and nothing else, or DRILL POINTS, which has their middles.
Beside the board stands a table of the holes. The core parts of each frame lie lightly on a layer of their own.
Layers: HOLES, DRILL POINTS, FRAME NUMBERS, HOLE TABLE, CENTRELINE, DATUM LINE, LEVEL LINE, BOARD EDGE, TITLE, and for
each frame OUTLINE F and its number.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor

import shapely

from scrieve.model.boat.board import Board, Hole
from scrieve.model.boat.frame import Frame
from scrieve.model.drawing.dxf_file import layer_name, new_drawing, text_of
from scrieve.model.dxf_library import Modelspace
from scrieve.model.geometry.plane import disc

from ..marks.placing import PlacedWords, Places, Point, around
from ..reports.style import count, plain

LETTERS = 20.0
"""mm; height of what is written: it is read standing, and cut with a small cutter."""

WIDE = 0.9
"""width of a letter for its height: a little more than that of any usual font."""

CLEAR = 5.0
"""mm between a name and anything else."""

_CLOSE = 1.1  # times CLEAR, from a hole to a name close beside it
_BOARD = shapely.box(-1e6, -1e6, 1e6, 1e6)  # names may stand beside the board as well

HOLES, POINTS, NUMBERS, TABLE = "HOLES", "DRILL POINTS", "FRAME NUMBERS", "HOLE TABLE"
EDGE, TITLE = "BOARD EDGE", "TITLE"
CENTRELINE, DATUM, LEVEL = "CENTRELINE", "DATUM LINE", "LEVEL LINE"

LAYERS = {HOLES: 1, POINTS: 1, NUMBERS: 7, TABLE: 7, CENTRELINE: 8, DATUM: 8, LEVEL: 8, EDGE: 5, TITLE: 7}
"""The layers and the numbers of their colours."""

OUTLINE = "OUTLINE F"
"""What the layer of a frame's outlines is called, before its number."""

_LIGHT = 9  # the number of the colour of the outlines
_PAST = 30.0  # mm by which the lines of reference run on past the board
_DATUM_WORDS = "datum line"
_ROW = 1.8 * LETTERS  # mm from line to line
_COLUMNS = (0.0, 110.0, 260.0, 410.0, 590.0)  # mm; where those of the table begin
_LEVELS = 100.0  # mm; a level line stands a whole number of these from the datum line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedName:
    """A name in its `place`; `key` says that it is the short one, as there was no room for the whole."""

    words: str
    place: PlacedWords
    key: bool = False


def placed(
    holes: Sequence[tuple[Point, float]],
    words: Sequence[str],
    keys: Sequence[str],
    lines: Iterable[shapely.Geometry],
) -> list[PlacedName]:
    """A name for each hole (middle, diameter), in their order, clear of holes, `lines` and each other.

    Those that fit close beside their hole come first, then those that a line leads to. Where not even that can
    be had, its key stands beside the hole; only if there is no room for this either, it covers something.
    """
    places = Places(page=_BOARD, clear=CLEAR)
    places.take(*(disc(at, diameter) for at, diameter in holes), *lines)
    found = {n: place for n, hole in enumerate(holes) if (place := places.first(_close(words[n], hole)))}
    for n, (at, diameter) in enumerate(holes):
        if n not in found and (place := places.beside(_size(words[n]), at, rim=diameter / 2 + CLEAR / 2)):
            found[n] = place
    names = {n: PlacedName(words=words[n], place=place) for n, place in found.items()}
    for n in (n for n in range(len(holes)) if n not in found):
        at, diameter = holes[n]
        close = _close(keys[n], holes[n])
        place = places.first(close) or places.beside(_size(keys[n]), at, rim=diameter / 2 + CLEAR / 2)
        names[n] = PlacedName(words=keys[n], place=place or places.first_or_best(close), key=True)
    return [names[n] for n in range(len(holes))]


def _size(words: str) -> tuple[float, float]:
    return WIDE * LETTERS * len(words), LETTERS


def _close(words: str, hole: tuple[Point, float]) -> list[shapely.Polygon]:
    """Boxes for a name close round a hole, those on the side away from the centreline first."""
    at, diameter = hole
    outward = (1.0 if at[0] >= 0.0 else -1.0, 0.0)
    return around(_size(words), at, [diameter / 2 + _CLOSE * CLEAR], toward=outward, count=16)


def board_drawing(board: Board, boat: str, frames: Sequence[Frame] = ()) -> str:
    """The text of the drawing of a boat's board, a DXF, with the outlines of these frames."""
    layers = {frame.number: layer_name(f"{OUTLINE}{frame.number}") for frame in frames}
    document = new_drawing("R2010", layers={**LAYERS, **dict.fromkeys(layers.values(), _LIGHT)})
    space = document.modelspace()
    holes = [((board.sign * hole.at[0], hole.at[1]), hole) for hole in board.holes]
    for frame in frames:
        _outlines(space, layers[frame.number], frame, board.sign)
    _edge(space, board)
    _lines(space, board)
    for at, hole in holes:
        space.add_circle(_round(at), _fine(hole.diameter / 2), dxfattribs={"layer": HOLES})
        space.add_point(_round(at), dxfattribs={"layer": POINTS})
    _numbers(space, board, holes)
    _table(space, board)
    _title(space, board, boat)
    return text_of(document)


def _outlines(space: Modelspace, layer: str, frame: Frame, sign: float) -> None:
    """The core parts of a frame, which lie on the board, without legs."""
    for part in frame.parts:
        if part.face == "core" and part.role != "leg":
            for outline in (part.drawn, *part.holes):
                seen = outline.mirrored() if sign < 0 else outline
                rows = [(*_round(at), _fine(bulge)) for at, bulge in zip(seen.points, seen.bulges, strict=True)]
                space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": layer})


def _edge(space: Modelspace, board: Board) -> None:
    corners = [(-board.half, board.low), (board.half, board.low), (board.half, board.high), (-board.half, board.high)]
    space.add_lwpolyline([_round(corner) for corner in corners], close=True, dxfattribs={"layer": EDGE})


def _lines(space: Modelspace, board: Board) -> None:
    """The centreline and the datum line, which cross in the origin; a level line if the datum line is off the board."""
    low, high, wide = min(board.low, 0.0) - _PAST, max(board.high, 0.0) + _PAST, board.half + _PAST
    _line(space, CENTRELINE, (0.0, low), (0.0, high))
    _line(space, DATUM, (-wide, 0.0), (wide, 0.0))
    _words(space, CENTRELINE, "centreline", (CLEAR, high - LETTERS))
    _words(space, DATUM, _DATUM_WORDS, (board.half + _PAST + CLEAR, -LETTERS / 2))
    level = level_of(board)
    if level is not None:
        _line(space, LEVEL, (-wide, level), (wide, level))
        _words(space, LEVEL, _level_words(board), (wide + CLEAR, level - LETTERS / 2))


def _level_words(board: Board) -> str:
    level = level_of(board) or 0.0
    return f"{abs(level):g} {'above' if level > 0 else 'below'} the datum line"


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
    top = max(board.high, 0.0) + _PAST + LETTERS
    for number, words in enumerate(reversed(lines)):
        _words(space, TITLE, words, (-board.half, top + number * _ROW))


# ---- the numbers


def _numbers(space: Modelspace, board: Board, holes: Sequence[tuple[tuple[float, float], Hole]]) -> None:
    """The number of each hole and the names of its frames beside it; the number alone where there is no room."""
    keys = [str(number) for number in range(1, len(holes) + 1)]
    words = [f"{key}: {_frames(hole)}" for key, (_, hole) in zip(keys, holes, strict=True)]
    names = placed([(at, hole.diameter) for at, hole in holes], words, keys, _in_the_way(board))
    for name in names:
        _words(space, NUMBERS, name.words, name.place.box.bounds[:2])
        if name.place.lead is not None:
            _line(space, NUMBERS, *name.place.lead)


def _frames(hole: Hole) -> str:
    return " ".join(f"F{frame}" for frame in hole.frames)


def _table(space: Modelspace, board: Board) -> None:
    """A row a hole: its number, x and y from the lower left corner, its diameter, its frames."""
    rows = [("hole", "x", "y", "diameter", "frames")]
    for number, hole in enumerate(board.holes, start=1):
        x, y = board.from_corner(hole)
        rows.append((str(number), f"{x:.1f}", f"{y:.1f}", f"{hole.diameter:g}", _frames(hole)))
    beside = _DATUM_WORDS if level_of(board) is None else _level_words(board)
    left = board.half + _PAST + 2 * CLEAR + _size(beside)[0]
    rows.append(("x to the right and y up from the lower left corner of the board, mm", "", "", "", ""))
    for n, row in enumerate(rows):
        for words, at in zip(row, _COLUMNS, strict=True):
            if words:
                _words(space, TABLE, words, (left + at, board.high - (n + 1) * _ROW))


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


def _words(space: Modelspace, layer: str, words: str, at: Iterable[float]) -> None:
    space.add_text(words, dxfattribs={"layer": layer, "height": LETTERS, "insert": _round(at)})


def _line(space: Modelspace, layer: str, start: Iterable[float], end: Iterable[float]) -> None:
    space.add_line(_round(start), _round(end), dxfattribs={"layer": layer})


def _round(point: Iterable[float]) -> tuple[float, float]:
    u, v = point
    return _fine(u), _fine(v)


def _fine(value: float) -> float:
    """To a ten-thousandth of a millimetre, without a minus nought."""
    return round(float(value), 4) + 0.0
