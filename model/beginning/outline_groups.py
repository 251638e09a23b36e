"""Which outlines of a drawing hang together: those of one frame, or a part of a cut sheet by itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
import shapely

from ..plan.label_reading import LabelReader
from .content import TOUCHING, Content, Floats, Whole
from .reference_lines import crosses

_MANY = 20  # rectangles, the largest, that may be a border
_AT_ONCE = 20_000_000  # groups by crosses
_SURROUNDED = 3  # outlines at least within a rectangle that merely surrounds them


def groups_of(content: Content) -> list[Whole]:
    """The outlines of each group, their indices; without borders."""
    inside = _without_borders(content)
    return _about_one_cross(content, [inside[group] for group in _groups(content.bounds[inside])])


def _without_borders(content: Content) -> Whole:
    """The outlines without the rectangles, as of a sheet's edge or a title's frame, that merely surround others.

    Or that surround titles: nothing else is written in them on their own layer.
    """
    bounds = content.bounds
    kept = np.ones(len(bounds), dtype=bool)
    areas = (bounds[:, 2] - bounds[:, 0]) * (bounds[:, 3] - bounds[:, 1])
    four = np.flatnonzero((content.stack.counts == 4) & (np.abs(content.stack.areas) > 0.999 * areas))
    for n in four[np.argsort(-areas[four])][:_MANY].tolist():
        within = np.all(bounds[:, :2] > bounds[n, :2], axis=1) & np.all(bounds[:, 2:] < bounds[n, 2:], axis=1)
        meets = np.all(bounds[:, :2] <= bounds[n, 2:], axis=1) & np.all(bounds[:, 2:] >= bounds[n, :2], axis=1)
        meets[n] = False
        if _entitled(content, n):
            kept[n] = False
            continue
        kept[n] = not (np.count_nonzero(within & kept) >= _SURROUNDED and not np.any(meets & ~within & kept))
    return np.flatnonzero(kept)


def _entitled(content: Content, n: int) -> bool:
    """Whether texts stand in an outline on its own layer that are all titles."""
    reader, (u0, v0, u1, v1) = LabelReader(), content.bounds[n].tolist()
    own = [
        text.text
        for text in content.drawing.texts
        if text.layer == content.layers[n] and u0 <= text.at[0] <= u1 and v0 <= text.at[1] <= v1
    ]
    return bool(own) and all(reader.is_title(reader.alone(text)) for text in own)


def _groups(bounds: Floats) -> list[Whole]:
    """Which boxes hang together, their indices."""
    if not len(bounds):
        return []
    grown = bounds + np.array([-TOUCHING, -TOUCHING, TOUCHING, TOUCHING])
    islands = shapely.get_parts(shapely.union_all(shapely.box(*grown.T)))
    inside, island = shapely.STRtree(islands).query(shapely.points(bounds[:, :2]), predicate="within")
    return [inside[island == n] for n in range(len(islands))]


def _about_one_cross(content: Content, groups: Sequence[Whole]) -> list[Whole]:
    """The groups, those within reach of one centreline and datum line as one: parts need not touch one another."""
    table = crosses(content)
    if not len(table) or len(groups) * len(table) > _AT_ONCE:
        return list(groups)
    joined: dict[int, list[Whole]] = defaultdict(list)
    for n, group in enumerate(groups):
        box = content.box(group)
        u, v = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        held = (table[:, 2] <= u) & (u <= table[:, 4]) & (table[:, 3] <= v) & (v <= table[:, 5])
        away = np.where(held, np.hypot(table[:, 0] - u, table[:, 1] - v), np.inf)
        joined[int(np.argmin(away)) if held.any() else -1 - n].append(group)
    return [np.sort(np.concatenate(these)) for these in joined.values()]
