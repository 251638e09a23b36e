"""Faults in how battens run: off the fair curve, bent too tightly."""

from __future__ import annotations

import numpy as np
from planting import Boat, Fault, shifted


def _sheer_too_low(boat: Boat) -> None:
    for side in ("port", "starboard"):
        section, wood = boat.outline("4", f"{side} sheer"), boat.outline("4", f"{side} side")
        corners = np.array([p[:2] for p in section.get_points("xyb")])
        low = corners[np.argsort(corners[:, 1])[:2]]
        along = corners[np.argmin(np.abs(corners[:, 0]))] - corners[np.argmax(corners[:, 1])]
        down = 6.0 * along / np.hypot(*along)
        foot = low.mean(axis=0)
        reach = float(np.hypot(*(low[0] - foot))) + 6.0
        picked = shifted(wood, lambda u, v, at=foot, by=reach: np.hypot(u - at[0], v - at[1]) < by, tuple(down))
        assert picked == 3  # the two ends of the relief in the notch's corner, and the notch's lip
        for dowel in boat.drawing("4").modelspace().query("CIRCLE[layer=='DOWELS']"):
            if np.hypot(*(np.array(dowel.dxf.center)[:2] - foot)) < reach:
                dowel.translate(*down, 0.0)
        assert shifted(section, lambda u, v: True, tuple(down)) == 4
        boat.text("4", f"{side} sheer").translate(*down, 0.0)


def _stiffer_stock_for_the_chine(boat: Boat) -> None:
    boat.plan["battens"]["chine"]["bend"] = 250


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="4",
        check="fair",
        did="the sheer battens and their notches were drawn 6 mm too low, by a slip in the offsets",
        plant=_sheer_too_low,
        gives=((("port sheer",), 5.49), (("starboard sheer",), 5.49)),
    ),
    Fault(
        frame="4",
        check="bend",
        did="the chine battens were changed to a stock that bends no tighter than 250 times its thickness",
        plant=_stiffer_stock_for_the_chine,
        gives=((("port chine",), None), (("starboard chine",), None)),
    ),
)
