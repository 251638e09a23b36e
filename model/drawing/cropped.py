"""A drawing without what does not lie where it is wanted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .drawn import Drawing

Wanted = Callable[[NDArray[np.float64]], bool]
"""Whether something drawn through these points (n, 2), drawing axes, mm, is wanted."""


def cropped(drawing: Drawing, wanted: Wanted) -> Drawing:
    """The drawing with those of its objects alone that are wanted where they lie; what is said of it stays."""

    def at(points: ArrayLike) -> bool:
        return wanted(np.asarray(points, dtype=np.float64).reshape(-1, 2))

    return replace(
        drawing,
        outlines=tuple(drawn for drawn in drawing.outlines if at(drawn.outline.flattened())),
        chains=tuple(chain for chain in drawing.chains if at(chain.points)),
        forks=tuple(fork for fork in drawing.forks if at(fork.at)),
        networks=tuple(
            net for net in drawing.networks if at([p for edge in net.edges for p in (edge.start, edge.end)])
        ),
        circles=tuple(c for c in drawing.circles if at(np.add(c.centre, [[-c.radius] * 2, [c.radius] * 2]))),
        points=tuple(point for point in drawing.points if at(point.at)),
        texts=tuple(text for text in drawing.texts if at(text.at)),
    )
