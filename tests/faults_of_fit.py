"""Faults in how frames fit: outlines, joints, notches, screws, legs, stations."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from planting import Boat, Fault, end_of, polygon, shifted

from scrieve.shared.findings import Level


def _label_forgotten(boat: Boat) -> None:
    boat.drawing("6").modelspace().delete_entity(boat.text("6", "starboard sheer gusset"))


def _labels_exchanged(boat: Boat) -> None:
    one, other = boat.text("2", "port side"), boat.text("2", "starboard side")
    one.dxf.text, other.dxf.text = other.dxf.text, one.dxf.text


def _outline_left_open(boat: Boat) -> None:
    corners = [(-60, 620), (60, 620), (60, 660), (-60, 660)]
    boat.drawing("3").modelspace().add_lwpolyline(corners, dxfattribs={"layer": "CORE"})


def _screw_against_screw(boat: Boat) -> None:
    forward = boat.screws("2", "SCREWS FWD", "port chine gusset")[0]
    aft = boat.screws("2", "SCREWS AFT", "port chine gusset")[0]
    aft.dxf.center = (forward.dxf.center.x + 2.0, forward.dxf.center.y)


def _screw_too_long(boat: Boat) -> None:
    boat.plan["screws"]["long"] = {"gauge": 8, "length": "1-1/2 in", "head": "countersunk"}
    boat.plan["layers"]["SCREWS LONG"] = {"makes": "screw", "screw": "long", "driven_from": "forward"}
    boat.drawing("5").layers.add("SCREWS LONG")
    boat.screws("5", "SCREWS FWD", "port chine gusset")[0].dxf.layer = "SCREWS LONG"


def _screw_at_the_edge(boat: Boat) -> None:
    a, b, out = end_of(boat.outline("3", "port chine gusset"), towards=(1.0, 0.0))
    screw = boat.screws("3", "SCREWS FWD", "port chine gusset")[-1]
    screw.dxf.center = tuple((a + b) / 2 - 3.0 * out)


def _knee_on_the_gusset(boat: Boat) -> None:
    a, b, out = end_of(boat.outline("4", "port chine gusset"), towards=(0.0, 1.0))
    corners = [a - 4.0 * out, b - 4.0 * out, b + 70.0 * out, a + 70.0 * out]
    space = boat.drawing("4").modelspace()
    layer = {"layer": "GUSSETS FWD"}
    if "GUSSETS FWD" not in boat.drawing("4").layers:
        boat.drawing("4").layers.add("GUSSETS FWD")
    space.add_lwpolyline([tuple(c) for c in corners], close=True, dxfattribs=layer)
    space.add_text("port thwart knee", height=5, dxfattribs={**layer, "insert": tuple(np.mean(corners, axis=0))})


def _notch_too_shallow(boat: Boat) -> None:
    assert shifted(boat.outline("3", "floor"), _in_keel_notch(boat, "3"), (0.0, -1.5)) == 4


def _notch_too_deep(boat: Boat) -> None:
    assert shifted(boat.outline("5", "floor"), _in_keel_notch(boat, "5"), (0.0, 2.5)) == 4


def _run_of_bottom(a: tuple[float, ...], b: tuple[float, ...], side: int) -> float:
    """How far an edge of a floor runs forward as the outline turns, on one side of the keel: the bottom furthest."""
    return b[0] - a[0] if side * (a[0] + b[0]) > 0 else 0.0


def _notch_of_no_batten(boat: Boat) -> None:
    floor = boat.outline("4", "floor")
    for side in (-1, 1):
        points = floor.get_points("xyb")
        ends = list(zip(points, points[1:] + points[:1], strict=True))
        i = max(range(len(ends)), key=lambda i: _run_of_bottom(*ends[i], side))
        a, b = (np.array(end[:2]) for end in ends[i])
        along = (b - a) / np.hypot(*(b - a))
        up = np.array([-along[1], along[0]]) * (1.0 if along[0] > 0 else -1.0)
        at = [(a + b) / 2 + along * x + up * h for x, h in ((-20.0, 0.0), (-20.0, 22.0), (20.0, 22.0), (20.0, 0.0))]
        points[i + 1 : i + 1] = [(float(u), float(v), 0.0) for u, v in at]
        floor.set_points(points, format="xyb")


def _notch_forgotten(boat: Boat) -> None:
    floor = boat.outline("6", "floor")
    notch = _in_keel_notch(boat, "6")
    points = [p for p in floor.get_points("xyb") if not notch(p[0], p[1])]
    first, second = (i for i, p in enumerate(points) if abs(p[0]) < 40 and p[1] < min(q[1] for q in points) + 1)
    (u, v, _), (out_u, out_v, _) = points[first], points[first - 1]
    points[first : second + 1] = [(0.0, v - u * (out_v - v) / (out_u - u), 0.0)]
    floor.set_points(points, format="xyb")


def _corner_without_relief(boat: Boat) -> None:
    for side in ("port", "starboard"):
        for ply in ("inner", "outer"):
            leg = boat.outline("2", f"{side} leg {ply}")
            points = leg.get_points("xyb")
            start = next(i for i, p in enumerate(points) if abs(p[2]) > 0.5)
            end = (start + 1) % len(points)
            corner = (min(points[start][0], points[end][0], key=abs), max(points[start][1], points[end][1]), 0.0)
            leg.set_points([corner if i == start else p for i, p in enumerate(points) if i != end], format="xyb")


def _side_too_short(boat: Boat) -> None:
    side, floor = boat.outline("4", "port side"), boat.outline("4", "floor")
    shared = [
        np.array(p[:2])
        for p in side.get_points("xyb")
        if any(np.hypot(p[0] - q[0], p[1] - q[1]) < 0.01 for q in floor.get_points("xyb"))
    ]
    along = shared[1] - shared[0]
    away = np.array([-along[1], along[0]]) / np.hypot(*along)
    inside = np.array(polygon(side).centroid.coords[0]) - shared[0]
    away = away if away @ inside > 0 else -away
    joint = [tuple(p) for p in shared]
    assert shifted(side, lambda u, v: any(np.hypot(u - p[0], v - p[1]) < 0.01 for p in joint), tuple(0.8 * away)) == 2


def _leg_too_long(boat: Boat) -> None:
    for ply in ("inner", "outer"):
        assert shifted(boat.outline("5", f"port leg {ply}"), lambda _, v: v < 1.0, (0.0, -4.0)) == 5


def _legs_for_a_narrower_strongback(boat: Boat) -> None:
    half = boat.plan["strongback"]["inside_width"] / 2
    for side, way in (("port", 1.0), ("starboard", -1.0)):
        for ply in ("inner", "outer"):
            foot = boat.outline("6", f"{side} leg {ply}")
            assert shifted(foot, lambda u, v: v < 1.0 and half - 1 < abs(u) < half + 10, (3.0 * way, 0.0)) == 3


def _leg_forgotten(boat: Boat) -> None:
    space = boat.drawing("7").modelspace()
    for ply in ("inner", "outer"):
        outline, text = boat.outline("7", f"starboard leg {ply}"), boat.text("7", f"starboard leg {ply}")
        space.delete_entity(outline)
        space.delete_entity(text)


def _strongback_too_short(boat: Boat) -> None:
    boat.plan["strongback"]["to"] = boat.plan["frames"][-1]["station"] - 100


def _datum_line_off(boat: Boat) -> None:
    lines = [line for line in boat.drawing("1").modelspace().query("LINE") if line.dxf.layer == "REFERENCE"]
    level = next(line for line in lines if abs(line.dxf.start.y - line.dxf.end.y) < 0.01)
    level.translate(0, 6, 0)


def _in_keel_notch(boat: Boat, frame: str) -> Callable[[float, float], bool]:
    """Picks the corners of the floor's keel notch, its two mouth corners left out."""
    corners = [p for p in boat.outline(frame, "floor").get_points("xyb") if abs(p[0]) < 40]
    mouth = min(v for _, v, _ in corners)
    deepest = mouth + 40
    return lambda u, v: abs(u) < 40 and mouth + 1 < v < deepest


def _both_plies(frame: str, side: str) -> tuple[str, ...]:
    return (f"F{frame} {side} leg inner", f"F{frame} {side} leg outer")


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="7",
        check="station",
        did="the strongback in the plan ends 100 mm short of the foremost frame",
        plant=_strongback_too_short,
        gives=((("F7",), 100.0),),
    ),
    Fault(
        frame="1",
        check="station",
        did="the datum line is drawn 6 mm above the origin",
        plant=_datum_line_off,
        gives=(((), 6.0),),
    ),
    Fault(
        frame="2",
        check="label",
        did="the labels of the two sides are exchanged",
        plant=_labels_exchanged,
        gives=(((), None),),
    ),
    Fault(
        frame="2",
        check="screw-foul",
        did="a screw from aft stands 2 mm beside one from forward, in the same gusset",
        plant=_screw_against_screw,
        gives=((("F2 aft screw 5", "F2 forward screw 5"), 2.0),),
    ),
    Fault(
        frame="2",
        check="corner",
        did="the inside corners of the legs' feet are drawn sharp, without the relief for the rail's edge",
        plant=_corner_without_relief,
        gives=tuple(((f"F2 {side} leg {ply}",), 0.0) for side in ("port", "starboard") for ply in ("inner", "outer")),
    ),
    Fault(
        frame="3",
        check="outline",
        did="an outline on the layer of the core was begun above the floor and left open on one side of 40 mm",
        plant=_outline_left_open,
        gives=(((), 40.0),),
    ),
    Fault(
        frame="3",
        check="screw-edge",
        did="a screw of the port chine gusset stands 3 mm from the gusset's end",
        plant=_screw_at_the_edge,
        gives=((("F3 forward screw 4", "F3 port chine gusset, forward"), 3.0),),
    ),
    Fault(
        frame="3",
        check="notch-foul",
        did="the keel's notch is drawn 1.5 mm too shallow",
        plant=_notch_too_shallow,
        gives=((("F3 floor", "keel"), 1.5),),
    ),
    Fault(
        frame="4",
        check="joint-gap",
        did="the port side is 0.8 mm too short at its joint with the floor",
        plant=_side_too_short,
        gives=((("F4 floor", "F4 port side"), 0.8),),
    ),
    Fault(
        frame="4",
        check="foul",
        did="a knee for a thwart was added that runs 4 mm over the end of the port chine gusset",
        plant=_knee_on_the_gusset,
        gives=((("F4 port chine gusset, forward", "F4 port thwart knee"), 4.0),),
    ),
    Fault(
        frame="5",
        check="screw-bite",
        did="a screw of 1-1/2 in where one of 3/4 in is wanted: 38.1 mm in 30 mm of plywood",
        plant=_screw_too_long,
        gives=((("F5 forward screw 1", "F5 port chine gusset, aft"), 8.1),),
    ),
    Fault(
        frame="5",
        check="notch-slack",
        did="the keel's notch is drawn 2.5 mm too deep",
        plant=_notch_too_deep,
        gives=((("F5 floor", "keel"), 2.5),),
    ),
    Fault(
        frame="4",
        check="notch-empty",
        did="the floor has notches for a batten between keel and chine that the plan does not have",
        plant=_notch_of_no_batten,
        gives=((("F4 floor",), None), (("F4 floor",), None)),
        level=Level.WARNING,
    ),
    Fault(
        frame="5",
        check="leg-bottom",
        did="the foot of the port leg is drawn 4 mm too long",
        plant=_leg_too_long,
        gives=((_both_plies("5", "port"), 4.0),),
    ),
    Fault(
        frame="6",
        check="outline",
        did="the starboard sheer gusset has no label",
        plant=_label_forgotten,
        gives=(((), None),),
    ),
    Fault(
        frame="6",
        check="notch-missing",
        did="the floor has no notch for the keel",
        plant=_notch_forgotten,
        gives=((("F6 floor", "keel"), None),),
    ),
    Fault(
        frame="6",
        check="leg-side",
        did="the legs are drawn for a strongback that is 6 mm narrower",
        plant=_legs_for_a_narrower_strongback,
        gives=((_both_plies("6", "port"), 3.0), (_both_plies("6", "starboard"), 3.0)),
    ),
    Fault(
        frame="7",
        check="leg-pair",
        did="there is no starboard leg",
        plant=_leg_forgotten,
        gives=((_both_plies("7", "port"), None),),
    ),
)
