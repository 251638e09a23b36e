"""Edits: a cure as changes of the plan's own files. Plain frozen values; nothing here carries them out.

The edits of one finding belong together and are made in their order. One is `sure` where it is the only way that its
cure knows and wants nothing else changed with it. Coordinates (u, v) are the drawing's own, in its own unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

Spot: TypeAlias = tuple[float, float]
Key: TypeAlias = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What an edit changes: the thing called `name`, of a `frame` or on a cut sheet ("").

    `file` is a drawing, relative to the plan's folder, `unit` that of its coordinates. `handles` are those of all
    that draws the thing there, first the one it is read from; none of what is to be added.
    """

    name: str
    frame: str
    file: str
    layer: str
    unit: str
    handles: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """All that draws the target goes as far as from `start` to `end`.

    `along` are the names of other things that the same objects draw: they go along. `after`: the place is free only
    once the moves before it are made.
    """

    target: Target
    start: Spot
    end: Spot
    along: tuple[str, ...] = ()
    after: bool = False
    sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Reshape:
    """Corners of the target go from a place to another each, the lines and arcs between them with them."""

    target: Target
    corners: tuple[tuple[Spot, Spot], ...]
    sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Remove:
    """All that draws the target, which is `at` a place, is taken out, and with it what is drawn `along`."""

    target: Target
    at: Spot
    along: tuple[str, ...] = ()
    sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Add:
    """A circle of a `diameter` about the one of `points`; with no diameter a line of two, or a closed outline of more.

    `bulges` are those of the outline's segments, none where all are straight; `text` is written inside it.
    """

    target: Target
    points: tuple[Spot, ...]
    bulges: tuple[float, ...] = ()
    diameter: float = 0.0
    text: str = ""
    sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Relabel:
    """The text of the target is to read `text`, and now reads `was`."""

    target: Target
    was: str
    text: str
    sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SetKey:
    """In the plan's `file` the characters from `start` up to `end` give way to `text`; then `key` has this `value`.

    Places are (line, column), both from 1. An empty `value` takes the key out of the plan. The line of `start` holds
    the key, or where there is none yet what encloses it stands above.
    """

    file: str
    key: Key
    value: str
    start: tuple[int, int]
    end: tuple[int, int]
    text: str
    sure: bool = False


OfDrawing: TypeAlias = Move | Reshape | Remove | Add | Relabel
Edit: TypeAlias = OfDrawing | SetKey
