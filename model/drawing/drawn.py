"""What a drawing holds, in drawing axes (u to the right, v up), mm. Plain frozen values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from scrieve.shared.edits import Target
from scrieve.shared.findings import Source

from ..boat.defect import Defect
from ..geometry.outline import Outline

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnOutline:
    """A closed outline, drawn as one or joined from its pieces.

    `twice`: all of its pieces are drawn twice. `doubled_at`: some are, here is the middle of one.
    """

    layer: str
    outline: Outline
    source: Source
    twice: bool = False
    doubled_at: Point | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnChain:
    """Pieces joined end to end that do not close: `points` (n), and `bulges` (n - 1) of the segments between.

    `forked` when an end of it lies on a fork, where it cannot be told how it goes on.
    """

    layer: str
    points: tuple[Point, ...]
    bulges: tuple[float, ...]
    source: Source
    forked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnFork:
    """A point where three or more ends of pieces meet."""

    layer: str
    at: Point
    ends: int
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnEdge:
    """One segment of a network. `twice`: the piece that it is of is drawn twice."""

    start: Point
    end: Point
    bulge: float
    source: Source
    twice: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnNetwork:
    """Pieces of one layer that hang together and fork: their segments, and the chains and forks they make."""

    layer: str
    edges: tuple[DrawnEdge, ...]
    chains: tuple[DrawnChain, ...]
    forks: tuple[DrawnFork, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnCircle:
    """A full circle."""

    layer: str
    centre: Point
    radius: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPoint:
    """A point, or the place of a block (`of_block`) that holds neither circle nor point."""

    layer: str
    at: Point
    source: Source
    of_block: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnText:
    """A text without formatting and needless white space: its anchor, and the middle of its box as estimated.

    `mirrored`: its letters read backwards.
    """

    layer: str
    text: str
    at: Point
    middle: Point
    source: Source
    mirrored: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLine:
    """A straight line that belongs to no closed outline."""

    layer: str
    start: Point
    end: Point
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """A drawing as read: all in its own axes, mm; layers as the plan spells them.

    `unit` is the unit it is drawn in, `unit_assumed` whether the drawing leaves that to the plan.
    `chains` are left open, `forks` are where pieces cannot be told apart; whether that is a defect
    depends on what the layer makes. `networks` hold the forks and their chains once more, by what hangs
    together. `unnamed` counts the objects on layers that the plan does not
    name. `defects` are those of the drawing as a whole; each goes into a report once.
    """

    shown: str
    unit: str
    unit_assumed: bool
    plan_unit: str
    outlines: tuple[DrawnOutline, ...] = ()
    chains: tuple[DrawnChain, ...] = ()
    forks: tuple[DrawnFork, ...] = ()
    networks: tuple[DrawnNetwork, ...] = ()
    circles: tuple[DrawnCircle, ...] = ()
    points: tuple[DrawnPoint, ...] = ()
    texts: tuple[DrawnText, ...] = ()
    unnamed: Mapping[str, int] = field(default_factory=dict)
    defects: tuple[Defect, ...] = ()

    @property
    def lines(self) -> tuple[DrawnLine, ...]:
        """Every straight segment of every open chain."""
        return tuple(
            DrawnLine(layer=chain.layer, start=start, end=end, source=chain.source)
            for chain in self.chains
            for start, end, bulge in zip(chain.points, chain.points[1:], chain.bulges, strict=False)
            if bulge == 0.0
        )


def target_of(source: Source, name: str, *, drawn: bool = False) -> Target:
    """What an edit changes of a frame that is not known yet: an object, if it is one that is `drawn`, or its layer."""
    handles = (source.handle, *source.others) if drawn else ()
    return Target(name=name, frame="", file=source.file, layer=source.layer, unit="mm", handles=handles)


def drawn_with(source: Source, more: Iterable[Source]) -> Source:
    """The source of a thing that is drawn with all of these objects."""
    more = list(more)
    handles = dict.fromkeys(
        handle for each in (source, *more) for handle in (each.handle, *each.others) if handle != source.handle
    )
    return replace(source, others=tuple(handles), bound=source.bound or any(each.bound for each in more))
