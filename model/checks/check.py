"""What a check is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

import shapely

from scrieve.shared.findings import Finding, Level, Source
from scrieve.shared.memory_shortage import short_of_memory
from scrieve.shared.sentences import Name, Sentence

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.evidence import subjects
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
        """The findings on the whole boat, in no particular order; an error where outlines defeat the computation."""
        if self.on_frame is not None:
            for frame in assembly.frames:
                yield from self._kept_going(self.on_frame(frame, assembly), frame, frame.source)
        if self.on_batten is not None:
            for batten in assembly.battens:
                yield from self._kept_going(self.on_batten(batten, assembly), batten, assembly.source)
        if self.on_boat is not None:
            yield from self._kept_going(self.on_boat(assembly), assembly, assembly.source)

    def _kept_going(
        self, findings: Iterator[Finding], thing: Frame | Batten | Assembly, source: Source
    ) -> Iterator[Finding]:
        """The findings, and an error instead of those that outlines are in the way of: the rest is still judged."""
        try:
            yield from findings
        except shapely.errors.GEOSException as error:
            if short_of_memory(error):
                raise
            yield Finding(
                check=self.slug,
                level=Level.ERROR,
                message=Sentence.of(
                    "{check} could not be judged in {thing}: outlines that all but touch defeat the computation",
                    check=self.slug,
                    thing=thing,
                ),
                frame=thing.number if isinstance(thing, Frame) else "",
                cure=Sentence.of(
                    "please report it, with the plan ({error}); what lies at that place may be drawn apart, or joined",
                    error=Name(error),
                ),
                source=source,
                subjects=() if isinstance(thing, Assembly) else subjects(thing),
            )
