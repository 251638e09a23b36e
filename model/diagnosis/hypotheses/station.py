"""One frame's station is mistyped: all battens would run fair with the frame elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise, zip_longest

import numpy as np

from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.units import MM_PER_UNIT, STEPS
from scrieve.shared.wording import trimmed

from ...relations.battens.copied import copied_frames
from ..case import Case, Hypothesis
from ..running import ENOUGH, Runs, effort

_EASIER = 1.3  # times; how much easier all battens must run with the frame elsewhere to be worth a trial
_AS_EASY = 1.5  # times; a number that a slip of the pen makes of the plan's is taken for the best one that is as easy
_TRIED = 2  # numbers for one frame
_MOST = 4  # numbers in all
_STEPS = 200
_FEWEST_LOOSE = 6  # findings; through few frames battens run fair with many another station
_EVEN = 10.0  # of the plan's unit; slips of such numbers are tried first
_ROUND = (100.0, 50.0, 25.0, 10.0, 5.0, 1.0, 0.5)  # of the plan's unit; what designers space their frames by


def propose(case: Case) -> Iterator[Hypothesis]:
    """The frame and the stations with which all battens run easiest: slips of the pen first, then round numbers."""
    runs, unit = Runs.of(case.boat), MM_PER_UNIT[case.plan.units]
    standing = {frame.number: frame.placement for frame in case.boat.frames}
    if not runs or not case.restless or copied_frames(case.boat, case.boat.limits["fair"]):
        return  # while a frame is drawn as another, battens say nothing of stations
    loose = all(len(run.frames) < ENOUGH for run in runs)
    now = float(effort(case.boat, runs, [{}])[0])
    stations = sorted(place.station for place in standing.values())
    found: list[list[tuple[bool, int, float, str, float]]] = []
    for number in case.restless:
        place = standing[number]
        low, high = 1.1 * stations[0] - 0.1 * stations[-1], 1.1 * stations[-1] - 0.1 * stations[0]
        grid = np.linspace(low, high, _STEPS)
        best = grid[int(np.argmin(_efforts(case, runs, number, grid)))]
        grid = np.linspace(best - grid[1] + grid[0], best + grid[1] - grid[0], _STEPS)
        efforts = _efforts(case, runs, number, grid)
        best, least = float(grid[int(np.argmin(efforts))]), float(efforts.min())
        likely = _likely(place.station / unit, best / unit, STEPS[case.plan.units] / unit)
        numbers = np.array([n for n in likely if low <= n * unit <= high]) * unit
        easy = _efforts(case, runs, number, numbers)
        own = [
            (taken > _AS_EASY * least, rank, taken, number, station)
            for rank, (station, taken) in enumerate(zip(numbers.tolist(), easy.tolist(), strict=True))
            if now > _EASIER * taken and station != place.station
        ]
        if own:
            found.append(sorted(own)[:_TRIED])
    found.sort(key=lambda own: min(each[2] for each in own))
    turns = [each for turn in zip_longest(*found) for each in turn if each is not None]
    for *_, number, station in turns[:_MOST]:
        yield Hypothesis(
            says=Sentence.of(
                "F{frame} is fair at {about}station {there}, the plan says {here}",
                frame=Name(number),
                about="about " if loose else "",
                there=Quantity.of(station, trimmed(station / unit)),
                here=Quantity.of(standing[number].station, trimmed(standing[number].station / unit)),
            ),
            cure=Sentence.of(
                "set station of F{frame} to {there}{look}",
                frame=Name(number),
                there=Quantity.of(station, trimmed(station / unit)),
                look=", or to what it was meant to be near that: so few frames tell no nearer" if loose else "",
            ),
            edits=case.plan.keys.set(("frames", case.index_of(number)), "station", station),
            trace=case.restless[number],
            fewest=_FEWEST_LOOSE if loose else 1,
            loose=loose,
            read_off=station / unit not in exchanged_digits(f"{standing[number].station / unit:g}"),
            frame=number,
            source=case.plan.source_of("frames", case.index_of(number), "station"),
        )


def _efforts(case: Case, runs: tuple[Runs, ...], number: str, stations: np.ndarray) -> np.ndarray:
    place = case.frames[number].placement
    return effort(case.boat, runs, [{number: replace(place, station=float(station))} for station in stations])


def exchanged_digits(number: str) -> list[float]:
    """The numbers of which exchanging two digits that stand side by side makes this one."""
    digits = [n for n, sign in enumerate(number) if sign.isdigit()]
    return [
        float(number[:n] + number[m] + number[n + 1 : m] + number[n] + number[m + 1 :]) for n, m in pairwise(digits)
    ]


def slips_of(number: str) -> list[float]:
    """The numbers of which a slip of the pen makes this one: two digits exchanged, one wrong, left out or too many."""
    made = dict.fromkeys(f"{each:g}" for each in exchanged_digits(number))
    digits = [n for n, sign in enumerate(number) if sign.isdigit()]
    for n in digits:
        made |= {number[:n] + digit + number[n + 1 :]: None for digit in "0123456789"}
    for n in digits:
        made |= {number[:n] + digit + number[n:]: None for digit in "0123456789"}
        made[number[:n] + number[n + 1 :]] = None
    made.pop(number, None)
    return [float(each) for each in made if each.strip("-.")]


def _likely(said: float, best: float, step: float) -> list[float]:
    """The numbers that may be meant, the likeliest first: slips that are round, round ones near the best, all slips."""
    slips = slips_of(f"{said:g}")
    near = [round(best / step) * step for step in _ROUND]
    return list(
        dict.fromkeys(
            [
                *(slip for slip in slips if slip % _EVEN == 0.0),
                *near[:-2],
                *slips,
                *near[-2:],
                round(best / step) * step,
            ]
        )
    )
