"""The battens of a draft: where their sections lie in every frame, and the battens sprung through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrieve.shared.findings import Source
from scrieve.shared.limits import LIMITS
from scrieve.shared.tolerances import COINCIDENT
from scrieve.shared.wording import formatted

from ..boat.batten import Batten, Section
from ..geometry.outline import Outline
from ..geometry.placement import Placement
from ..plan.plan_tables import BattenSpec
from ..relations.battens.bending import layers_enough, thin_enough, worst_bend
from .frame_lines import FrameLines, beside, inside_angle
from .lines import Battens
from .refusal import STATION, DraftRefused, Knob
from .shape import Vector, left_of, unit, vector

FADING = "upper chine"
"""The batten that may end where its corner runs into another one."""

BETWEEN = 12.0
"""mm of the outer line between the battens of two corners, at least. Common practice, no source."""


_ROUNDED = 0.05  # R/t; what the rounding of the drawings may take from a bend, with frames 100 mm apart


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
class StringerSection:
    """A batten's section in a frame as drawn: its centre, the unit way of its long side, the way inboard of it.

    `reach` is how much of the outer line it takes on either side of its corner, mm; 0 for a floor batten.
    """

    centre: Vector
    long: Vector
    inward: Vector
    reach: float

    def outline(self, spec: BattenSpec) -> Outline:
        """The rectangle."""
        a, b = self.long * spec.section[0] / 2, self.inward * spec.section[1] / 2
        return Outline.of([self.centre - a - b, self.centre + a - b, self.centre + a + b, self.centre - a + b])

    @property
    def angle(self) -> float:
        """Of the long side from port towards up, radians."""
        return float(np.arctan2(self.long[1], self.long[0]))


def seat(stringer: Stringer, lines: FrameLines) -> StringerSection:
    """Where a batten's section lies in a frame, wholly within its outer line.

    In a corner: square to the corner's bisector, its outer arrises on the two edges, or where these are in line or
    hollow its outer face on the corner. On the bottom and at the sheer: with its outer face on the edge. Raises
    DraftRefused where it does not fit.
    """
    long_side, short_side = stringer.spec.section
    corner = lines.points[stringer.corner]
    if stringer.share is not None:
        way = lines.points[1] - corner
        return _on_panel(corner + way * stringer.share, unit(way), short_side)
    if stringer.at_sheer:
        below = lines.points[-2]
        along = unit(corner - below)
        # shifted down until neither upper corner stands above the sheer
        down = short_side * max(left_of(along)[1], 0.0) / along[1]
        if down + long_side > float(np.hypot(*(corner - below))):
            raise DraftRefused("the side is too low for the sheer batten", "battens.sheer.section.0", STATION)
        return _on_panel(corner - along * (down + long_side / 2), along, short_side, down + long_side)
    sides = beside(lines.points, stringer.corner, long_side / 2)
    half = inside_angle(sides) / 2 if sides is not None else np.pi / 2
    reach = long_side / 2 / max(np.sin(half), COINCIDENT) if half < np.pi / 2 else long_side / 2
    if sides is None or reach > min(float(np.hypot(*side)) for side in sides):
        raise DraftRefused(
            f"the {stringer.kind} batten is wider than the panel it lies against",
            f"battens.{stringer.key}.section.0",
            STATION,
        )
    after = unit(sides[1])
    c, s = np.cos(half), np.sin(half)
    inward = unit(vector(c * after[0] - s * after[1], s * after[0] + c * after[1]))
    deep = max(long_side / 2 / np.tan(half), 0.0)
    centre = corner + inward * (deep + short_side / 2)
    return StringerSection(centre=centre, long=-left_of(inward), inward=inward, reach=reach)


def seats(parts: Sequence[Stringer], lines: FrameLines) -> list[StringerSection | None]:
    """The seats of all battens in a frame; None for an upper chine that fades out, without room for its batten there.

    Raises DraftRefused for all others that do not fit.
    """
    out: list[StringerSection | None] = []
    for part in parts:
        try:
            out.append(seat(part, lines))
        except DraftRefused:
            if part.kind != FADING:
                raise
            out.append(None)
    kinds = [part.kind for part in parts]
    if FADING in kinds:
        upper = kinds.index(FADING)
        for lower, higher in ((kinds.index("chine"), upper), (upper, kinds.index("sheer"))):
            one, other = out[lower], out[higher]
            if one is not None and other is not None:
                length = float(np.hypot(*(lines.points[parts[higher].corner] - lines.points[parts[lower].corner])))
                if one.reach + other.reach + BETWEEN > length:
                    out[upper] = None
    return out


def _on_panel(middle: Vector, along: Vector, short_side: float, reach: float = 0.0) -> StringerSection:
    inward = left_of(along)
    return StringerSection(centre=middle + inward * short_side / 2, long=along, inward=inward, reach=reach)


def sprung(
    stringer: Stringer, frames: Sequence[tuple[FrameLines, Placement]], seats: Sequence[StringerSection]
) -> Batten:
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


def overbent(stringer: Stringer, batten: Batten) -> DraftRefused | None:
    """What to say of a batten that its stock would not bear to be bent to these lines; None of one that it would."""
    limit = LIMITS["bend"].default
    bend = worst_bend(batten, limit)
    if bend.ratio >= bend.least + _ROUNDED:
        return None
    side, thin = thin_enough(batten, bend, limit)
    layers = layers_enough(batten, bend, limit)
    section = f"battens.{stringer.key}.section.{0 if side == 'long' else 1}"
    thin = float(np.floor(thin))
    return DraftRefused(
        f"the {stringer.kind} batten would be bent to {formatted(bend.ratio, bend.least, least=0)} times its "
        f"thickness, its stock takes {formatted(bend.least, bend.ratio, least=0)} times",
        *([Knob(name=f"battens.{stringer.key}.layers", tries=(float(layers),))] if layers is not None else []),
        *([Knob(name=section, tries=(thin, thin - 1, thin - 2))] if thin >= 5.0 else []),
        f"battens.{stringer.key}.layers",
        f"battens.{stringer.key}.section.0",
        f"battens.{stringer.key}.section.1",
    )
