"""Takes a boat apart again, step by step backwards, and looks for fouls; knows nothing of how ways are found.

Everything is moved back along its way in small steps, and at each the overlap with what still stands is measured:
in the plane with shapely, in space with manifold3d.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import manifold3d
import numpy as np
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.solid import box, prism
from scrieve.model.sequence.bench_order import BenchOrder, BenchPiece
from scrieve.model.sequence.setting_up import SettingUp

SAMPLES = 60


def depth(a: shapely.Geometry, b: shapely.Geometry) -> float:
    """How deep two outlines overlap, mm: how far the overlap can be worn down before nothing is left (by halving)."""
    common = shapely.intersection(a, b)
    if common.area < 1e-9:
        return 0.0
    low, high = 0.0, float(np.sqrt(common.area / np.pi)) + 1e-9
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (low, middle) if common.buffer(-middle, quad_segs=4).is_empty else (middle, high)
    return 2 * high


def moved(shape: shapely.Geometry, y: float, v: float) -> shapely.Geometry:
    """The shape shifted."""
    return shapely.transform(shape, lambda points: points + np.array([y, v]))


def bench_fouls(placed: Sequence[BenchPiece]) -> list[tuple[str, str, float, float]]:
    """Every foul on the way back: what moved, what it met, how far from its place, how deep, mm."""
    found = []
    standing = list(placed)
    while standing:
        last = standing.pop()
        rest = [part for each in standing for part in each.parts]
        found += _on_the_way(last.parts, rest, last.way.toward, last.way.reach)
        if last.way.how == "slide":
            found += _lifted(last, rest)
    return found


def _on_the_way(
    parts: Iterable[Part], rest: Sequence[Part], toward: tuple[float, float, float], reach: float
) -> list[tuple[str, str, float, float]]:
    found = []
    for part in parts:
        for other in rest:
            for gone in np.linspace(0.0, reach, SAMPLES):
                y, v, w = -gone * np.asarray(toward)
                level = min(part.high + w, other.high) - max(part.low + w, other.low)
                if level > 1e-6:
                    deep = min(depth(moved(part.shape, y, v), other.shape), level)
                    if deep > 0.0:
                        found.append((part.name, other.name, float(gone), deep))
    return found


def _lifted(placed: BenchPiece, rest: Sequence[Part]) -> list[tuple[str, str, float, float]]:
    """Where it has slid to it is lifted off the one face or the other: the fouls of the better way."""
    y, v, _ = -placed.way.reach * np.asarray(placed.way.toward)
    there = [(part, moved(part.shape, y, v)) for part in placed.parts]
    ways = []
    for up in (1, -1):
        over = [
            (part.name, other.name, float(placed.way.reach), depth(shape, other.shape))
            for part, shape in there
            for other in rest
            if (other.high > part.low + 1e-6 if up > 0 else other.low < part.high - 1e-6)
        ]
        ways.append([foul for foul in over if foul[3] > 0.0])
    return min(ways, key=len)


def order_fouls(order: BenchOrder) -> list[tuple[str, str, float, float]]:
    """`bench_fouls` of a whole order."""
    return bench_fouls(order.placed)


def frame_fouls(assembly: Assembly, setting: SettingUp) -> list[tuple[str, str, float, float]]:
    """The same for the frames on the strongback, in space; measured is the volume of the overlap, mm3."""
    found = []
    rails = [] if assembly.strongback is None else [
        (f"{side} rail", box(*assembly.strongback.rail(side))) for side in ("port", "starboard")
    ]  # fmt: skip
    standing = [(frame, way, _solid(frame)) for frame, way in setting.frames]
    while standing:
        frame, way, solid = standing.pop()
        for name, other in [*((f.name, s) for f, _, s in standing), *rails]:
            for gone in np.linspace(0.0, way.reach, SAMPLES):
                there = solid.translate((-gone * np.asarray(way.toward)).tolist())
                volume = (there ^ other).volume()
                if volume > 1e-3:
                    found.append((frame.name, name, float(gone), float(volume)))
    return found


def _solid(frame: Frame) -> manifold3d.Manifold:
    solids = [prism(part.shape, part.low, part.high, frame.placement) for part in frame.parts]
    return manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)


def batten_fouls(assembly: Assembly, setting: SettingUp) -> list[tuple[str, str, float, float]]:
    """The same for battens that are sprung in, at every frame, with its wood and the battens that are in already."""
    found = []
    standing = list(setting.battens)
    while standing:
        last = standing.pop()
        for frame, way in last.notches:
            if way.how != "spring":
                continue
            onto = np.asarray(way.toward) @ frame.placement.matrix[:3, :3]
            assert abs(onto[2]) < 1e-9, "a batten is sprung in along the frame's plane"
            low, high = frame.core_low, frame.core_high
            others = [(p.name, p.shape, p.low, p.high) for p in frame.parts]
            others += [
                (s.batten.name, s.batten.passage(frame.placement, low, high), low, high)
                for s in standing
                if any(f is frame for f, _ in s.notches)
            ]
            for name, shape, aft, forward in others:
                passage = last.batten.passage(frame.placement, aft, forward)
                for gone in np.linspace(0.0, way.reach, SAMPLES):
                    deep = depth(moved(passage, *(-gone * onto[:2])), shape)
                    if deep > 0.0:
                        found.append((last.batten.name, name, float(gone), deep))
    return found
