"""A board across the boat with one notch, and a batten through it, for the tests of notches.

The batten, 32 x 20 mm, runs through (y, z) = (300, 390) at x = 1000; the board is 600 wide and 400 high
with its aft face there, and the notch comes down from its top.
"""

import making
import numpy as np

from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.placement import Placement

CENTRE = (300.0, 390.0)
LONG, SHORT = 32.0, 20.0


def board_outline(*, port=0.0, starboard=0.0, lower=0.0, notch=True):
    """The board; each wall of its notch stands off the batten's side by so much, negative into it."""
    left, right = CENTRE[0] - LONG / 2 - starboard, CENTRE[0] + LONG / 2 + port
    bottom = CENTRE[1] - SHORT / 2 - lower
    points = [(0, 0), (600, 0), (600, 400)]
    if notch:
        points += [(right, 400), (right, bottom), (left, bottom), (left, 400)]
    return Outline.of([*points, (0, 400)])


def frame(*more, station=1000.0, rake=0.0, side=1, number="1000", thickness=18.0, cutter=0.0, **walls):
    """A frame of the board, mirrored where `side` is -1, and of `more` parts."""
    outline = board_outline(**walls)
    board = making.part(
        "board",
        outline if side > 0 else outline.mirrored(),
        frame=number,
        thickness=thickness,
        core=thickness,
        cutter=cutter,
    )
    return making.frame([board, *more], number=number, station=station, rake=rake, core=thickness)


def batten(*, slope=(0.0, 0.0), side=1, centre=CENTRE, at=1000.0, rake=0.0, bare=(), **more):
    """A straight batten from 1000 mm aft of `at` to 1000 mm forward, with a section at each.

    The frames there are numbered 0, 1000 and 2000 wherever they stand; `bare` ones get no section.
    """
    name = "port sheer" if side > 0 else "starboard sheer"
    placements, sections = [], []
    for x in (at - 1000, at, at + 1000):
        number = f"{x - at + 1000:g}"
        if number in bare:
            continue
        placements.append(Placement(station=x, rake=rake if x == at else 0.0))
        c, s = np.cos(placements[-1].rake), np.sin(placements[-1].rake)
        # a raked frame meets the straight line through (at, centre in its own plane) at its own v
        x0, z0 = at - np.sin(rake) * centre[1], np.cos(rake) * centre[1]
        v = (z0 + slope[1] * (x - x0)) / (c + slope[1] * s)
        y = centre[0] + slope[0] * (x - s * v - x0)
        sections.append(making.section(name, (side * y, v), frame=number))
    return making.batten(name, sections, placements, **{"long": LONG, "short": SHORT, "arris": 0.0, **more})
