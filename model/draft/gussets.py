"""The gussets of a frame: plates over its joints, reaching along both members. (y, v), mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.shared.limits import LIMITS
from scrieve.shared.tolerances import falls_short
from scrieve.shared.wording import formatted, mm

from .cut_outs import Notch, both_sides, circles_of
from .frame_lines import FrameLines
from .lines import Kind
from .members import inner_corner
from .refusal import ARM, BEAM, BOARD, DEPTHS, FLOOR, SIDE, DraftRefused, Knob
from .shape import Circle, Vector, corner_fill, half_plane, joined, left_of, only_piece, polygon, unit

APART = 6.0
"""mm kept between two gussets on one member. Common practice, no source."""

_SPARE = 1.0  # mm by which a gusset shortened for want of room still passes the least lap


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gusset:
    """A port gusset; the starboard one is its mirror image. `circles` are those its outline may run along.

    `sides` is the plane, parted by the line from the outer to the inner corner: where the joint is, or in a
    board would be.
    """

    label: str
    corner: int
    shape: shapely.Polygon
    sides: tuple[shapely.Polygon, shapely.Polygon]
    circles: tuple[Circle, ...]


def gussets(
    lines: FrameLines,
    kind: Kind,
    notches: list[Notch],
    *,
    arm: float,
    radius: float,
    core: float,
    least_radius: float,
) -> list[Gusset]:
    """The port gussets, from the chine up; none on a bulkhead, no sheer gusset on an open frame.

    `arm` is how far each reaches past the joint along either member, `core` the core's thickness.
    Raises DraftRefused where a member is too short for them.
    """
    if kind == "bulkhead":
        return []
    last = len(lines.corners) - 1
    corners = list(range(1, last + (kind != "open")))
    arms = _arms(lines, corners, arm, core)
    taken = both_sides(notches, gussets=True)
    cut_circles = circles_of(notches, gussets=True)
    out = []
    for corner in corners:
        name = "sheer" if corner == last else "chine" if corner == 1 else "upper chine"
        whole, circles = _plate(lines, corner, arms[corner], radius, least_radius)
        shape = only_piece(whole.difference(taken))
        if shape is None:
            raise DraftRefused(f"the battens cut the {name} gusset in two", SIDE, FLOOR, ARM, BEAM, BOARD)
        mitre = inner_corner(lines, corner) - lines.corners[corner]
        out.append(
            Gusset(
                label=f"{name} gusset",
                corner=corner,
                shape=shape,
                sides=(half_plane(lines.corners[corner], mitre), half_plane(lines.corners[corner], -mitre)),
                circles=(*lines.circles(), *circles, *cut_circles),
            )
        )
    return out


def _arms(lines: FrameLines, corners: list[int], arm: float, core: float) -> dict[int, tuple[float, float]]:
    """For each corner the arms along the panel below and the one above, shortened where there is no room."""
    least = LIMITS["gusset_lap"].default * core
    if falls_short(arm, least):
        raise DraftRefused(
            f"gussets that reach {mm(arm, least)} past their joints, want {mm(least, arm)} (4 core thicknesses)",
            Knob(name=ARM, tries=(float(np.ceil(least * 10 - 0.01) / 10),)),
        )
    least += _SPARE
    arms = {corner: [arm, arm] for corner in corners}
    half_floor = _past(lines, corners[0], 0, below=True)
    room = lines.length(0) - half_floor - APART / 2
    _fit(lines, arms, [(corners[0], 0)], room, least, "floor")
    for panel in range(1, len(lines.depths)):
        ends = [(corner, side) for corner, side in ((panel, 1), (panel + 1, 0)) if corner in arms]
        gone = [_past(lines, corner, panel, below=side == 0) for corner, side in ends]
        deep = (FLOOR, SIDE, BEAM) if gone[0] >= gone[-1] else (BEAM, SIDE, FLOOR)  # what takes most of the side first
        _fit(lines, arms, ends, lines.length(panel) - sum(gone) - APART, least, "side", deep)
    top = len(lines.corners) - 1
    if top in arms:
        room = float(inner_corner(lines, top)[0]) - APART / 2
        _fit(lines, arms, [(top, 1)], room, least, "deck beam")
    return {corner: (one, other) for corner, (one, other) in arms.items()}


def _fit(
    lines: FrameLines,
    arms: dict[int, list[float]],
    ends: list[tuple[int, int]],
    room: float,
    least: float,
    name: str,
    deep: tuple[str, ...] = (SIDE, FLOOR),
) -> None:
    wanted = sum(arms[corner][side] for corner, side in ends)
    if wanted <= room:
        return
    if room < least * len(ends):
        left, want = max(room, 0.0), least * len(ends)
        raise DraftRefused(
            f"its {name} leaves {formatted(left, want, least=0)} mm for the arms of {len(ends)} "
            f"gusset{'s' if len(ends) > 1 else ''}, want {formatted(want, left, least=0)} mm (4 core thicknesses each)",
            *deep,
            BOARD,
        )
    for corner, side in ends:
        arms[corner][side] = room / len(ends)


def _past(lines: FrameLines, corner: int, panel: int, *, below: bool) -> float:
    """How far along a panel, from its corner, the joint there reaches, mm. `below`: the panel under the corner."""
    back = -1.0 if below else 1.0
    return max(0.0, float((inner_corner(lines, corner) - lines.corners[corner]) @ lines.along(panel)) * back)


def _plate(
    lines: FrameLines, corner: int, arms: tuple[float, float], radius: float, least_radius: float
) -> tuple[shapely.Polygon, list[Circle]]:
    """A gusset before the cut-outs, and the circle of its inner corner."""
    outer, inner = lines.corners[corner], inner_corner(lines, corner)
    below = lines.along(corner - 1)
    lower_end = outer - below * (_past(lines, corner, corner - 1, below=True) + arms[0])
    below_it = polygon([*lines.stretch(corner - 1), inner, lines.inner[corner - 1]])  # the port half of the member
    pieces = [_clipped(lines, below_it, half_plane(lower_end, -left_of(below)))]
    one = _inner_way(lines, corner - 1, inner)
    other: Vector | Circle
    if corner == len(lines.corners) - 1:
        beam, other = _along_deck(lines, inner, arms[1])
        pieces.append(beam)
    else:
        above = lines.along(corner)
        upper_end = outer + above * (_past(lines, corner, corner, below=False) + arms[1])
        pieces.append(_clipped(lines, _arm_above(lines, corner, inner), half_plane(upper_end, left_of(above))))
        other = above
    fill, short = None, min(arms) - 2.0
    while radius >= least_radius:
        fill = corner_fill(inner, one, other, radius)
        if fill is None or fill.reach <= short:
            break
        radius *= 0.8
    else:
        raise DraftRefused(
            f"no round of {least_radius:g} mm, the cutter's, fits into the gusset's inner corner",
            "framing.gusset_radius",
            ARM,
            "cutter.diameter",
        )
    circles = [] if fill is None else [fill.circle]
    if fill is not None:
        pieces.append(fill.shape)
    return joined(pieces), circles


def _clipped(lines: FrameLines, arm: shapely.Polygon, end: shapely.Polygon) -> shapely.Polygon:
    if not arm.is_valid or arm.area <= 0:
        raise DraftRefused("the depths of its members leave no room for a gusset between them", *DEPTHS)
    return arm.intersection(end)


def _inner_way(lines: FrameLines, panel: int, inner: Vector) -> Vector:
    """The unit direction of a panel's inner edge, down or inboard, away from its upper joint."""
    if panel == 0:
        return unit(lines.inner[0] - inner)
    return -lines.along(panel)


def _arm_above(lines: FrameLines, corner: int, inner: Vector) -> shapely.Polygon:
    """The side above a joint, as if it went on past its upper end."""
    top = lines.corners[corner + 1]
    upper_inner = lines.inner[corner + 1] if corner + 1 < len(lines.inner) else None
    if upper_inner is None:
        point, along = lines.inner_line(corner)
        upper_inner = point + along * float((top - point) @ along)
    return polygon([*lines.stretch(corner), upper_inner, inner])


def _along_deck(lines: FrameLines, inner: Vector, arm: float) -> tuple[shapely.Polygon, Vector | Circle]:
    """The end of the deck beam at the port sheer, `arm` past its inner corner, and its lower edge."""
    sheer = lines.sheer
    if lines.deck is None or lines.inner_deck is None:
        end = float(inner[0]) - arm
        return polygon([sheer, (end, sheer[1]), (end, inner[1]), inner]), np.array([-1.0, 0.0])
    start, at_inner = lines.deck.angle_of(sheer), lines.inner_deck.angle_of(inner)
    end = at_inner + arm / lines.inner_deck.radius
    return (
        polygon([*lines.deck.arc(start, end), *lines.inner_deck.arc(end, at_inner)]),
        lines.inner_deck,
    )
