"""The unit of drawings that say none: the one in which their sizes are those of a boat, and round."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scrieve.shared.units import MM_PER_UNIT, PLAN_UNITS

from .content import Content, Floats

_PART = (550.0, 4500.0)  # mm, across the largest part of a frame; common practice, no source
_LIKELY = 1300.0  # mm, the same of a boat that is built at home; common practice, no source
_WEIGHT = 0.25  # of how likely the size is, beside the share of sizes that are round
_CIRCLE = (1.8, 40.0)  # mm, of the usual small circle: a screw, a dowel, a hole; common practice, no source
_SMALL = 0.25  # of the largest part; sizes up to this are those of sections, legs and plates
_ROUND = (0.5, 25.4 / 16)  # mm; what sizes are drawn to
_OFF = 0.02  # share of these by which a round size may be off
_MOST = 5_000  # sizes that are looked at


def unit_of(contents: Sequence[Content]) -> tuple[str, str]:
    """The unit of these drawings, read as if in mm, and why; "mm" and "" where their sizes do not tell."""
    large = max((float(np.hypot(*(box[2:] - box[:2]))) for content in contents for box in content.bounds), default=0.0)
    marks = np.array([mark.diameter for content in contents for mark in content.marks if mark.diameter][:_MOST])
    edges = np.concatenate([_edges(content) for content in contents] or [np.zeros(0)])
    small = edges[(edges < _SMALL * large) & (edges > 0.002 * large)][:_MOST]
    scores: list[tuple[float, str]] = []
    for unit in PLAN_UNITS:
        scale = MM_PER_UNIT[unit]
        if not _PART[0] <= large * scale <= _PART[1]:
            continue
        if len(marks) and not _CIRCLE[0] <= float(np.median(marks)) * scale <= _CIRCLE[1]:
            continue
        likely = np.exp(-(np.log(large * scale / _LIKELY) ** 2))
        scores.append((_round(np.concatenate([small, marks]) * scale) + _WEIGHT * float(likely), unit))
    if not scores:
        return "mm", ""
    _, unit = max(scores, key=lambda score: score[0])
    why = f"the largest part is then {large * MM_PER_UNIT[unit]:.0f} mm across"
    return unit, why + (f", a circle {float(np.median(marks)) * MM_PER_UNIT[unit]:.1f} mm" if len(marks) else "")


def _edges(content: Content) -> Floats:
    """The lengths of all straight edges along the axes."""
    chords, straight = content.stack.chords, content.stack.bulges == 0.0
    lengths = np.abs(chords)
    along = np.minimum(np.abs(chords.real), np.abs(chords.imag)) <= 1e-6 * lengths
    return np.asarray(lengths[straight & along])


def _round(sizes: Floats) -> float:
    """The share of these that are round, in mm or in sixteenths of an inch."""
    if not len(sizes):
        return 0.0
    off = [np.abs(sizes / step - np.round(sizes / step)) <= _OFF for step in _ROUND]
    return max(float(np.mean(each)) for each in off)
