"""At which station of one frame all battens together would run fair: where a station is mistyped, that one is it.

A section that is out of place puts one batten off; a frame at a wrong station puts off every batten that is not
straight there, each along its own course. So one number explains them all, or it does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.tolerances import exceeds

from ...boat.batten import Batten
from .fairness import stiffness

Values = NDArray[np.float64]

_ORDER = 3  # of the derivative kept small: few frames leave something to compare
_FEWEST = 6  # frames; of five, moved by 180 to 500 mm, another than the right one was named in one boat of ten
_EASIER = 10.0
"""times; how much easier all battens must run with the frame elsewhere. Of fair curves and hulls through 6 to 14 frames
none ran 4.3 times easier with any frame moved (measured)."""
_RIVAL = 2.5  # times; another frame that would do nearly as well, moved, may be the one, or this one in another bay
_STEPS = 120  # places tried between the ends of the boat, and then between the two beside the best
_BEYOND = 0.15  # of the boat's length, past its ends
_ROOM = 0.05  # of a bay; frames do not stand closer
_PLAY = 0.3  # of the limit; by so much any point may lie off


@dataclass(frozen=True, slots=True, kw_only=True)
class Misplaced:
    """A frame, by number, of which all battens would run fair `shift` mm further forward.

    `offs` are the battens that are off as it stands, the worst first, each with how far, (y, z), mm.
    """

    frame: str
    shift: float
    offs: tuple[tuple[Batten, tuple[float, float]], ...]


@lru_cache(maxsize=4)
def misplaced(battens: tuple[Batten, ...], limit: float) -> Misplaced | None:
    """The frame whose station is wrong, if one alone is and that is plain; `limit` is that of a point off fair, mm."""
    runs = [_StationedBatten.of(batten) for batten in battens if len(batten.sections) >= _FEWEST]
    frames = {frame: [run for run in runs if frame in run.frames] for run in runs for frame in run.frames}
    frames = {frame: through for frame, through in frames.items() if len({run.batten.kind for run in through}) > 1}
    if len(frames) < 2:
        return None
    play = _PLAY * limit
    alone = {run: run.energy(play) for run in runs}
    whole = sum(alone.values())
    tried = []
    for frame, through in frames.items():
        shift, energy, again = _best(through, frame, play)
        rest = whole - sum(alone[run] for run in through)
        tried += [(rest + energy, frame, shift), (rest + again, frame, shift)]
    tried.sort()
    (least, frame, shift), (second, *_) = tried[:2]
    if whole < _EASIER * least or second < _RIVAL * least:
        return None
    offs = [(run.batten, run.off(frame, shift)) for run in frames[frame]]
    offs = sorted((each for each in offs if exceeds(np.hypot(*each[1]), limit)), key=lambda each: -np.hypot(*each[1]))
    return Misplaced(frame=frame, shift=shift, offs=tuple(offs)) if offs else None


def _best(runs: Sequence[_StationedBatten], frame: str, play: float) -> tuple[float, float, float]:
    """The shift of a frame, mm, with which these run easiest, their energy then, and the least in any other bay."""
    low, high = min(run.x.min() for run in runs), max(run.x.max() for run in runs)
    here = float(np.mean([run.x[run.frames.index(frame)] for run in runs]))
    beyond = _BEYOND * (high - low)
    shifts = np.linspace(low - beyond, high + beyond, _STEPS) - here
    energies = np.sum([run.energies(frame, shifts, play) for run in runs], axis=0)
    best = int(np.argmin(energies))
    bay = (high - low) / (max(len(run.x) for run in runs) - 1)
    again = np.min(energies[np.abs(shifts - shifts[best]) > bay], initial=np.inf)
    step = shifts[1] - shifts[0]
    shifts = np.linspace(shifts[best] - step, shifts[best] + step, _STEPS)
    energies = np.sum([run.energies(frame, shifts, play) for run in runs], axis=0)
    best = int(np.argmin(energies))
    return float(shifts[best]), float(energies[best]), float(again)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _StationedBatten:
    """A batten's points (n, 2) at `x` (n,), in the frames of these numbers."""

    batten: Batten
    frames: tuple[str, ...]
    x: Values
    points: Values

    @classmethod
    def of(cls, batten: Batten) -> _StationedBatten:
        centres = batten.centres
        frames = tuple(section.frame for section in batten.sections)
        return cls(batten=batten, frames=frames, x=centres[:, 0], points=centres[:, 1:])

    def energy(self, play: float) -> float:
        """What it takes to bend the batten through its points, and what a little play of each may take."""
        return float(_energies(self.x[None], self.points[None], play)[0])

    def energies(self, frame: str, shifts: Values, play: float) -> Values:
        """(m,) the same with the frame moved by each of `shifts` (m,), past others as well; inf where it meets one."""
        own = self.frames.index(frame)
        x = np.repeat(self.x[None], len(shifts), axis=0)
        x[:, own] += shifts
        order = np.argsort(x, axis=1)
        x = np.take_along_axis(x, order, axis=1)
        bays = np.diff(x, axis=1)
        apart = bays.min(axis=1) > _ROOM * np.ptp(self.x) / len(self.x)
        out = np.full(len(shifts), np.inf)
        if apart.any():
            out[apart] = _energies(x[apart], self.points[order[apart]], play)
        return out

    def off(self, frame: str, shift: float) -> tuple[float, float]:
        """(y, z) mm: how far the batten goes on along the course of the others from where the frame should be."""
        own = self.frames.index(frame)
        others = np.delete(np.arange(len(self.x)), own)
        at = self.x[own] + np.array([0.0, shift])
        near = np.sort(np.argsort(np.abs(self.x[others] - at.mean()), kind="stable")[:4])
        course = np.polynomial.polynomial.polyfit(self.x[others][near] - at[0], self.points[others][near], 3)
        here, there = np.polynomial.polynomial.polyval(at - at[0], course).T
        return float(there[0] - here[0]), float(there[1] - here[1])


def _energies(x: Values, points: Values, play: float) -> Values:
    """(m,) of points (m, n, 2) at growing x (m, n)."""
    held = stiffness(x, _ORDER) / ((x[:, -1:] - x[:, :1]) / 2)[:, :, None] ** (2 * _ORDER - 1)
    bent = np.sum(points * (held @ points), axis=(1, 2))
    return np.asarray(bent + play**2 * np.trace(held, axis1=1, axis2=2))
