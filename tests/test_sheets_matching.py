"""Matching shapes with parts: congruence, assignment and laying, against independent references."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import numpy as np
import pytest
import shapely
from making import part, rectangle
from scipy.linalg import orthogonal_procrustes
from scipy.optimize import linear_sum_assignment
from sheeted import Drawn, beam, boat, laid, sheet, side

from scrieve.model.checks.cut_sheet import CHECK
from scrieve.model.geometry.outline import Outline
from scrieve.model.sheets.assignment import assigned
from scrieve.model.sheets.congruence import alike, apart
from scrieve.model.sheets.stack import Stack, counter_clockwise, without_needless_corners

OUTLINES = [
    side(),
    side(333, notch=40),
    side(radius=5),
    beam(),
    beam(400, -12),
    Outline.circle((3, 4), 60),
    rectangle(0, 0, 70, 40),
    Outline.of([(0, 0), (100, 0), (100, 50), (60, 90), (0, 50)], [0, 0.3, 0, -0.2, 0]),
]


def test_areas_lengths_and_regions_are_those_of_each_outline_by_itself():
    stack = Stack([*OUTLINES, *(Outline.of(o.points[::-1], -np.roll(o.bulges[::-1], -1)) for o in OUTLINES)])
    fine = [o.polygon(1e-6) for o in OUTLINES]
    assert stack.areas == pytest.approx([*(p.area for p in fine), *(-p.area for p in fine)], rel=1e-6)
    assert stack.lengths == pytest.approx([p.length for p in fine] * 2, rel=1e-6)
    regions = stack.regions()
    for region, outline in zip(regions, [*OUTLINES, *OUTLINES], strict=True):
        assert shapely.hausdorff_distance(region, outline.polygon()) < 1e-9
    assert Stack([]).regions().size == 0
    clockwise = [Outline.of(o.points[::-1], -np.roll(o.bulges[::-1], -1)) for o in OUTLINES]
    assert Stack(counter_clockwise(clockwise)).areas == pytest.approx(stack.areas[: len(OUTLINES)])


def moved(outline: Outline, pick: random.Random) -> Outline:
    there = laid(
        outline, (pick.uniform(-9, 9), pick.uniform(-5e3, 5e3)), angle=pick.uniform(0, 7), over=pick.random() < 0.5
    )
    n = pick.randrange(len(there.points))
    return Outline.of(np.roll(there.points, n, axis=0), np.roll(there.bulges, n))


def test_copies_turned_and_turned_over_are_found_and_none_else():
    pick = random.Random(5)
    there = [moved(outline, pick) for outline in OUTLINES]
    ones, others = Stack(OUTLINES), Stack(counter_clockwise(there))
    first, second = alike(ones, others, 0.05)
    off, moves = apart(ones, others, (first, second))
    for i, j, distance, move in zip(first, second, off, moves, strict=True):
        assert i == j and distance < 1e-6 and move is not None
        assert shapely.hausdorff_distance(move.shape(there[j].polygon()), OUTLINES[i].polygon()) < 0.006
        middle = there[j].polygon().centroid
        on_part = move.shape(middle)
        assert move.back((on_part.x, on_part.y)) == pytest.approx((middle.x, middle.y), abs=1e-6)
    assert len(first) == len(OUTLINES)


@pytest.mark.parametrize("seed", range(8))
def test_the_distance_of_two_outlines_is_that_of_an_orthogonal_procrustes_fit(seed: int):
    rng = np.random.default_rng(seed)
    here = side().points + rng.normal(0, 0.3, (8, 2))
    there = moved(Outline.of(side().points), random.Random(seed))
    off, _ = apart(Stack([Outline.of(here)]), Stack(counter_clockwise([there])), (np.array([0]), np.array([0])))
    # scipy's fit (P. H. Schoenemann's solution, 1966) over every corner to begin with, both ways round
    best = (np.inf, np.inf)
    both = np.empty((16, 2))
    both[::2], both[1::2] = here, (here + np.roll(here, -1, axis=0)) / 2
    for n, back in itertools.product(range(8), (False, True)):
        points = np.roll(there.points[::-1] if back else there.points, n, axis=0)
        chain = np.empty((16, 2))
        chain[::2], chain[1::2] = points, (points + np.roll(points, -1, axis=0)) / 2
        a, b = both - both.mean(axis=0), chain - chain.mean(axis=0)
        turn, _ = orthogonal_procrustes(b, a)
        apart_by = np.hypot(*(b @ turn - a).T)
        best = min(best, (float((apart_by**2).sum()), float(apart_by.max())))
    assert off[0] == pytest.approx(best[1], abs=1e-9)


def test_as_many_as_can_be_at_the_least_cost_as_an_independent_solver_has_it():
    pick = random.Random(0)
    for _ in range(200):
        rows, columns = pick.randint(1, 7), pick.randint(1, 7)
        costs = {(i, j): pick.randint(0, 26) for i in range(rows) for j in range(columns) if pick.random() < 0.6}
        if not costs:
            continue
        pairs = assigned(costs)
        assert len(set(pairs.values())) == len(pairs) and all(pair in costs for pair in pairs.items())
        table = np.full((rows, columns), 10_000.0)
        for pair, cost in costs.items():
            table[pair] = cost
        i, j = linear_sum_assignment(table)
        best = table[i, j][table[i, j] < 10_000]
        assert (len(pairs), sum(costs[pair] for pair in pairs.items())) == (len(best), best.sum())
        assert assigned(dict(reversed(costs.items()))) == pairs


def test_a_hole_out_of_its_place_is_another_form_even_in_a_part_that_can_lie_many_ways():
    def plate(u: float) -> tuple[Outline, Outline]:
        return rectangle(0, 0, 200, 200), Outline.circle((u, 60.0), 15.0)

    outer, hole = plate(50.0)
    wanted = replace(part("plate", outer), holes=(hole,))

    def judged(u: float, *, layer: str = "CUT") -> list[float | None]:
        shape, opening = plate(u)
        turned = [laid_out_at(o) for o in (shape, opening)]
        drawn = [Drawn(outline=turned[0], text="F5 plate"), Drawn(outline=turned[1], layer=layer)]
        return [f.measured for f in CHECK.run(boat([wanted], [sheet(drawn, edge=(2440, 1220))])) if f.level == "error"]

    def laid_out_at(outline: Outline) -> Outline:
        return outline.turned(np.pi / 2 + 0.4).moved((600, 300))

    assert judged(50.0) == []
    assert judged(50.0, layer="INSIDE CUTS") == []
    assert judged(51.0) == [pytest.approx(1.0, abs=0.01)]


def test_those_that_may_be_copies_are_all_found_by_their_lengths():
    """Against every pair looked at."""
    pick = np.random.default_rng(3)
    stacks = []
    for _ in range(2):
        sides = np.round(pick.uniform(100.0, 101.0, size=(60, 2)), 2)
        stacks.append(Stack([Outline.of([(0, 0), (a, 0), (a, b), (0, b)]) for a, b in sides]))
    ones, others = stacks
    areas = np.abs(np.abs(ones.areas)[:, None] - np.abs(others.areas))
    lengths = np.abs(ones.lengths[:, None] - others.lengths)
    longest = np.maximum(ones.lengths[:, None], others.lengths)
    wanted = np.nonzero((areas <= 0.05 * longest) & (lengths <= 2 * 0.05 * 4))
    assert 100 < len(wanted[0]) < 3000
    assert [a.tolist() for a in alike(ones, others, 0.05)] == [a.tolist() for a in wanted]


@pytest.mark.parametrize("pieces", [1, 2, 3, 7])
@pytest.mark.parametrize("turns", [0.3, math.pi, 5.5])
@pytest.mark.parametrize("way", [1.0, -1.0])
def test_an_arc_in_pieces_is_the_arc_in_one(pieces, turns, way):
    def drawn(count, first):
        angles = np.linspace(0.0, turns, count + 1)
        arc = [(100 * math.sin(way * a), 100 - 100 * math.cos(a)) for a in angles]
        corners = [*arc, (400.0, 300.0), (400.0, -50.0)]
        bulges = [*[way * math.tan(turns / count / 4)] * count, 0.0, 0.0, 0.0]
        return Outline.of(corners[first:] + corners[:first], bulges[first:] + bulges[:first])

    one = without_needless_corners(drawn(1, 0))
    assert len(one.points) == 4
    for first in range(pieces + 3):
        other = without_needless_corners(drawn(pieces, first))
        assert len(other.points) == 4 and sorted(other.bulges) == pytest.approx(sorted(one.bulges))
        assert Stack([other]).areas == pytest.approx(Stack([one]).areas)


def test_arcs_of_other_circles_and_whole_circles_stay_in_pieces():
    circle = Outline.of([(0, 0), (100, 0), (100, 100), (0, 100)], [math.tan(math.pi / 8)] * 4)
    assert without_needless_corners(circle) is circle
    other = Outline.of([(0, 0), (100, 0), (300, 0), (300, -200), (0, -200)], [0.2, 0.2, 0, 0, 0])
    assert len(without_needless_corners(other).points) == 5
    bent = Outline.of([(0, 0), (100, 0), (200, 0), (200, -200), (0, -200)], [0.2, -0.2, 0, 0, 0])
    assert len(without_needless_corners(bent).points) == 5
