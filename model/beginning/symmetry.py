"""How far a group of outlines is its own image about an upright line, by the boxes round them."""

from __future__ import annotations

import numpy as np
import shapely

from .content import TOUCHING, Content, Whole

_MANY = 20  # outlines, the largest, about which a line of symmetry is looked for


def mirrored(content: Content, group: Whole, u: float) -> float:
    """The share of the outlines whose boxes have an image about an upright line, maybe themselves."""
    return len(np.unique(_images(content, group, u)[:, 0])) / len(group)


def paired(content: Content, group: Whole, u: float) -> bool:
    """Whether an outline and another one are images about an upright line, and lie in no third."""
    bounds = content.bounds[group]
    pairs = _images(content, group, u)
    for n in np.unique(pairs[pairs[:, 0] != pairs[:, 1]]).tolist():
        around = np.all(bounds[:, :2] <= bounds[n, :2], axis=1) & np.all(bounds[:, 2:] >= bounds[n, 2:], axis=1)
        if np.count_nonzero(around) == 1:
            return True
    return False


def _images(content: Content, group: Whole, u: float) -> Whole:
    """(n, 2) the pairs of outlines of one layer whose boxes are images about an upright line, by their places."""
    bounds = content.bounds[group]
    layer = np.unique([content.layers[n] for n in group.tolist()], return_inverse=True)[1]
    images = np.column_stack([2 * u - bounds[:, 2], bounds[:, 1], 2 * u - bounds[:, 0], bounds[:, 3]])
    tree = shapely.STRtree(shapely.points(bounds[:, :2]))
    one, other = tree.query(shapely.points(images[:, :2]), predicate="dwithin", distance=TOUCHING)
    near = np.all(np.abs(images[one] - bounds[other]) <= TOUCHING, axis=1) & (layer[one] == layer[other])
    return np.column_stack([one[near], other[near]])


def axes(content: Content, group: Whole) -> list[float]:
    """Where a line of symmetry may lie: amid the whole, amid one of the largest outlines or of two alike."""
    bounds = content.bounds[group]
    sizes = bounds[:, 2:] - bounds[:, :2]
    large = np.argsort(-sizes.max(axis=1), kind="stable")[:_MANY]
    middles = (bounds[large, 0] + bounds[large, 2]) / 2
    alike = np.abs(sizes[large][:, None] - sizes[large]).max(axis=2) <= TOUCHING
    one, other = np.nonzero(alike)
    left, _, right, _ = content.box(group)
    return sorted({round(float(u), 3) for u in ((left + right) / 2, *middles, *(middles[one] + middles[other]) / 2)})
