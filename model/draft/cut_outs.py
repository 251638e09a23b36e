"""Notches in the core and cut-outs in the gussets: what a batten's real passage needs. (y, v), mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.shared.tolerances import SLIVER

from ..boat.batten import Batten
from ..geometry.placement import Placement
from ..geometry.plane import mirrored
from .refusal import STATION, DraftRefused
from .shape import Circle, Vector, polygon
from .stringers import Stringer, StringerSection

CLEARANCE = 0.6
"""mm between a batten and the gussets it passes: free to bend, not to rattle. Common practice, no source."""

_STEP = 0.05  # mm by which a notch is opened where the wood left in its corners would foul the batten
_MOST = 0.5  # mm; a notch opened further is loose


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutOut:
    """An open rectangle about a batten with rounded inside corners: a notch, or a gusset's cut-out.

    `wall` holds the ends of its inboard wall, where that is straight. `corners` are the circles of its
    inside corners.
    """

    shape: shapely.Polygon
    wall: tuple[Vector, Vector]
    corners: tuple[Circle, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Notch:
    """A batten in a frame: the section as drawn, the notch in the core, the cut-out in gussets.

    `passage` is all that the batten takes up between the outermost faces. The port batten's, or that on
    the centreline.
    """

    stringer: Stringer
    seat: StringerSection
    passage: shapely.Polygon
    core: CutOut
    gusset: CutOut


def notch(
    stringer: Stringer,
    seat: StringerSection,
    batten: Batten,
    placement: Placement,
    *,
    core: tuple[float, float],
    outer: tuple[float, float],
    radius: float,
) -> Notch:
    """The notch of a batten in the frame whose core lies between the planes `core`, all its plies between `outer`.

    Its walls are parallel to the sides of the drawn rectangle and touch what the batten takes up; its
    inside corners have `radius`. Raises DraftRefused where the batten passes too askew for them.
    """
    passage = batten.passage(placement, *core)
    for opened in np.arange(0.0, _MOST + _STEP, _STEP):
        room = _room(stringer, seat, passage, radius, float(opened))
        bitten = passage.difference(room.shape)
        if bitten.area <= SLIVER * SLIVER or bitten.buffer(-SLIVER / 4).is_empty:
            break
    else:
        raise DraftRefused(
            f"the {stringer.kind} batten passes so askew that the corners of its notch, {radius:g} mm, bite into its "
            f"arris of {batten.arris:g} mm",
            f"battens.{stringer.key}.arris",
            "dowels.diameter",
            STATION,
        )
    throughout = batten.passage(placement, *outer)
    return Notch(
        stringer=stringer,
        seat=seat,
        passage=throughout,
        core=room,
        gusset=_room(stringer, seat, throughout.union(passage), radius, CLEARANCE),
    )


def _room(stringer: Stringer, seat: StringerSection, passage: shapely.Polygon, radius: float, clear: float) -> CutOut:
    ring = shapely.get_coordinates(passage) - seat.centre
    low, high = float(np.min(ring @ seat.long)) - clear, float(np.max(ring @ seat.long)) + clear
    inner = float(np.max(ring @ seat.inward)) + clear
    out = float(np.min(ring @ seat.inward)) - 4 * stringer.spec.section[0]
    if high - low < 2 * radius + 1.0:
        raise DraftRefused(
            f"the {stringer.kind} batten is too narrow for corners of {radius:g} mm",
            f"battens.{stringer.key}.section.0",
            "dowels.diameter",
        )

    def place(along: float, inward: float) -> Vector:
        return np.asarray(seat.centre + seat.long * along + seat.inward * inward)

    top = high + 4 * stringer.spec.section[0] if stringer.at_sheer else high
    places = [(low + radius, inner - radius)] if stringer.at_sheer else [
        (high - radius, inner - radius),
        (low + radius, inner - radius),
    ]  # fmt: skip
    corners = tuple(Circle(centre=(float(place(*p)[0]), float(place(*p)[1])), radius=radius) for p in places)
    along = float(np.arctan2(seat.long[1], seat.long[0]))
    ring_points: list[Vector] = [place(low, out), place(top, out)]
    if stringer.at_sheer:
        ring_points.append(place(top, inner))
    else:
        ring_points += list(corners[0].arc(along, along + np.pi / 2))
    ring_points += list(corners[-1].arc(along + np.pi / 2, along + np.pi))
    return CutOut(
        shape=polygon(ring_points),
        wall=(place(low + radius, inner), place(high if stringer.at_sheer else high - radius, inner)),
        corners=corners,
    )


def both_sides(notches: list[Notch], *, gussets: bool) -> shapely.Geometry:
    """All notches of a frame, or all cut-outs of its gussets, port, starboard and centre."""
    shapes = [(n.gusset if gussets else n.core).shape for n in notches]
    shapes += [mirrored(s) for s, n in zip(shapes, notches, strict=True) if n.stringer.spec.sides == "both"]
    return shapely.union_all(shapes)


def circles_of(notches: list[Notch], *, gussets: bool) -> list[Circle]:
    """The circles of their inside corners, both sides."""
    one = [c for n in notches for c in (n.gusset if gussets else n.core).corners]
    return [*one, *(c.mirrored() for c in one)]
