"""The lines of a drawing that may be a frame's centreline and datum line."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..drawing.extents import Extent
from .content import TOUCHING, Content, Floats

_ALONG = 0.05  # mm; a line that runs so little askew is upright or level, and one so close passes through a place
_MANY = 20  # lines, the longest, that may be a centreline
_CROSSES = 200  # upright and level lines, the longest, that may cross as a centreline and a datum line do
_LONG = 0.5  # share of a frame's height or breadth that a line runs along


def crosses(content: Content) -> Floats:
    """(n, 6) where upright and level lines of one layer cross: that place, and the box round the two lines."""
    rows, layers = content.lines
    low, high = np.minimum(rows[:, :2], rows[:, 2:]), np.maximum(rows[:, :2], rows[:, 2:])
    reach = high - low
    up, flat = (np.flatnonzero(reach[:, n] <= _ALONG) for n in (0, 1))
    up, flat = (lines[np.argsort(-reach[lines].max(axis=1), kind="stable")][:_CROSSES] for lines in (up, flat))
    found = [
        (low[n, 0], low[m, 1], low[m, 0], low[n, 1], high[m, 0], high[n, 1])
        for n in up.tolist()
        for m in flat.tolist()
        if layers[n] == layers[m] and low[m, 0] <= low[n, 0] <= high[m, 0] and low[n, 1] <= low[m, 1] <= high[n, 1]
    ]
    return np.array(found).reshape(-1, 6)


def uprights(content: Content, box: Extent) -> list[tuple[float, str, tuple[float, float]]]:
    """Where upright lines run along half the box or more, with their layers and ends; the longest of them."""
    rows, layers = content.lines
    low, high = np.minimum(rows[:, 1], rows[:, 3]), np.maximum(rows[:, 1], rows[:, 3])
    along = np.minimum(high, box[3]) - np.maximum(low, box[1]) >= _LONG * (box[3] - box[1])
    near = (rows[:, 0] >= box[0] - TOUCHING) & (rows[:, 0] <= box[2] + TOUCHING)
    fit = np.flatnonzero((np.abs(rows[:, 2] - rows[:, 0]) <= _ALONG) & along & near)
    fit = fit[np.argsort(low[fit] - high[fit], kind="stable")][:_MANY]
    return [(float(rows[n, [0, 2]].mean()), layers[n], (float(low[n]), float(high[n]))) for n in fit.tolist()]


def datum_line(
    content: Content, u: float, span: tuple[float, float], upright: str | None, box: Extent
) -> tuple[float, str | None]:
    """The height of the datum line and its layer: on the centreline's, at the drawing's own 0, the longest."""
    found = min(
        _levels(content, u, span, box),
        key=lambda line: (line[1] != upright, abs(line[0]) > _ALONG, -line[2], line),
        default=None,
    )
    return (0.0, None) if found is None else (found[0] if abs(found[0]) > _ALONG else 0.0, found[1])


def _levels(content: Content, u: float, span: tuple[float, float], box: Extent) -> Iterator[tuple[float, str, float]]:
    """Heights, layers and lengths of level lines that meet the centreline at `u`; `span` is how far that runs."""
    rows, layers = content.lines
    left, right = np.minimum(rows[:, 0], rows[:, 2]), np.maximum(rows[:, 0], rows[:, 2])
    v = (rows[:, 1] + rows[:, 3]) / 2
    meets = (left <= u + TOUCHING) & (right >= u - TOUCHING) & (right - left > _LONG / 4 * (box[2] - box[0]))
    meets &= (v >= span[0] - TOUCHING) & (v <= span[1] + TOUCHING) & (np.abs(rows[:, 3] - rows[:, 1]) <= _ALONG)
    for n in np.flatnonzero(meets).tolist():
        yield float(v[n]), layers[n], float(right[n] - left[n])


def crossed(content: Content, u: float, span: tuple[float, float], layer: str, box: Extent) -> bool:
    """Whether a long level line of the same layer crosses an upright one amid the box."""
    amid = abs(u - (box[0] + box[2]) / 2) < (box[2] - box[0]) / 4
    return amid and any(
        on == layer and long > _LONG * (box[2] - box[0]) for _, on, long in _levels(content, u, span, box)
    )
