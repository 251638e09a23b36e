"""Faults in the dowels of the assembly board."""

from __future__ import annotations

import numpy as np
from ezdxf.entities import DXFEntity
from planting import Boat, Fault

_RADIUS = 5.0  # of the skiff's dowels, mm


def _dowels(boat: Boat, frame: str) -> list[DXFEntity]:
    """The dowels of a frame, the highest first, port before starboard."""
    circles = [c for c in boat.drawing(frame).modelspace().query("CIRCLE") if c.dxf.layer == "DOWELS"]
    return sorted(circles, key=lambda c: (-round(c.dxf.center.y, 3), c.dxf.center.x))


def _dowel_in_the_wood(boat: Boat) -> None:
    corners = [np.array(p[:2]) for p in boat.outline("7", "port side").get_points("xyb")]
    dowel = next(d for d in _dowels(boat, "7") if d.dxf.center.x < 0 and d.dxf.center.y < 700)
    middle = np.array([dowel.dxf.center.x, dowel.dxf.center.y])
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        along = (end - start) / np.hypot(*(end - start))
        off = (middle - start) - along * ((middle - start) @ along)
        if abs(np.hypot(*off) - _RADIUS) < 0.01 and -0.01 < (middle - start) @ along < np.hypot(*(end - start)) + 0.01:
            dowel.dxf.center = tuple(middle - 1.5 * off / np.hypot(*off))
            return
    raise AssertionError("the dowel stands against no wall")


def _dowel_forgotten(boat: Boat) -> None:
    port_sheer = _dowels(boat, "4")[0]
    assert port_sheer.dxf.center.x < 0
    boat.drawing("4").modelspace().delete_entity(port_sheer)


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="4",
        check="dowel-hold",
        did="the dowel in the port sheer notch was not drawn: the side can slide up",
        plant=_dowel_forgotten,
        gives=((("F4 port side",), None),),
    ),
    Fault(
        frame="7",
        check="dowel",
        did="the dowel in the port chine notch stands 1.5 mm in the side",
        plant=_dowel_in_the_wood,
        gives=((("F7 dowel 3", "F7 port side"), 1.5),),
    ),
)
