"""What of a batten lies off its fair curve: sections, frames at a wrong station, and what may pass unseen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import COINCIDENT

from ...boat.assembly import Assembly
from ...boat.batten import Batten
from ...geometry.spline import NaturalSpline
from .bending import bump_that_bends, too_tight
from .fairness import FEWEST, Stray, can_be_told, strays
from .stations import Misplaced

_GROWS = 4500.0
"""mm; in a boat longer than this what is off by more than the limit is a note up to as many times the limit as she is
longer. Common practice, no source; a published table of 12.2 m, made 13 m and taken in 8 to 17 frames, wanders by up to
4.8 mm, rounded to eighths of an inch by up to 7.3 mm (measured)."""
_TOLD = 1.25  # times the limit; a bump that only shows beyond it deserves a word that it may pass unseen


def wander(assembly: Assembly) -> float:
    """mm by which a batten of so long a boat may be off and no error: the limit, and more past _GROWS."""
    ends = [x for batten in assembly.battens for x in batten.centres[[0, -1], 0]]
    return assembly.limits["fair"] * max(1.0, float(max(ends) - min(ends)) / _GROWS)


@kept
def strays_of(batten: Batten, limit: float) -> tuple[Stray, ...]:
    """The sections of a batten that are off the fair curve through the others by more than `limit`, mm."""
    return strays(batten.centres[:, 0], batten.centres[:, 1:], limit)


def is_doubtful(assembly: Assembly) -> bool:
    """Whether one slip is worth being looked for: a batten is off, is bent much, or is so short that it hides it."""
    limit, bend = assembly.limits["fair"], assembly.limits["bend"]
    return any(
        len(each.sections) < FEWEST or strays_of(each, limit) or too_tight(each, bend) for each in assembly.battens
    )


def is_beside(batten: Batten, index: int, wrong: Misplaced) -> bool:
    """Whether a section is in this frame or next to it, where the batten runs wrong as well if its station is."""
    frames = {section.frame for section in batten.sections[max(index - 1, 0) : index + 2]}
    return wrong.shift is not None and wrong.frame in frames


def off_together(assembly: Assembly, frame: str, limit: float) -> tuple[Misplaced, float] | None:
    """The frame and how far it is, if all battens that are off there would be fair at once with it elsewhere.

    Asked of battens of two kinds or more: what puts them all off is the frame's station.
    """
    alike = [
        (batten, stray)
        for batten in assembly.battens
        for stray in strays_of(batten, limit)
        if batten.sections[stray.index].frame == frame
    ]
    if len({batten.kind for batten, _ in alike}) < 2:
        return None
    slopes = np.array([through_others(batten, stray.index)[1] for batten, stray in alike])
    whole = np.array([stray.whole for _, stray in alike])
    sure = np.array([stray.off for _, stray in alike]) != 0.0
    shift = float(np.sum(whole * slopes) / max(float(np.sum(slopes * slopes)), COINCIDENT))
    left = np.hypot(*np.where(sure, whole - shift * slopes, 0.0).T)
    if not np.all(left <= limit):
        return None
    worst_first = sorted(alike, key=lambda pair: -round(pair[1].distance, 3))
    return Misplaced(frame=frame, shift=shift, offs=tuple((batten, stray.off) for batten, stray in worst_first)), shift


def in_plane(batten: Batten, index: int, off: NDArray[np.float64]) -> NDArray[np.float64]:
    """(2,) (y, v) mm: how far a section must have been moved in its frame to put the batten off by (y, z) at its x.

    In a raked frame what is moved up is moved along the boat too, and the batten runs on meanwhile.
    """
    placement = batten.placements[index]
    slope = through_others(batten, index)[1]
    s, c = np.sin(placement.rake), np.cos(placement.rake)
    v = off[1] / (c + s * slope[1])
    return np.array([off[0] - s * slope[0] * v, v])


def through_others(batten: Batten, index: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(2,) (y, z) mm and its slope: the batten sprung through all sections but one, at that one's x."""
    x, points = batten.centres[:, 0], batten.centres[:, 1:]
    through = NaturalSpline.through(np.delete(x, index), np.delete(points, index, axis=0))
    return through(x[index : index + 1])[0], through.slope(x[index : index + 1])[0]


@kept
def hidden_bumps(batten: Batten, limit: float, bend: float) -> dict[str, float]:
    """How large a bump may pass unseen, mm, by frame, where that is much above the limit."""
    firm = np.delete(np.arange(len(batten.sections)), [stray.index for stray in strays_of(batten, limit)])
    bent = bump_that_bends(batten, bend)[firm]
    told = np.minimum(can_be_told(batten.centres[firm, 0], batten.centres[firm, 1:], limit), bent)
    frames = (batten.sections[i].frame for i in firm)
    return {frame: float(bump) for frame, bump in zip(frames, told, strict=True) if bump > _TOLD * limit}
