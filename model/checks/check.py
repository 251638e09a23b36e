"""What a check is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

from scrieve.shared.findings import Finding, Level

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.frame import Frame
from ..relations.scope import RestsOn

OnFrame: TypeAlias = Callable[[Frame, Assembly], Iterator[Finding]]
OnBatten: TypeAlias = Callable[[Batten, Assembly], Iterator[Finding]]
OnBoat: TypeAlias = Callable[[Assembly], Iterator[Finding]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A check's explanation, one screen: plain prose under the four fixed headings."""

    looks_at: str
    matters: str
    limit: str
    cure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check. `level` is the worst it gives, `limits` the names in `shared.limits` it goes by.

    `spanless` says why what it measures in mm may be no length between two points of the boat, where that is so.
    `tells_first`: its findings come before others of their level, since what it looks at makes other checks speak.
    `sees_all`: it looks at what is left aside too, and knows itself what not to say of it. `rests_on`: what its
    findings come of where that is left aside, and are then not told.

    Exactly one of `on_frame`, `on_batten` and `on_boat` is given: the scope, so that after a change
    to one frame only what depends on it need be checked again.
    """

    slug: str
    title: str
    level: Level
    limits: tuple[str, ...]
    page: Page
    spanless: str = ""
    tells_first: bool = False
    sees_all: bool = False
    rests_on: RestsOn | None = None
    on_frame: OnFrame | None = None
    on_batten: OnBatten | None = None
    on_boat: OnBoat | None = None

    def run(self, assembly: Assembly) -> Iterator[Finding]:
        """The findings on the whole boat, in no particular order."""
        if self.on_frame is not None:
            for frame in assembly.frames:
                yield from self.on_frame(frame, assembly)
        if self.on_batten is not None:
            for batten in assembly.battens:
                yield from self.on_batten(batten, assembly)
        if self.on_boat is not None:
            yield from self.on_boat(assembly)
