"""How tightly a batten is bent along its length, in both of its planes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.bend_table import THICKEST_RATIO, least_ratio
from scrieve.shared.tolerances import falls_short

from ...boat.batten import Batten, eased_rectangle
from ...geometry.spline import NaturalSpline

_MOST_LAYERS = 8  # more are a laminated beam, not a batten
_FINE = 1e-3  # mm
_MOST_BUMP, _ROUGH = 1000.0, 0.1  # mm
_FELT = 3  # frames; past so many a spline bends by 2 % of what a bump bends it itself
_STEPS = 8  # places a bay; a spline turns evenly from frame to frame, so most at a frame or very near one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bend:
    """A batten at its worst bent place: `x` hull axes, mm.

    `across_short` and `across_long` are how it turns in the plane of its short and of its long side, 1/mm, not
    negative. `ratio` is R/t: 1 over twice the greatest strain of its surface, which for a batten bent in one
    plane is its radius over its thickness there. `least` is the least its stock takes. `layer` is the
    thickness that is bent at once across the short side, mm.
    """

    x: float
    across_short: float
    across_long: float
    ratio: float
    least: float
    layer: float


def turning(batten: Batten, x: NDArray[np.float64]) -> NDArray[np.float64]:
    """(m, 2) 1/mm: the curvature vector of the centre line at `x` (m,), along the long and along the short side."""
    run = np.column_stack([np.ones_like(x), batten.curve.slope(x)])
    bent = np.column_stack([np.zeros_like(x), batten.curve.second(x)])
    speed = np.sum(run * run, axis=1, keepdims=True)
    vector = (bent - run * (np.sum(bent * run, axis=1, keepdims=True) / speed)) / speed
    _, long, short = batten.axes(x)
    return np.column_stack([np.sum(vector * long, axis=1), np.sum(vector * short, axis=1)])


def worst_bend(batten: Batten, limit: float) -> Bend:
    """Where a batten comes nearest to what its stock takes, at the frames and at places evenly between.

    `limit` is the least R/t of stock as thick as the published table goes or thicker; thinner stock
    takes less by that table. A batten's own figure in the plan comes before both.
    """
    knots = batten.centres[:, 0]
    share = np.arange(_STEPS) / _STEPS
    x = np.append((knots[:-1, None] + share * np.diff(knots)[:, None]).ravel(), knots[-1])
    turns = turning(batten, x)
    layer = batten.short / batten.layers
    # layers are eased when they have been glued together
    profile = eased_rectangle(batten.long, layer, batten.arris if batten.layers == 1 else 0.0)
    strain = np.max(turns @ profile.T, axis=1)
    across_long, across_short = np.abs(turns).T
    thickness = np.where(across_short * layer >= across_long * batten.long, layer, batten.long)
    least = np.array([least_of(batten, t, limit) for t in (layer, batten.long)])
    wanted = np.where(thickness == layer, least[0], least[1])
    worst = int(np.argmax(strain * wanted))
    return Bend(
        x=float(x[worst]),
        across_short=float(across_short[worst]),
        across_long=float(across_long[worst]),
        ratio=float(1 / (2 * strain[worst])) if strain[worst] > 0 else np.inf,
        least=float(wanted[worst]),
        layer=layer,
    )


def too_tight(batten: Batten, limit: float, share: float = 1.0) -> bool:
    """Whether a batten is bent tighter than its stock takes, or than this share of the R/t that it takes."""
    bend = worst_bend(batten, limit)
    return falls_short(bend.ratio, share * bend.least)


def bump_that_bends(batten: Batten, limit: float) -> NDArray[np.float64]:
    """(n,) mm: how far each section may be put off, any way, before the batten is bent past its stock about there.

    0 where it is already; infinite for a bump of a metre.
    """
    x = batten.centres[:, 0]
    _, *axes = (vectors[:, 1:] for vectors in batten.axes(x))
    speed = 1 + np.sum(batten.curve.slope(x) ** 2, axis=1)
    layer = batten.short / batten.layers
    sides = np.array([batten.long, layer])
    wanted = np.array([least_of(batten, side, limit) for side in sides])
    profile = eased_rectangle(batten.long, layer, batten.arris if batten.layers == 1 else 0.0)

    every = np.arange(len(x))
    beside = np.clip(every[:, None] + np.arange(-_FELT, _FELT + 1), 0, len(x) - 1)  # (n, m): frames that feel each bump
    held = NaturalSpline.through(x, np.eye(len(x))).bends[beside, every[:, None]]  # (n, m): bent by 1 mm

    def turned(bends: NDArray[np.float64]) -> NDArray[np.float64]:
        """(..., n, m, 2) 1/mm along the long and the short side, of second derivatives (..., n, m, 2)."""
        return np.stack([np.sum(bends * axis[beside], axis=-1) / speed[beside] for axis in axes], axis=-1)

    along = np.stack([axis / np.linalg.norm(axis, axis=1, keepdims=True) for axis in axes])
    ways = np.concatenate([along, -along])  # (4, n, 2)
    now = turned(batten.curve.bends[beside])
    of_bump = turned(held[None, :, :, None] * ways[:, :, None, :])  # (4, n, m, 2)
    low, high = np.zeros(of_bump.shape[:2]), np.full(of_bump.shape[:2], _MOST_BUMP)
    while np.max(high - low) > _ROUGH:
        middle = (low + high) / 2
        turns = now + middle[:, :, None, None] * of_bump
        flat = np.argmax(np.abs(turns) * sides, axis=-1)
        bent = np.any(2 * np.max(turns @ profile.T, axis=-1) * wanted[flat] > 1, axis=-1)
        low, high = np.where(bent, low, middle), np.where(bent, middle, high)
    most = np.max(high, axis=0)
    return np.where(most < _MOST_BUMP, most, np.inf)


def least_of(batten: Batten, thickness: float, limit: float) -> float:
    """The least R/t of a batten's stock in this thickness, mm."""
    return batten.least_bend or limit * least_ratio(thickness) / THICKEST_RATIO


def thin_enough(batten: Batten, bend: Bend, limit: float) -> tuple[Literal["short", "long"], float]:
    """The side that the batten is bent across the most, and how long it may be for its stock to bear it, mm.

    0 where no thickness would do. Arrises are counted as sharp.
    """
    if bend.across_short * bend.layer >= bend.across_long * batten.long:
        return "short", _longest(lambda t: _use(batten, bend, t / batten.layers, batten.long, limit), batten.short)
    return "long", _longest(lambda t: _use(batten, bend, bend.layer, t, limit), batten.long)


def layers_enough(batten: Batten, bend: Bend, limit: float) -> int | None:
    """The least number of layers across the short side that the batten's stock bears to be bent one by one.

    None where no sensible number would do.
    """
    for layers in range(batten.layers + 1, _MOST_LAYERS + 1):
        if _use(batten, bend, batten.short / layers, batten.long, limit) <= 1:
            return layers
    return None


def _use(batten: Batten, bend: Bend, layer: float, long: float, limit: float) -> float:
    """How much of what its stock bears a batten of these sides is bent, as a share."""
    across_short, across_long = bend.across_short * layer, bend.across_long * long
    return (across_short + across_long) * least_of(batten, layer if across_short >= across_long else long, limit)


def _longest(use: Callable[[float], float], most: float) -> float:
    """The greatest length up to `most` mm that is used to no more than the whole, to a thousandth."""
    low, high = 0.0, most
    while high - low > _FINE:
        middle = (low + high) / 2
        low, high = (middle, high) if use(middle) <= 1 else (low, middle)
    return low
