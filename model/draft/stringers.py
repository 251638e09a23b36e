"""The battens of a draft: where their sections lie in every frame, and the battens sprung through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrieve.shared.errors import DraftError
from scrieve.shared.findings import Source
from scrieve.shared.limits import LIMITS
from scrieve.shared.wording import at_most

from ..boat.batten import Batten, Section
from ..geometry.outline import Outline
from ..geometry.placement import Placement
from ..plan.plan_tables import BattenSpec
from ..relations.battens.bending import layers_enough, thin_enough, worst_bend
from .frame_lines import FrameLines
from .lines import Battens
from .shape import Vector, left_of, unit, vector

STRAIGHT = np.radians(176.0)
"""Two panels that turn less than 4 degrees make no corner to set a batten into. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stringer:
    """A batten of the draft: its name in the plan ("chine", "floor 2") and its measures.

    `corner` is the corner of the frame's line it lies in (0 the keel), `share` for a floor batten
    where on the bottom it lies.
    """

    kind: str
    spec: BattenSpec
    corner: int
    share: float | None = None

    @property
    def at_sheer(self) -> bool:
        """Whether it lies at the sheer, its notch open upwards."""
        return self.kind == "sheer"

    @property
    def key(self) -> str:
        """Its table under `battens` in the lines file."""
        return "floor" if self.share is not None else self.kind.replace(" ", "_")

    @property
    def name(self) -> str:
        """What the port one, or the one on the centreline, is called."""
        return self.kind if self.spec.sides == "centre" else f"port {self.kind}"


def stringers(battens: Battens) -> tuple[Stringer, ...]:
    """The battens of the lines file, keel first, going up."""
    out = []
    if battens.keel is not None:
        out.append(Stringer(kind="keel", spec=battens.keel, corner=0))
    if battens.floor is not None:
        shares = battens.floor.at
        for number, share in enumerate(sorted(shares), start=1):
            kind = "floor" if len(shares) == 1 else f"floor {number}"
            out.append(Stringer(kind=kind, spec=battens.floor, corner=0, share=share))
    out.append(Stringer(kind="chine", spec=battens.chine, corner=1))
    if battens.upper_chine is not None:
        out.append(Stringer(kind="upper chine", spec=battens.upper_chine, corner=2))
    out.append(Stringer(kind="sheer", spec=battens.sheer, corner=2 if battens.upper_chine is None else 3))
    return tuple(out)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seat:
    """A batten's section in a frame as drawn: its centre, the unit way of its long side, the way inboard of it."""

    centre: Vector
    long: Vector
    inward: Vector

    def outline(self, spec: BattenSpec) -> Outline:
        """The rectangle."""
        a, b = self.long * spec.section[0] / 2, self.inward * spec.section[1] / 2
        return Outline.of([self.centre - a - b, self.centre + a - b, self.centre + a + b, self.centre - a + b])

    @property
    def angle(self) -> float:
        """Of the long side from port towards up, radians."""
        return float(np.arctan2(self.long[1], self.long[0]))


def seat(stringer: Stringer, lines: FrameLines) -> Seat:
    """Where a batten's section lies in a frame, wholly within its outer line.

    In a corner: square to the corner's bisector, its outer arrises on the two panels. On the bottom and
    at the sheer: with its outer face on the panel. Raises DraftError where it does not fit.
    """
    long_side, short_side = stringer.spec.section
    corner = lines.corners[stringer.corner]
    if stringer.share is not None:
        along = lines.along(0)
        return _on_panel(corner + along * stringer.share * lines.length(0), along, short_side)
    if stringer.at_sheer:
        panel = len(lines.depths) - 1
        along = lines.along(panel)
        # shifted down until neither upper corner stands above the sheer
        down = short_side * max(left_of(along)[1], 0.0) / along[1]
        if down + long_side > lines.length(panel):
            raise DraftError.at(f"frame {lines.frame}: the side is too low for the sheer batten")
        return _on_panel(corner - along * (down + long_side / 2), along, short_side)
    if stringer.corner == 0:
        before, after = lines.along(0) * (-1.0, 1.0), lines.along(0)
    else:
        before, after = -lines.along(stringer.corner - 1), lines.along(stringer.corner)
    # counter-clockwise from the upper panel round the inside of the hull to the lower one
    inside = float(np.arctan2(after[0] * before[1] - after[1] * before[0], after @ before)) % (2 * np.pi)
    if inside > np.pi + 1e-9 or (inside > STRAIGHT and stringer.corner > 0):
        raise DraftError.at(
            f"frame {lines.frame}: the panels meet at {np.degrees(inside):.1f} degrees inside the {stringer.kind}, "
            f"a corner of less than {np.degrees(STRAIGHT):.0f} is wanted"
        )
    half = inside / 2
    c, s = np.cos(half), np.sin(half)
    inward = vector(c * after[0] - s * after[1], s * after[0] + c * after[1])
    deep = long_side / 2 / np.tan(half)
    reach = long_side / 2 / np.sin(half)
    panels = [0] if stringer.corner == 0 else [stringer.corner - 1, stringer.corner]
    if any(reach > lines.length(panel) for panel in panels):
        raise DraftError.at(f"frame {lines.frame}: the {stringer.kind} batten is wider than the panel it lies against")
    inward = unit(inward)
    return Seat(centre=corner + inward * (deep + short_side / 2), long=-left_of(inward), inward=inward)


def _on_panel(middle: Vector, along: Vector, short_side: float) -> Seat:
    inward = left_of(along)
    return Seat(centre=middle + inward * short_side / 2, long=along, inward=inward)


def sprung(stringer: Stringer, frames: Sequence[tuple[FrameLines, Placement]], seats: Sequence[Seat]) -> Batten:
    """The port (or centre) batten through its seats in all frames, which are sorted forward."""
    found = [
        Section(
            batten=stringer.name,
            frame=lines.frame,
            centre=(float(seat.centre[0]), float(seat.centre[1])),
            angle=seat.angle,
            drawn=None,
            source=Source(file="lines"),
        )
        for (lines, _), seat in zip(frames, seats, strict=True)
    ]
    return Batten(
        name=stringer.name,
        kind=stringer.kind,
        side="centre" if stringer.spec.sides == "centre" else "port",
        long=stringer.spec.section[0],
        short=stringer.spec.section[1],
        arris=stringer.spec.arris,
        sections=tuple(found),
        placements=tuple(placement for _, placement in frames),
        layers=stringer.spec.layers,
        least_bend=stringer.spec.bend,
    )


def overbent(stringer: Stringer, batten: Batten) -> str:
    """What to say of a batten that its stock would not bear to be bent to these lines; nothing of one that it would."""
    limit = LIMITS["bend"].default
    bend = worst_bend(batten, limit)
    if bend.ratio >= bend.least:
        return ""
    side, thin = thin_enough(batten, bend, limit)
    layers = layers_enough(batten, bend, limit)
    ways = [f"{at_most(thin)} at most across its {side} side"] if thin >= 1.0 else []
    ways += [f"layers = {layers}"] if layers is not None else []
    return (
        f"the {stringer.kind} batten would be bent to {bend.ratio:.0f} times its thickness, its stock takes "
        f"{bend.least:.0f} times: {' or '.join(ways) or 'an easier curve'} would do"
    )
