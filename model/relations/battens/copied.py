"""Frames that are drawn as one beside them, line for line, where the battens say that one is not its own drawing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import WRITTEN

from ...boat.assembly import Assembly
from ...boat.batten import Batten
from ...boat.frame import Frame
from .off_curve import through_others

_FEWEST = 6  # sections of a batten by which a frame may be judged
_PLAIN = 4.0  # times the limit; by as much the worst batten is off, and others by more than the limit itself


class Copied(NamedTuple):
    """A `frame` that is drawn as its `other` is, and the battens that are off there, the worst first, each how far, mm.

    `beside` are the numbers of the frames next to it, where battens run wrong with it.
    """

    frame: Frame
    other: Frame
    offs: tuple[tuple[Batten, float], ...]
    beside: frozenset[str]


@kept
def copied_frames(assembly: Assembly, limit: float) -> tuple[Copied, ...]:
    """The frames that are drawn as one beside them; none where all battens run fair through both.

    Amidships they may. Further apart two may be alike before and abaft the greatest breadth.
    """
    found = []
    for pair in pairwise([frame for frame in assembly.frames if frame.core]):
        if _alike(*pair):
            offs = {frame: _offs(frame, assembly.battens) for frame in pair}
            frame, other = sorted(pair, key=lambda each: -max((off for _, off in offs[each]), default=0.0))
            far = [(batten, off) for batten, off in offs[frame] if off > limit]
            if len({batten.kind for batten, _ in far}) > 1 and far[0][1] > _PLAIN * limit:
                place = assembly.frames.index(frame)
                beside = frozenset(each.number for each in assembly.frames[max(place - 1, 0) : place + 2])
                found.append(Copied(frame, other, tuple(far), beside))
    return tuple(found)


def _alike(one: Frame, other: Frame) -> bool:
    shapes = [sorted((part.shape.normalize() for part in each.core), key=lambda s: s.bounds) for each in (one, other)]
    if len(shapes[0]) != len(shapes[1]):
        return False
    return all(shapely.equals_exact(a, b, tolerance=WRITTEN) for a, b in zip(*shapes, strict=True))


def _offs(frame: Frame, battens: Sequence[Batten]) -> list[tuple[Batten, float]]:
    """How far each batten is off the curve through its other frames, mm, the worst first; ends are not judged."""
    out = []
    for batten in battens:
        numbers = [section.frame for section in batten.sections]
        if len(numbers) < _FEWEST or frame.number not in numbers[1:-1]:
            continue
        index = numbers.index(frame.number)
        out.append((batten, float(np.hypot(*(through_others(batten, index)[0] - batten.centres[index, 1:])))))
    return sorted(out, key=lambda each: (-each[1], each[0].name))
