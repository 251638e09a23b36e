"""Screws and dowels: round things square to a frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from scrieve.shared.findings import Source
from scrieve.shared.screw_table import ScrewSize, tip_length
from scrieve.shared.tolerances import COINCIDENT

from .part import Part


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ply:
    """One ply that a screw passes: the part, and from where to where along w the screw is in it, mm.

    `thickness` is that of its wood there, mm.
    """

    part: Part
    enters: float
    leaves: float
    thickness: float

    @property
    def depth(self) -> float:
        """How much of the screw is in this ply, mm."""
        return abs(self.leaves - self.enters)

    @property
    def wood(self) -> shapely.Geometry:
        """Where the part has wood at all the depths at which the screw is in it, (y, v)."""
        return self.part.between(*sorted((self.enters, self.leaves)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Screw:
    """A screw square to the frame at `at` (y, v), mm, its head flush at `head`, its tip at `tip` along w.

    `plies` are those it passes, in the order it passes them; empty if it meets no wood. `far` is where
    the wood ends along its line: the far face of the last of the plies that lie on one another there,
    whether the tip reaches it or not; `nan` if it meets no wood. `image`: it is drawn on the other side of
    the centreline; `proposed`: it is not drawn at all but laid out by computation. `kind` is the plan's name for those
    of its layer.
    """

    name: str
    frame: str
    size: ScrewSize
    at: tuple[float, float]
    driven_from: Literal["forward", "aft"]
    head: float
    tip: float
    plies: tuple[Ply, ...]
    far: float
    source: Source
    image: bool = False
    proposed: bool = False
    kind: str = ""

    @property
    def low(self) -> float:
        """Where it begins along w, mm."""
        return min(self.head, self.tip)

    @property
    def high(self) -> float:
        """Where it ends along w, mm."""
        return max(self.head, self.tip)

    @property
    def left_beyond(self) -> float:
        """Wood left beyond the tip, mm; negative where the tip comes through."""
        return self.tip - self.far if self.driven_from == "forward" else self.far - self.tip

    @property
    def penetration(self) -> float:
        """How much of the screw is in wood beyond the first ply, mm; wood at one depth counts once."""
        if not self.plies:
            return 0.0
        # the plies lie on one another without a gap, so the one that is left last says it all
        first = abs(self.plies[0].leaves - self.head)
        return max(abs(ply.leaves - self.head) for ply in self.plies) - first

    @property
    def profile(self) -> tuple[tuple[float, float], ...]:
        """Depth below the flush head and radius there, mm: the cone of the head, the shank, the tapered tip."""
        size = self.size
        neck = min(size.head_height, size.length)
        taper = max(neck, size.length - tip_length(size))
        shank = size.diameter / 2
        turns = [(0.0, size.head_diameter / 2), (neck, shank), (taper, shank), (size.length, 0.0)]
        return tuple(turn for n, turn in enumerate(turns) if n == 0 or turn[0] > turns[n - 1][0])

    def radius(self, w: float) -> float:
        """The radius at `w` along the frame's normal, mm; 0 past the tip, and above the head that of the head."""
        depths, radii = zip(*self.profile, strict=True)
        return float(np.interp((w - self.head) * (1.0 if self.tip > self.head else -1.0), depths, radii, right=0.0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dowel:
    """A dowel of the assembly board at `at` (y, v) of a frame, mm; `proposed` where the drawing shows none."""

    name: str
    frame: str
    at: tuple[float, float]
    diameter: float
    source: Source
    proposed: bool = False


def drive(
    parts: Sequence[Part],
    *,
    name: str,
    frame: str,
    size: ScrewSize,
    at: tuple[float, float],
    driven_from: Literal["forward", "aft"],
    face: float,
    source: Source,
    image: bool = False,
    proposed: bool = False,
) -> Screw:
    """The screw as it stands when driven flush with the outermost part under its axis.

    Parts whose outline as cut holds the axis count as plies, until the first empty space along the
    way; where there is no part at all the head is put at `face` (w, mm) and the screw has no plies.
    """
    axis = shapely.Point(at)
    inward = -1.0 if driven_from == "forward" else 1.0
    spans = [(part, *part.span_at(at)) for part in parts if part.is_under(axis, *at)]
    under = [(part, high, low) if inward < 0 else (part, low, high) for part, low, high in spans if high > low]
    under.sort(key=lambda ply: (ply[1] * inward, ply[0].name))
    if not under:
        return Screw(
            name=name, frame=frame, size=size, at=at, driven_from=driven_from,
            head=face, tip=face + inward * size.length, plies=(), far=float("nan"), source=source, image=image,
            proposed=proposed,
        )  # fmt: skip
    head = under[0][1]
    tip = head + inward * size.length
    plies: list[Ply] = []
    reached = head
    for part, near, far in under:
        if (near - reached) * inward > COINCIDENT:
            break
        if (tip - near) * inward > COINCIDENT:
            leaves = far if (tip - far) * inward > 0 else tip
            plies.append(Ply(part=part, enters=near, leaves=leaves, thickness=abs(far - near)))
        if (far - reached) * inward > 0:
            reached = far
    return Screw(
        name=name, frame=frame, size=size, at=at, driven_from=driven_from,
        head=head, tip=tip, plies=tuple(plies), far=reached, source=source, image=image,
        proposed=proposed,
    )  # fmt: skip
