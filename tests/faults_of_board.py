"""A fault of the assembly board: holes of two frames that run into one another."""

from __future__ import annotations

from planting import Boat, Fault


def _dowel_into_anothers_hole(boat: Boat) -> None:
    port = -588.69  # port is at negative u
    boat.drawing("1").modelspace().add_circle((port, 762.19), 5.0, dxfattribs={"layer": "DOWELS"})


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="5",
        check="board",
        did="the transom was given a dowel against its port edge, 2.15 mm beside the place of one of frame 5",
        plant=_dowel_into_anothers_hole,
        gives=((("F1 dowel 1", "F5 dowel 1"), -7.85),),
    ),
)
