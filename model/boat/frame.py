"""A frame and its legs: one transverse assembly at a station."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from scrieve.shared.findings import Source
from scrieve.shared.tolerances import COINCIDENT

from ..geometry.placement import Placement
from .batten import Section
from .defect import Defect
from .label import Label
from .part import Part
from .screw import Dowel, Screw
from .view import DrawingView

Kind = Literal["ring", "open", "transom", "bulkhead"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Leg:
    """The plies of role `leg` on one side of a frame."""

    name: str
    side: Literal["port", "starboard"]
    plies: tuple[Part, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class Frame:
    """A frame in its own plane. The core lies from `core_low` to `core_high` along w, mm.

    Everything in the tuples is sorted by name, whatever the order in the drawing. `batten_texts` are
    texts in no outline that name battens. `unread` is "screw" or "dowel" where some are drawn and cannot be read.
    `view` is how it lies in its drawing.
    """

    number: str
    kind: Kind
    placement: Placement
    core_low: float
    core_high: float
    parts: tuple[Part, ...]
    screws: tuple[Screw, ...] = ()
    dowels: tuple[Dowel, ...] = ()
    sections: tuple[Section, ...] = ()
    defects: tuple[Defect, ...] = ()
    batten_texts: tuple[Label, ...] = ()
    unread: frozenset[str] = frozenset()
    source: Source
    view: DrawingView = field(default_factory=DrawingView)

    @property
    def name(self) -> str:
        """ "F5": how reports call it."""
        return f"F{self.number}"

    @property
    def core_thickness(self) -> float:
        """mm."""
        return self.core_high - self.core_low

    @cached_property
    def core(self) -> tuple[Part, ...]:
        """The core parts without the legs' plies."""
        return tuple(p for p in self.parts if p.face == "core" and p.role != "leg")

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """Port leg, then starboard leg, as far as there are any; a ply belongs where its centre lies."""
        out = []
        for side, sign in (("port", 1), ("starboard", -1)):
            plies = tuple(p for p in self.parts if p.role == "leg" and p.shape.centroid.x * sign > COINCIDENT)
            if plies:
                out.append(Leg(name=f"{self.name} {side} leg", side=side, plies=plies))  # type: ignore[arg-type]
        return tuple(out)

    @cached_property
    def midship_plies(self) -> tuple[Part, ...]:
        """Plies of role `leg` whose centre lies on the centreline: they belong to neither leg."""
        return tuple(p for p in self.parts if p.role == "leg" and abs(p.shape.centroid.x) <= COINCIDENT)
