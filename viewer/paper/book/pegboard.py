"""The chapter of the assembly board: its drawing, and the table of holes from one corner."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.board import Board, Hole, board_of
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.steps.words import in_a_row, short

from ...marks.placing import Places, box_about
from ..letters import size_of
from ..look import CHAIN, HEAVY, INK, QUIET, SMALL, THIN, TONES
from ..sight import Sight, fitting, scale_words
from ..signs import dowel, leader, scale_bar
from ..svg import Svg
from .markup import Markup, bullets, chapter, element, figure, table
from .style import WIDTH

_HEADINGS = ("hole", "x", "y", "mm", "frames", "holds")
_MADE = (
    "draw the centreline and the datum line, then bore the holes square to the board and write beside each its number",
    "dowels stand beside the parts, against their edges and in their notches: no part is drilled for them; press each "
    "part against its own",
    "only the dowels of the frame in hand stand in the board; wax them, or wrap them in film, before glue is about",
)
"""How it is made and used. Common practice, no source."""

_FRAMES_OVER = 0.3  # mm; a part this near to a peg is held by it


def board_chapter(assembly: Assembly) -> Markup:
    """The board and its holes; empty for a boat without dowels."""
    board = board_of(assembly)
    if not board.holes:
        return Markup("")
    rows = []
    frames = {frame.number: frame for frame in assembly.frames}
    for number, hole in enumerate(board.holes, start=1):
        x, y = board.from_corner(hole)
        rows.append((str(number), f"{x:.1f}", f"{y:.1f}", f"{hole.diameter:g}", _names(hole), _serves(hole, frames)))
    middle = -(-len(rows) // 2)
    size = f"{2 * board.half:.0f} x {board.high - board.low:.0f} mm"
    port = "left" if board.sign < 0 else "right"
    return chapter(
        "board",
        "The assembly board",
        element(
            "p",
            f"Board {size}, seen {board.seen}, port on your {port}. x is from its left edge, y from its lower edge; "
            f"the centreline is at x {board.half:.0f}, "
            f"the datum line, where the rail tops come, at y {-board.low:.0f}.",
            class_="rule",
        ),
        bullets(_MADE),
        figure(_drawing(board, assembly), "Holes by number; the frames lightly behind them."),
        element("div", *(table(_HEADINGS, half) for half in (rows[:middle], rows[middle:]) if half), class_="halves"),
        element(
            "p",
            "Go on when the frames' centreline and datum line are on the board and every hole is checked.",
            class_="go",
        ),
    )


def holes_of_frame(assembly: Assembly, frame: Frame) -> str:
    """The numbers of the holes in which a frame's dowels stand: "7, 12 and 15"; empty for none."""
    holes = enumerate(board_of(assembly).holes, start=1)
    return in_a_row([str(number) for number, hole in holes if frame.number in hole.frames])


def _names(hole: Hole) -> str:
    return ", ".join(f"F{number}" for number in hole.frames)


def _serves(hole: Hole, frames: dict[str, Frame]) -> str:
    """The parts of the first of its frames that a peg stands against."""
    frame = frames[hole.frames[0]]
    peg = shapely.Point(hole.at).buffer(hole.diameter / 2 + _FRAMES_OVER)
    return in_a_row([short(part.name) for part in frame.core if shapely.intersects(part.shape, peg)])


def _drawing(board: Board, assembly: Assembly) -> Markup:
    wide, high = 2 * board.half, board.high - board.low
    scale = fitting(wide, high, (WIDTH - 4.0, 120.0))
    height = high * scale + 16.0
    svg = Svg(WIDTH, height, title="the assembly board", description="")
    bounds = (-board.half, board.low, board.half, board.high)
    sight = Sight.of(bounds, (WIDTH / 2, 4.0 + high * scale / 2), scale, board.seen)
    edge = sight.shape(shapely.box(*bounds))
    svg.shape(edge, fill="none", stroke=INK, stroke_width=HEAVY)
    for frame in assembly.frames:
        if frame.dowels:
            core = shapely.union_all([part.shape for part in frame.core])
            svg.shape(sight.shape(core), fill=TONES["core"], fill_opacity=0.25, stroke=QUIET, stroke_width=THIN)
    _lines(svg, sight, board)
    places = Places(page=edge, clear=0.5)
    for hole in board.holes:
        at = sight.point(*hole.at)
        dowel(svg, at, hole.diameter / 2 * scale)
        places.take(shapely.Point(at).buffer(max(hole.diameter / 2 * scale, 0.85) + 0.2))
    _numbers(svg, sight, board.holes, places)
    scale_bar(svg, (WIDTH - 2.0, height - 3.0), scale, f"scale {scale_words(scale)}, mm")
    return Markup(svg.inline())


def _lines(svg: Svg, sight: Sight, board: Board) -> None:
    style = {"fill": "none", "stroke": QUIET, "stroke_width": THIN, "stroke_dasharray": CHAIN}
    svg.line(sight.point(-board.half, 0.0), sight.point(board.half, 0.0), **style)
    svg.line(sight.point(0.0, board.low), sight.point(0.0, board.high), **style)


def _numbers(svg: Svg, sight: Sight, holes: Sequence[Hole], places: Places) -> None:
    for number, hole in enumerate(holes, start=1):
        at, words = sight.point(*hole.at), str(number)
        size = size_of(words, SMALL)
        turns = np.linspace(0.0, 2 * np.pi, 12, endpoint=False)
        boxes = [
            box_about((at[0] + r * np.cos(t), at[1] + r * np.sin(t)), size) for r in (2.2, 3.0, 4.0) for t in turns
        ]
        placed = places.first(boxes) or places.beside(size, at) or places.first_or_best(boxes)
        if placed.lead is not None:
            leader(svg, *placed.lead)
        left, _, right, low = placed.box.bounds
        svg.words(((left + right) / 2, low), words, SMALL, fill=INK, text_anchor="middle")
