"""How the notches of a frame lean: a small section through the core at each, aft to the left."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.measurements.batten_runs import Bevel, batten_runs

from ...marks.hatch import hatching
from ..letters import width
from ..look import DASHES, INK, OUTLINE, QUIET, SMALL, STRONG, THIN, TONES, WORDS
from ..svg import Svg
from .markup import Markup
from .style import WIDTH

_CELL, _HIGH = (60.0, 29.0), 36.0
_THICK, _DEEP, _OPEN = 14.0, 7.0, 4.0  # mm of paper: the core's thickness, its wood below a notch, half the notch
_RISE = 5.0  # mm of paper that a wall may lean; more and the sketch is smaller, its angles true
_LEAST = 0.05  # mm; what leans less over the core is square


def notch_sketches(frame: Frame, assembly: Assembly) -> Markup:
    """A sketch for each kind of batten that runs through the core: the bottom, and the sides where they lean."""
    told = list(_told(frame, assembly))
    if not told:
        return Markup("")
    columns = int(WIDTH // _CELL[0])
    svg = Svg(WIDTH, _HIGH * -(-len(told) // columns), title=f"notches of {frame.name}", description="")
    for n, (name, bevel) in enumerate(told):
        x, y = n % columns * _CELL[0], n // columns * _HIGH
        svg.words((x + 1.0, y + 4.0), name, WORDS, fill=INK, font_weight="bold")
        _bottom(svg, x + 6.0, y + 17.0, bevel.floor_over, frame.core_thickness)
        if bevel.walls_over >= _LEAST:
            _sides(svg, x + 6.0 + _CELL[1], y + 17.0, bevel, frame.core_thickness)
        else:
            svg.words((x + 4.0 + _CELL[1], y + 17.0), "sides square", SMALL, fill=QUIET)
    return Markup(svg.inline())


def _told(frame: Frame, assembly: Assembly) -> Iterator[tuple[str, Bevel]]:
    """The bevels in this frame by the batten's kind; with its side where the pair is not alike."""
    runs = batten_runs(assembly)
    kinds: dict[str, list[tuple[str, Bevel]]] = {}
    for batten in assembly.battens:
        for bevel in (each for each in runs[batten.name].bevels if each.frame == frame.name):
            kinds.setdefault(batten.kind, []).append((batten.side, bevel))
    for kind, found in kinds.items():
        alike = {(f"{b.floor_over:.1f}", f"{b.walls_over:.1f}", b.walls_way) for _, b in found}
        for side, bevel in found[:1] if len(alike) == 1 else found:
            yield kind if len(alike) == 1 else f"{side} {kind}", bevel


def _bottom(svg: Svg, x: float, y: float, over: float, thick: float) -> None:
    """A section across the bottom, the outside of the boat above."""
    wide, rise = _on_paper(thick, over)
    _wood(svg, shapely.Polygon([(x, y), (x + wide, y - rise), (x + wide, y + _DEEP), (x, y + _DEEP)]))
    words = f"bottom {over:+.1f} mm" if abs(over) >= _LEAST else "bottom square"
    _ends(svg, x, y, words, "outward")


def _sides(svg: Svg, x: float, y: float, bevel: Bevel, thick: float) -> None:
    """A section along the bottom: both sides of the notch, the way they lean above."""
    wide, rise = _on_paper(thick, bevel.walls_over)
    for low, high in ((-_OPEN - _DEEP + 1.0, -_OPEN), (_OPEN, _DEEP + _OPEN - 1.0)):
        near, far = (low, high) if low > 0 else (high, low)
        _wood(svg, shapely.Polygon([(x, y + near), (x + wide, y + near - rise), (x + wide, y + far), (x, y + far)]))
    way = {"top": "to the top", "bottom": "to the bottom"}.get(bevel.walls_way, bevel.walls_way)
    _ends(svg, x, y, f"sides {bevel.walls_over:.1f} mm", way)


def _on_paper(thick: float, over: float) -> tuple[float, float]:
    """How wide a core of this thickness is drawn, and how far what leans `over` it rises, mm of paper."""
    scale = min(_THICK / thick, _RISE / max(abs(over), 1e-9))
    return thick * scale, over * scale


def _wood(svg: Svg, shape: shapely.Polygon) -> None:
    svg.shape(shape, fill=TONES["core"])
    svg.shape(hatching(shape, 45.0, 1.6), fill="none", stroke=INK, stroke_width=0.1)
    svg.shape(shape, fill="none", stroke=INK, stroke_width=OUTLINE)


def _ends(svg: Svg, x: float, y: float, words: str, up: str) -> None:
    """Aft and forward, a line square to the faces, which way is up on the paper, and how much it leans."""
    svg.line(
        (x - 1.5, y), (x + _THICK + 1.5, y), fill="none", stroke=STRONG, stroke_width=THIN, stroke_dasharray=DASHES
    )
    low = y + _DEEP + _OPEN + 2.0
    svg.words((x - 4.0, low), "aft", SMALL, fill=QUIET)
    svg.words((x + _THICK + 4.0 - width("forward", SMALL) / 2, low), "forward", SMALL, fill=QUIET)
    svg.words((x + _THICK / 2, y + _DEEP + _OPEN + 5.0), words, SMALL, fill=INK, text_anchor="middle")
    svg.words((x + _THICK / 2, y - _OPEN - _DEEP + 0.2), f"{up} ↑", SMALL, fill=QUIET, text_anchor="middle")
