"""Faults in the order in which a boat goes together: what no way brings to its place."""

from __future__ import annotations

from planting import Boat, Fault

_HEIGHTS = {"3": 395.0, "4": 440.76, "5": 483.0}  # of the stringer's middle, in line from frame 3 to frame 5
_ABEAM = 200.0
_QUARTER = 0.41421356  # bulge of a quarter turn


def _stringers_in_closed_holes(boat: Boat) -> None:
    """Two stringers under the sole, from frame 3 to frame 5, through holes in the floors instead of notches."""
    boat.plan["battens"]["stringer"] = {"section": [30, 20], "arris": 6, "sides": "both"}
    for frame, height in _HEIGHTS.items():
        space = boat.drawing(frame).modelspace()
        for side, abeam in (("port", -_ABEAM), ("starboard", _ABEAM)):
            section = [(abeam - 15, height - 10), (abeam + 15, height - 10), (abeam + 15, height + 10),
                       (abeam - 15, height + 10)]  # fmt: skip
            space.add_lwpolyline(section, close=True, dxfattribs={"layer": "BATTENS"})
            where = {"layer": "BATTENS", "insert": (abeam - 12, height - 2)}
            space.add_text(f"{side} stringer", height=3, dxfattribs=where)
            hole = _rounded(abeam, height, 15.4, 10.9, 5.5)
            space.add_lwpolyline(hole, format="xyb", close=True, dxfattribs={"layer": "CORE"})


def _rounded(u: float, v: float, wide: float, high: float, radius: float) -> list[tuple[float, float, float]]:
    """A rectangle about a point, from the middle by so much each way, its corners rounded: corners and bulges."""
    out = []
    for a, b, along in ((1, -1, 0), (1, 1, 1), (-1, 1, 0), (-1, -1, 1)):
        corner = (u + a * wide, v + b * high)
        before = (corner[0] - a * radius, corner[1]) if along == 0 else (corner[0], corner[1] - b * radius)
        after = (corner[0], corner[1] - b * radius) if along == 0 else (corner[0] - a * radius, corner[1])
        out += [(*before, _QUARTER), (*after, 0.0)]
    return out


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="3",
        check="way-in",
        did="stringers from frame 3 to frame 5 run through closed holes in the floors, in line with frames 2 and 6",
        plant=_stringers_in_closed_holes,
        gives=tuple(
            (("F2", "F3 floor", "F4 floor", "F5 floor", "F6", f"{side} stringer"), None)
            for side in ("port", "starboard")
        ),
    ),
)
