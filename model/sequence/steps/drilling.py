"""How deep to drill and how wide for the screws of a step."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from scrieve.shared.screw_table import pilot_holes

from ...boat.screw import Screw
from ..measurements.screw_positions import screw_positions
from .step import Driving


def drivings(screws: Iterable[Screw], *, left: float) -> tuple[Driving, ...]:
    """These screws, those that are drilled for alike together, in the order given.

    `left` is the wood that the drill has to leave beyond its point, mm.
    """
    alike: dict[tuple[object, ...], list[Screw]] = {}
    for screw in screws:
        alike.setdefault((screw.driven_from, screw.size, stop(screw, left)), []).append(screw)
    return tuple(
        Driving(
            screws=tuple(screw.name for screw in same),
            size=same[0].size.name,
            driven_from=same[0].driven_from,
            stop=stop(same[0], left),
            pilot=None if same[0].size.gauge is None else pilot_holes(same[0].size.gauge),
            clearance=same[0].size.diameter,
            places=screw_positions(same),
        )
        for same in alike.values()
    )


def stop(screw: Screw, left: float) -> float:
    """How far the drill's point goes below the face that the head sits on, mm, rounded down to a tenth.

    To the tip of the screw; less where that would leave less than `left` of the wood along its line.
    """
    wood = abs(screw.far - screw.head)
    return float(np.floor(round(max(min(screw.size.length, wood - left), 0.0) * 10, 4)) / 10)
