"""Faults at the joints: gussets and their screws."""

from __future__ import annotations

import numpy as np
from ezdxf.entities import DXFEntity
from planting import Boat, Fault, end_of, polygon, shifted

from scrieve.shared.findings import Level


def _gusset_on_one_face_only(boat: Boat) -> None:
    drawing, label = boat.drawing("7"), "port sheer gusset"
    outline, text = boat.outline("7", label), boat.text("7", label)
    for screw in boat.screws("7", "SCREWS AFT", label):
        drawing.modelspace().delete_entity(screw)
    if "GUSSETS FWD" not in drawing.layers:
        drawing.layers.add("GUSSETS FWD")
    outline.dxf.layer = text.dxf.layer = "GUSSETS FWD"


def _gusset_too_short(boat: Boat) -> None:
    gusset = boat.outline("4", "starboard chine gusset")
    a, b, out = end_of(gusset, towards=(-1.0, 0.0))
    screws = [boat.screws("4", layer, "starboard chine gusset")[0] for layer in ("SCREWS FWD", "SCREWS AFT")]
    assert shifted(gusset, lambda u, v: _is_one_of((u, v), (a, b)), tuple(-23.0 * out)) == 2
    for screw in screws:
        _moved(screw, -20.0 * out)


def _gusset_too_wide(boat: Boat) -> None:
    gusset = boat.outline("3", "starboard chine gusset")
    side = polygon(boat.outline("3", "starboard side"))
    corners = [np.array(p[:2]) for p in gusset.get_points("xyb")]
    edges = [(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True) if np.hypot(*(b - a)) > 40]
    # the edge of the arm up the side that looks away from the middle
    a, b = max(edges, key=lambda edge: float((edge[0] + edge[1])[0]))
    along = (b - a) / np.hypot(*(b - a))
    out = np.array([along[1], -along[0]])
    out = out if out @ ((a + b) / 2 - np.array(side.centroid.coords[0])) > 0 else -out
    assert shifted(gusset, lambda u, v: _is_one_of((u, v), (a, b)), tuple(1.5 * out)) == 2


def _screw_forgotten(boat: Boat) -> None:
    in_the_floor = boat.screws("6", "SCREWS FWD", "starboard chine gusset")[0]
    boat.drawing("6").modelspace().delete_entity(in_the_floor)


def _moved(circle: DXFEntity, by: np.ndarray) -> None:
    circle.dxf.center = (circle.dxf.center.x + by[0], circle.dxf.center.y + by[1])


def _is_one_of(point: tuple[float, float], corners: tuple[np.ndarray, ...]) -> bool:
    return any(np.hypot(*(point - corner)) < 0.01 for corner in corners)


def both(name: str) -> tuple[str, str]:
    """The two plates of a gusset drawn once for both faces."""
    return f"{name}, aft", f"{name}, forward"


def _side_too_high(boat: Boat) -> None:
    line = boat.outline("5", "port side")
    top = max(v for _, v, _ in line.get_points("xyb"))
    assert shifted(line, lambda _, v: abs(v - top) < 0.01, (0.0, 3.0)) >= 1


SIDE_TOO_HIGH = Fault(
    frame="5",
    check="mirror",
    did="the top of the port side is drawn 3 mm higher",
    plant=_side_too_high,
    gives=((("F5 port side", "F5 starboard side"), None),),
    level=Level.WARNING,
)

FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="7",
        check="joint-bare",
        did="the port sheer gusset was put on the layer of those on the forward face only",
        plant=_gusset_on_one_face_only,
        gives=((("F7 deck beam", "F7 port side"), None),),
    ),
    Fault(
        frame="4",
        check="gusset-lap",
        did="the arm of the starboard chine gusset along the floor is drawn 23 mm shorter, its last screws with it",
        plant=_gusset_too_short,
        gives=((("F4 floor", *both("F4 starboard chine gusset")), 47.0),),
    ),
    Fault(
        frame="3",
        check="proud",
        did="the starboard chine gusset is drawn 1.5 mm wider than the side, on its outer edge",
        plant=_gusset_too_wide,
        gives=((both("F3 starboard chine gusset"), 1.5),),
    ),
    Fault(
        frame="6",
        check="screw-count",
        did="one of the forward screws of the starboard chine gusset into the floor was forgotten",
        plant=_screw_forgotten,
        gives=((("F6 floor", "F6 starboard chine gusset, forward"), 1.0),),
    ),
    SIDE_TOO_HIGH,
)
