"""A whole drawing is shifted: its origin is not where the plan says, so that all battens and legs are off alike."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

import numpy as np

from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.units import MM_PER_UNIT
from scrieve.shared.wording import trimmed

from ...boat.frame import Frame
from ..case import Case, Hypothesis
from ..running import Runs

_FRAMES = 2  # those of which most is found
_FEWEST = 3  # findings, and battens, that are off alike
_LEAST = 1.0  # mm; what is off by less is drawn so, or a fault of its own
_ALIKE = (
    0.35  # share of the shift by which battens may differ in how far they are off: fair curves are not known better
)
_ROUND = (10.0, 5.0, 1.0, 0.1)  # of the plan's unit; a shift is tried as the roundest of these that is near
_CHECKS = ("leg-bottom", "leg-side", "fair", "bend", "foul", "station", "mirror", "notch-foul", "notch-slack", "board")


def propose(case: Case) -> Iterator[Hypothesis]:
    """The shift of a frame's drawing with which its legs stand on the rails and all battens run on through it."""
    runs, unit = Runs.of(case.boat), MM_PER_UNIT[case.plan.units]
    numbers = dict.fromkeys([*case.restless, *(each.frame for each in case.of("leg-bottom") if each.frame)])
    traces = {n: tuple(each for each in case.in_frames(n) if each.check in _CHECKS) for n in numbers}
    referred = any(layer.makes == "reference" for layer in case.plan.layers.values())
    for number in sorted(traces, key=lambda each: -len(traces[each]))[:_FRAMES]:
        index, side = case.index_of(number), case.frames[number].view.side
        u, v = case.plan.frames[index].origin
        for off in _ways(case, runs, number) if len(traces[number]) >= _FEWEST else ():
            y, z = (_round(each / unit) * unit for each in off)
            origin = [u + side * y, v + z]
            yield Hypothesis(
                says=Sentence.of(
                    "the drawing of F{frame} is shifted by {size}: what runs through it, and its legs, are off alike",
                    frame=Name(number),
                    size=f"{abs(z):g} mm {'up' if z > 0 else 'down'}"
                    if abs(z) > abs(y)
                    else f"{abs(y):g} mm to {'port' if y > 0 else 'starboard'}",
                ),
                cure=Sentence.of(
                    "shift what is drawn of F{frame} back{lines}set its origin to [{u}, {v}]",
                    frame=Name(number),
                    lines=" to its reference lines; if these are shifted with it, " if referred else ", or ",
                    u=trimmed(origin[0] / unit),
                    v=trimmed(origin[1] / unit),
                ),
                edits=case.plan.keys.set(("frames", index), "origin", origin),
                trace=traces[number],
                fewest=_FEWEST,
                frame=number,
                source=case.plan.source_of("frames", index, "origin"),
                like=referred,
                brings=frozenset({"station"}) if referred else frozenset(),
            )


def _ways(case: Case, runs: tuple[Runs, ...], number: str) -> list[tuple[float, float]]:
    """How far, (y, v) mm, a drawing may be shifted: as its legs stand off the rails, or as all battens are off."""
    found = []
    feet = {frame.number: _feet(frame, upright=case.plan.build == "upright") for frame in case.boat.frames}
    others = [median(own) for each, own in feet.items() if own and each != number]
    if others and (own := feet[number]) and max(own) - min(own) < _LEAST <= abs(median(own) - median(others)):
        found.append((0.0, median(own) - median(others)))
    offs = np.array([off for run in runs if (off := _off(case, run, number)) is not None])
    if len(offs) >= _FEWEST:
        for way in np.median(offs, axis=0), np.array([0.0, np.median(offs[:, 1])]):
            size = float(np.hypot(*way))
            if size >= _LEAST and np.median(np.hypot(*(offs - way).T)) <= _ALIKE * size:
                found.append((float(way[0]), float(way[1])))
    return list(dict.fromkeys(found))


def _feet(frame: Frame, *, upright: bool) -> list[float]:
    """Where the plies of a frame's legs end, v mm."""
    return [part.shape.bounds[1 if upright else 3] for part in frame.parts if part.role == "leg"]


def _off(case: Case, run: Runs, number: str) -> np.ndarray | None:
    """(2,) (y, v) mm: how far a line is off the curve through its points in the frames about this one."""
    if number not in run.frames:
        return None
    x = np.array([case.frames[each].placement.station for each in run.frames])
    own = run.frames.index(number)
    others = np.delete(np.arange(len(x)), own)
    near = others[np.argsort(np.abs(x[others] - x[own]), kind="stable")[:4]]
    course = np.polynomial.polynomial.polyfit(x[near] - x[own], run.points[near], min(2, len(near) - 1))
    return np.asarray(run.points[own] - course[0])


def _round(value: float) -> float:
    """The roundest number near this one, by no more than a tenth of it."""
    return next((near for step in _ROUND if abs((near := round(value / step) * step) - value) <= 0.1 * abs(value)), 0.0)
