"""Faults as they are planted: in a copy of a sound boat's pieces, at so many times a check's limit."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence
from copy import deepcopy
from dataclasses import dataclass

import numpy as np

from .frames import Frame
from .habit import Style
from .hull import Lines
from .shapes import Piece

SIZES = (0.8, 1.25, 3.0, 30.0)
MEMBERS = ("open", "ring")  # kinds of frames that are put together of several
Y, V = np.array([1.0, 0.0]), np.array([0.0, 1.0])


@dataclass(frozen=True, kw_only=True)
class Planted:
    """A boat with a fault: the checks of which one must tell it, and the frames in which.

    What `follows` is told anywhere without being invented.
    """

    style: Style
    frames: list[Frame]
    checks: frozenset[str]
    where: frozenset[str]
    follows: frozenset[str]


@dataclass(frozen=True)
class Case:
    """What a fault is planted in."""

    style: Style
    frames: list[Frame]
    pick: random.Random
    times: float

    @property
    def lines(self) -> Lines:
        return Lines(self.style)

    def frame(self, *kinds: str) -> Frame | None:
        """One between the ends, of these kinds."""
        these = [f for f in self.frames[1:-1] if not kinds or f.kind in kinds]
        return self.pick.choice(these) if these else None

    def told(
        self, *checks: str, where: Iterable[Frame] = (), style: Style | None = None, follows: tuple[str, ...] = ()
    ) -> Planted:
        return Planted(
            style=style or self.style,
            frames=self.frames,
            checks=frozenset(checks),
            where=frozenset(f.number for f in where),
            follows=frozenset(follows),
        )


Plant = Callable[[Case], Planted | None]
FAULTS: dict[str, tuple[Plant, bool]] = {}
"""By name: what plants it, and whether it has a size."""


def fault(*, sized: bool = True) -> Callable[[Plant], Plant]:
    def keep(plant: Plant) -> Plant:
        FAULTS[plant.__name__] = (plant, sized)
        return plant

    return keep


def planted(name: str, style: Style, frames: Sequence[Frame], seed: int, times: float = 1.0) -> Planted | None:
    """The boat with this fault; None where she has nothing that it could be planted in."""
    plant, _ = FAULTS[name]
    return plant(Case(style, deepcopy(list(frames)), random.Random(seed), times))


def of_kind(frame: Frame, *kinds: str) -> list[Piece]:
    return [p for p in frame.pieces if p.kind in kinds]


def notched(frame: Frame) -> list[Piece]:
    """The pieces with the notch of the chine."""
    return [p for p in frame.pieces if any(c.mark.startswith("chine") for c in p.corners)]


def shifted(pieces: Iterable[Piece], marks: set[str], way: np.ndarray, by: float) -> int:
    """Moves the corners of these marks, a mirror image to either side."""
    count = 0
    for piece in pieces:
        for side in (1, -1):
            step = (float(side * way[0] * by), float(way[1] * by))
            count += piece.move(lambda c, side=side: c.mark in marks and c.y * side > 0, step)
    return count
