"""The core parts of a frame: floor, sides, deck beam, or one board. (y, v), mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.shared.tolerances import falls_short
from scrieve.shared.wording import formatted

from ..geometry.plane import mirrored, mirrored_points
from .cut_outs import Notch, both_sides
from .frame_lines import FrameLines
from .lines import Kind
from .refusal import BEAM, BOARD, DEPTHS, FLOOR, SIDE, DraftRefused, Knob
from .shape import Circle, Fill, Vector, corner_fill, joined, left_of, only_piece, polygon, unit

BEHIND = 12.0
"""mm of wood that a member keeps between a notch and its other edge, at least. Common practice, no source."""

SHALLOWEST = 0.6
"""share of the side's depth that a level floor has at the chine, at least. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Member:
    """A core part: its label, its shape with notches, and its shape before they were cut."""

    label: str
    shape: shapely.Polygon
    whole: shapely.Polygon


def members(lines: FrameLines, kind: Kind, notches: list[Notch], radius: float) -> list[Member]:
    """The core parts, from the floor up, port before starboard; the floor's inner edge rounded to `radius`.

    Raises DraftRefused where the depths leave no opening or a notch leaves too little wood.
    """
    taken = both_sides(notches, gussets=False)
    if kind in ("transom", "bulkhead"):
        return [_cut(kind, lines.outer, taken)]
    _ends_of_floor(lines)
    _opening(lines, kind)
    joints = [_joint(lines, corner, notches) for corner in range(1, len(lines.corners) - (kind == "open"))]
    out = []
    half = [*lines.stretch(0)[1:-1], *joints[0], lines.inner[0]]
    floor = polygon([lines.keel, *half, *(mirrored_points(p) for p in reversed(half[:-1]))])
    fill = floor_fill(lines, radius)
    if fill is not None and floor.is_valid:
        floor = only_piece(joined([floor, fill.shape])) or floor
    out.append(_cut("floor", floor, taken))
    last = len(lines.depths) - 1
    for panel in range(1, last + 1):
        upper = [lines.sheer, lines.sheer_end()] if panel == last and kind == "open" else joints[panel]
        side = polygon([*joints[panel - 1], *reversed(upper), *reversed(lines.stretch(panel)[1:-1])])
        label = "side" if last == 1 else "lower side" if panel == 1 else "upper side"
        port = _cut(f"port {label}", side, taken)
        out.append(port)
        out.append(
            Member(
                label=f"starboard {label}",
                shape=mirrored(port.shape),
                whole=mirrored(port.whole),
            )
        )
    if kind == "ring":
        inside = joints[-1][1:-1]
        beam = polygon([
            *lines.deck_line(),
            *(mirrored_points(p) for p in inside),
            *reversed(lines.beam_line()),
            *reversed(inside),
        ])  # fmt: skip
        out.append(_cut("deck beam", beam, taken))
    _behind(lines, notches, out)
    return out


def floor_fill(lines: FrameLines, radius: float) -> Fill | None:
    """The wood that rounds the floor's inner edge on the centreline; None where that is straight."""
    port = unit(lines.inner[1] - lines.inner[0])
    fill = corner_fill(lines.inner[0], port, mirrored_points(port), radius)
    longest = float(np.hypot(*(lines.inner[1] - lines.inner[0])))
    if fill is not None and fill.reach > longest / 2:
        return corner_fill(lines.inner[0], port, mirrored_points(port), radius * longest / 2 / fill.reach)
    return fill


def inner_corner(lines: FrameLines, corner: int) -> Vector:
    """The inner corner of the joint at a corner of the frame's line."""
    return lines.inner_sheer if corner == len(lines.corners) - 1 else lines.inner[corner]


def _joint(lines: FrameLines, corner: int, notches: list[Notch]) -> list[Vector]:
    """The joint at a corner as a line: from the outer corner by the notch's inboard wall to the inner corner."""
    outer, inner = lines.corners[corner], inner_corner(lines, corner)
    for notch in notches:
        if notch.stringer.share is None and notch.stringer.corner == lines.joints[corner]:
            start, end = notch.core.wall
            along = unit(end - start)
            length = float(np.hypot(*(end - start)))
            margin = min(4.0, length / 3)
            normal = left_of(along)
            gone = float((start - outer) @ normal) / float((inner - outer) @ normal)
            at = float((outer + gone * (inner - outer) - start) @ along)
            on_wall = start + along * float(np.clip(at, margin, length - margin))
            return [outer, on_wall, inner]
    return [outer, inner]


def _cut(label: str, whole: shapely.Polygon, taken: shapely.Geometry) -> Member:
    if not whole.is_valid or whole.area <= 0:
        raise DraftRefused(f"the depths of its members leave no room for the {label}", *DEPTHS)
    shape = only_piece(whole.difference(taken))
    if shape is None:
        raise DraftRefused(f"the notches cut the {label} in two", *DEPTHS)
    return Member(label=label, shape=shape, whole=whole)


def _opening(lines: FrameLines, kind: Kind) -> None:
    """Raises DraftRefused where the members' depths meet, so that there is no opening left."""
    corners = [*lines.inner, lines.inner_sheer if kind == "ring" else lines.sheer_end()]
    good = corners[1][0] > BEHIND
    for panel in range(1, len(lines.depths)):
        good = good and float((corners[panel + 1] - corners[panel]) @ lines.along(panel)) > BEHIND
    if not good:
        raise DraftRefused("its members are so deep that no opening is left", *DEPTHS)


def _ends_of_floor(lines: FrameLines) -> None:
    """Raises DraftRefused where a level floor is too shallow at the chine to be joined to the side."""
    deep = float((lines.inner[1] - lines.keel) @ left_of(lines.along(0)))
    want = lines.depths[1] * SHALLOWEST
    if lines.level_floor and deep < want:
        deep = max(deep, 0.0)
        raise DraftRefused(
            f"its level floor is {formatted(deep, want, least=0)} mm deep at the chine, want "
            f"{formatted(want, deep, least=0)} mm",
            FLOOR,
            Knob(name="framing.floor_top", tries=("vee",)),
        )


def _behind(lines: FrameLines, notches: list[Notch], cut: list[Member]) -> None:
    """Raises DraftRefused where a notch leaves less than `BEHIND` up to the opening."""
    opening = polygon(_opening_ring(lines, cut))
    for notch in notches:
        left = float(notch.core.shape.distance(opening))
        if falls_short(left, BEHIND):
            depths = (FLOOR, SIDE) if notch.stringer.corner < lines.joints[1] else (SIDE, FLOOR)
            raise DraftRefused(
                f"{formatted(left, BEHIND, least=1)} mm of wood are left behind the notch of the "
                f"{notch.stringer.kind} batten, want {formatted(BEHIND, left, least=0)} mm",
                *depths,
                BEAM,
                f"battens.{notch.stringer.key}.section.1",
                BOARD,
            )


def _opening_ring(lines: FrameLines, cut: list[Member]) -> list[Vector]:
    ring = any(member.label == "deck beam" for member in cut)
    top = lines.beam_line() if ring else [lines.sheer_end(), mirrored_points(lines.sheer_end())]
    inner = list(lines.inner[1:])
    return [lines.inner[0], *inner, *top, *(mirrored_points(p) for p in reversed(inner))]


def core_circles(lines: FrameLines, notches: list[Notch], radius: float, kind: Kind) -> list[Circle]:
    """The circles that the core's outlines may run along."""
    one = [corner for notch in notches for corner in notch.core.corners]
    fill = floor_fill(lines, radius) if kind in ("ring", "open") else None
    centre = [] if fill is None else [fill.circle]
    return [*lines.circles(), *centre, *one, *(circle.mirrored() for circle in one)]
