"""Faults in how a frame is put together: screws that no driver reaches."""

from __future__ import annotations

import numpy as np
from planting import Boat, Fault, end_of

_SIDES = (("port", 1.0), ("starboard", -1.0))
_GAP, _EDGE = 0.5, 5.0  # mm, from the gusset's end to the cleat and to the screw beside it


def _cleats_beside_screws(boat: Boat) -> None:
    """Cleats 45 mm high for a thwart, each against the inboard end of a chine gusset and a screw that stands there."""
    boat.plan["stock"]["ply45"] = {"thickness": 45, "size": [2440, 1220], "density": 500}
    boat.plan["layers"]["CLEATS"] = {"makes": "part", "face": "forward", "stock": "ply45"}
    drawing = boat.drawing("2")
    drawing.layers.add("CLEATS")
    space = drawing.modelspace()
    for side, inboard in _SIDES:
        label = f"{side} chine gusset"
        gusset = boat.outline("2", label)
        a, b, out = end_of(gusset, towards=(inboard, 0.0))
        corners = [tuple(p + d * out) for p, d in ((a, _GAP), (b, _GAP), (b, _GAP + 30), (a, _GAP + 30))]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "CLEATS"})
        where = tuple(np.mean(corners, axis=0))
        space.add_text(f"{side} thwart cleat", height=5, dxfattribs={"layer": "CLEATS", "insert": where})
        places = {screw: np.array(screw.dxf.center)[:2] for screw in boat.screws("2", "SCREWS FWD", label)}
        nearest = max(places, key=lambda screw: float((places[screw] - a) @ out))
        nearest.dxf.center = tuple(places[nearest] - ((places[nearest] - a) @ out + _EDGE) * out)


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="2",
        check="driver",
        did="cleats 45 mm high were added at the ends of the chine gussets, each 5.5 mm from a screw",
        plant=_cleats_beside_screws,
        gives=(
            (("F2 forward screw 8", "F2 port thwart cleat"), 11.0),
            (("F2 forward screw 9", "F2 starboard thwart cleat"), 11.0),
        ),
    ),
)
