"""A frame that is drawn as another is told once, where the battens say that it is not its own drawing."""

import making
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.placement import Placement

STATIONS = 500.0 * np.arange(9)


def boat(copied=None, flat=False):
    """Nine frames of one board each, with a chine and a sheer; one is drawn as its neighbour."""
    half = 700.0 - (0.0 if flat else 1.0) * 3e-5 * (STATIONS - 1900.0) ** 2
    own = np.arange(len(STATIONS))
    if copied is not None:
        own[copied] = copied - 1
    frames, places = [], [Placement(station=float(x)) for x in STATIONS]
    for n, wide in enumerate(half[own]):
        part = making.part("ring", making.rectangle(-wide, 0, wide, 500), frame=str(n + 1))
        frames.append(making.frame([part], number=str(n + 1), station=float(STATIONS[n])))
    battens = [
        making.batten(
            name,
            [making.section(name, (float(share * y), v), frame=str(n + 1)) for n, y in enumerate(half[own])],
            places,
        )
        for name, share, v in (("port chine", 0.8, 100.0), ("port sheer", 1.0, 480.0))
    ]
    return making.assembly(frames, battens=battens)


def told(boat):
    return [finding for finding in CHECKS["fair"].run(boat) if finding.level == "error"]


@pytest.mark.parametrize("copied", [2, 6])
def test_a_copied_frame_is_the_one_thing_told(copied):
    (finding,) = told(boat(copied))
    assert finding.frame in (str(copied), str(copied + 1)) and not finding.edits
    assert "line for line" in finding.message


def test_frames_that_are_alike_amidships_are_silent():
    assert told(boat()) == []
    assert told(boat(flat=True)) == []


def test_frames_that_are_alike_before_and_abaft_the_greatest_breadth_are_silent():
    half = 700.0 - 9e-5 * (STATIONS - 2000.0) ** 2
    frames = [
        making.frame(
            [making.part("ring", making.rectangle(-wide, 0, wide, 500), frame=str(n + 1))],
            number=str(n + 1),
            station=float(STATIONS[n]),
        )
        for n, wide in enumerate(half)
    ]
    battens = [
        making.batten(
            name,
            [making.section(name, (float(y), v), frame=str(n + 1)) for n, y in enumerate(half)],
            [Placement(station=float(x)) for x in STATIONS],
        )
        for name, v in (("port chine", 100.0), ("port sheer", 480.0))
    ]
    assert told(making.assembly(frames, battens=battens)) == []
