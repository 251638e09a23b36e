"""Spread: frames drawn apart along the boat, and plates and screws off the faces of their frames."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .body import Body


def spread(bodies: Sequence[Body], *, along: float, off: float) -> NDArray[np.float64]:
    """(bodies, 3) mm, hull axes: how far each stands off its place.

    `along` is what is added between neighbouring frames along x, `off` how far plates leave the core along
    the frame's normal (screws twice that). Battens and rails stay.
    """
    frames = list(dict.fromkeys(body.frame for body in bodies if body.frame))
    middle = (len(frames) - 1) / 2
    steps = {frame: (n - middle) * along for n, frame in enumerate(frames)}
    out = np.array([body.outward for body in bodies]) * off
    out[:, 0] += [steps.get(body.frame, 0.0) for body in bodies]
    return out
