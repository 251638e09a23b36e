"""Places and directions as three plain numbers."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

Triple = tuple[float, float, float]


def triple(values: ArrayLike) -> Triple:
    """Three plain numbers; no negative nought."""
    x, y, z = (float(v) + 0.0 for v in np.asarray(values))
    return x, y, z
