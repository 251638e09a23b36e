"""Which one slip would have all battens of a boat run fair: a station mistyped, or a section drawn out of place.

A section that is out of place puts one batten off; a frame at a wrong station puts off every batten that is not
straight there, each along its own course. All battens are fitted together, with one or the other, and what leaves
the least is named. Few frames show no more than that: a section is named where it bends a batten past its stock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.tolerances import exceeds

from ...boat.batten import Batten
from .bending import too_tight
from .fairness import stiffness

Values = NDArray[np.float64]

_ORDER = 3  # of the derivative kept small: few frames leave something to compare
_FEWEST = 6  # frames; of five, moved by 180 to 500 mm, another than the right one was named in one boat of ten
_MOST = 24  # frames; through more each bump is told by those about it, and the search would take seconds
_EASIER = 10.0
"""times; how much easier all battens must run with the frame elsewhere. Of fair curves and hulls through 6 to 14 frames
none ran 4.3 times easier with any frame moved (measured)."""
_RIVAL = 2.5  # times; another frame that would do nearly as well, moved, may be the one, or this one in another bay
_STEPS = 120  # places tried between the ends of the boat, and then between the two beside the best
_BEYOND = 0.15  # of the boat's length, past its ends
_ROOM = 0.05  # of a bay; frames do not stand closer
_PLAY = 0.3  # of the limit; by so much any point may lie off
_FEWEST_OF_ONE = 5  # sections; through fewer any one might be the one that bends the batten
_EASIER_ALONE = 3.0
"""times; how much easier one kind of batten must run without a section, if it is bent too tightly with it alone.

Of 229 bumps of 20 and 40 mm in fair curves and hulls through 5 to 7 frames that bent a batten past its stock, all but
one were named, 96 to 100 % of these rightly; of battens bent too tightly as they were meant, 2 to 8 % (measured).
"""
_EASED = 0.9  # of what its stock takes; so far the batten is bent without the section at the most
_OTHERS = 0.1  # of what the other battens take to bend; by so much one kind may be less fair than they
_AS_WELL = 2.0  # times; a section that leaves no more than so much may be the one


@dataclass(frozen=True, slots=True, kw_only=True)
class Misplaced:
    """A frame, by number, of which all battens would run fair `shift` mm further forward.

    `offs` are the battens that are off as it stands, the worst first, each with how far, (y, z), mm. Where the
    `shift` is None they are of one kind, their sections in the frame are wrong and not its station; `rivals` are the
    frames of which that is as likely, each with how far.
    """

    frame: str
    shift: float | None
    offs: tuple[tuple[Batten, tuple[float, float]], ...]
    rivals: tuple[tuple[str, float], ...] = ()


@lru_cache(maxsize=4)
def misplaced(battens: tuple[Batten, ...], fair: float, bend: float) -> tuple[Misplaced, ...]:
    """The frame whose station is wrong, if one alone is and that is plain; else sections that are, of a kind one.

    `fair` is the limit of a point off fair, mm, `bend` that of stock, R/t.
    """
    station = _station(battens, fair)
    if station is not None:
        return (station,)
    runs = [_StationedBatten.of(batten) for batten in battens if _FEWEST_OF_ONE <= len(batten.sections) <= _MOST]
    kinds = dict.fromkeys(run.batten.kind for run in runs)
    found = (_section(runs, kind, fair, bend) for kind in kinds)
    return tuple(each for each in found if each is not None)


def _section(runs: Sequence[_StationedBatten], kind: str, fair: float, bend: float) -> Misplaced | None:
    """The sections of battens of one kind in one frame that bend them too tightly, and without which they run fair."""
    own = [run for run in runs if run.batten.kind == kind]
    bent = [run for run in own if too_tight(run.batten, bend)]
    if not bent:
        return None
    play = _PLAY * fair
    floor = _OTHERS * sum(run.energy(play) for run in runs if run.batten.kind != kind)
    tried = sorted(
        (sum(run.without(frame).energy(play) if frame in run.frames else run.energy(play) for run in own), frame)
        for frame in dict.fromkeys(frame for run in own for frame in run.frames)
    )
    whole, least = sum(run.energy(play) for run in own) + floor, tried[0][0] + floor
    near = [(energy, frame) for energy, frame in tried if energy + floor <= _AS_WELL * least]
    eased = (
        frame
        for energy, frame in near
        if whole >= _EASIER_ALONE * (energy + floor)
        and all(frame in run.frames and not too_tight(run.without(frame).batten, bend, _EASED) for run in bent)
    )
    frame = next(eased, None)
    if frame is None:
        return None
    offs = [(run.batten, run.lies_off(frame)) for run in bent]
    offs = sorted((each for each in offs if exceeds(np.hypot(*each[1]), fair)), key=lambda each: -np.hypot(*each[1]))
    rivals = [
        (other, max(float(np.hypot(*run.lies_off(other))) for run in bent if other in run.frames))
        for _, other in near
        if other != frame and any(other in run.frames for run in bent)
    ]
    return Misplaced(frame=frame, shift=None, offs=tuple(offs), rivals=tuple(rivals)) if offs else None


def _station(battens: Sequence[Batten], limit: float) -> Misplaced | None:
    runs = [_StationedBatten.of(batten) for batten in battens if _FEWEST <= len(batten.sections) <= _MOST]
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

    def without(self, frame: str) -> _StationedBatten:
        """The same but for its section in a frame."""
        kept = [n for n, number in enumerate(self.frames) if number != frame]
        sections = tuple(self.batten.sections[n] for n in kept)
        placements = tuple(self.batten.placements[n] for n in kept)
        return self.of(replace(self.batten, sections=sections, placements=placements))

    def lies_off(self, frame: str) -> tuple[float, float]:
        """(y, z) mm: how far its section in a frame lies off the fairest curve through the others."""
        own, held = self.frames.index(frame), stiffness(self.x[None], _ORDER)[0]
        y, z = held[own] @ self.points / held[own, own]
        return float(y), float(z)

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
