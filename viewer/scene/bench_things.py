"""What is on the board beside parts of the boat: strips under a turned frame, film, weights, wood wetted with glue."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
import shapely

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.relations.joints.joint import joints
from scrieve.model.sequence.measurements.resting import Resting
from scrieve.model.sequence.steps import Step

from .apart import PLATES, is_apart, lying_at, shifted, up_at
from .body import Indices, Points, prism_mesh

ThingKind: TypeAlias = Literal["strip", "film", "weight", "glue"]

_THIN = 0.6  # mm; film and wet wood as they are drawn
_STRIP = 34.0  # mm; how wide one is, and how far it stands out to each side
_FILM = 55.0  # mm past a joint
_WEIGHT = (70.0, 55.0)  # mm; how wide and how high
_EDGE = 12.0  # mm of a butt end that are shown wet
_PLACES = np.linspace(0.12, 0.88, 20)  # of a part's length, where a strip may lie


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BenchThing:
    """One such thing: its `points` and `triangles`, and the `lines` of its edges; hull axes, mm."""

    kind: ThingKind
    points: Points
    triangles: Indices
    lines: tuple[tuple[Points, Points], ...]

    @property
    def key(self) -> tuple[str, tuple[float, ...]]:
        """What tells it from another."""
        return self.kind, tuple(np.round(self.points.ravel(), 3).tolist())


def things_on(frame: Frame, steps: Sequence[Step], step: Step, top: float) -> Iterator[BenchThing]:
    """What is on a board, whose upper face lies at the depth `top` (w, mm), at a step of a frame."""
    up = up_at(step)
    if is_apart(steps, step):
        if step.kind == "wet out":
            yield from _wet(frame, steps, step)
        return
    if step.kind == "glue":
        around = [shapely.buffer(joint.line, _FILM, cap_style="square") for joint in joints(frame)]
        for shape in shapely.get_parts(shapely.union_all([shapely.envelope(each) for each in around])):
            yield _thing("film", frame, shape, top, top + _THIN * up)
        yield from _weights(frame, steps, step)
        return
    under = frame.core_low if up > 0.0 else frame.core_high
    if rests_at(steps, step) is not None:
        below = [part for part in frame.parts if part.role in PLATES and part.face == ("aft" if up > 0 else "forward")]
        for part in frame.core:
            for shape in _strips(part, shapely.union_all([plate.shape for plate in below])):
                yield _thing("strip", frame, shape, top, under)


def rests_at(steps: Sequence[Step], step: Step) -> Resting | None:
    """What the frame rests on at a step, once it has been turned over; None on the board, in parts or glued on it."""
    if is_apart(steps, step) or step.kind == "glue":
        return None
    turned = [each.rests for each in steps[: step.number] if each.kind == "turn" and each.frame == step.frame]
    return turned[-1] if turned else None


def _strips(part: Part, below: shapely.Geometry) -> Iterator[shapely.Polygon]:
    """Where strips lie across a part, clear of the plates under it: one in each half of a long one."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(part.shape))[:4]
    sides = np.roll(corners, -1, axis=0) - corners
    n = int(np.argmax(np.hypot(*sides.T)))
    along = sides[n] / np.hypot(*sides[n])
    across = np.array([-along[1], along[0]])
    width = np.hypot(*sides[(n + 1) % 4])
    places = corners[n] + (corners[(n + 2) % 4] - corners[(n + 1) % 4]) / 2 + sides[n] * _PLACES[:, None]
    halves = (places[:10], places[10:]) if np.hypot(*sides[n]) > 12 * _STRIP else (places,)
    for some in halves:
        lines = [shapely.linestrings([at - across * width, at + across * width]) for at in some]
        bars = [
            shapely.buffer(shapely.intersection(line, part.shape), _STRIP / 2, cap_style="square") for line in lines
        ]
        bars = [bar for bar in bars if bar.geom_type == "Polygon" and bar.area > 0.0]
        clear = [float(shapely.distance(bar, below)) if not below.is_empty else np.inf for bar in bars]
        free = [n for n, far in enumerate(clear) if far > _STRIP] or [n for n, far in enumerate(clear) if far > 0.0]
        if free:
            yield bars[min(free, key=lambda n: abs(n - len(bars) // 2))]


def _weights(frame: Frame, steps: Sequence[Step], step: Step) -> Iterator[BenchThing]:
    """One on each plate that is up, and on each joint without one."""
    up, lying = up_at(step), lying_at(frame, steps, step)
    down = 0.0 if lying is None else float(lying.others[2])
    face = "forward" if up > 0.0 else "aft"
    plates = [part for part in frame.parts if part.role in PLATES and part.face == face]
    places = [(part.shape, part.high if up > 0.0 else part.low) for part in plates]
    wide, high = _WEIGHT
    for shape, depth in places:
        at = shape.representative_point()
        foot = depth + down
        yield _thing("weight", frame, shapely.box(at.x - wide / 2, at.y - wide / 2, at.x + wide / 2, at.y + wide / 2),
                     foot, foot + high * up)  # fmt: skip


def _wet(frame: Frame, steps: Sequence[Step], step: Step) -> Iterator[BenchThing]:
    """The faces of the core under plates and the ends of its parts, where these lie."""
    up, lying = up_at(step), lying_at(frame, steps, step)
    plates = shapely.union_all([part.shape for part in frame.parts if part.role in PLATES])
    for part in frame.core:
        ends = [joint.line for joint in joints(frame) if part in (joint.first, joint.second)]
        wet = shapely.union_all([plates, *(shapely.buffer(line, _EDGE, cap_style="flat") for line in ends)])
        by = np.zeros(3) if lying is None else lying.parts[part.name]
        face = (part.high if up > 0.0 else part.low) + by[2]
        for shape in shapely.get_parts(shapely.intersection(part.shape, wet)):
            if shape.geom_type == "Polygon" and shape.area > 1.0:
                yield _thing("glue", frame, shifted(shape, by), face, face + _THIN * up)


def _thing(kind: ThingKind, frame: Frame, shape: shapely.Polygon, low: float, high: float) -> BenchThing:
    points, triangles, edges = prism_mesh(shape, min(low, high), max(low, high))
    place = frame.placement.to_hull
    lines = tuple((place([points[a]])[0], place([points[b]])[0]) for a, b in edges)
    return BenchThing(kind=kind, points=place(points), triangles=triangles, lines=lines)
