"""Orders by taking apart, against every order there is."""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.sequence.disassembly import peeled
from scrieve.model.sequence.way import Way

WAY = Way(how="drop", toward=(0.0, 0.0, -1.0), reach=1.0)


def leaver(bars):
    """Things leave where, for one of their ways, nothing that bars it stands: `bars[thing]` has a set for each way."""
    return lambda thing, _, rest: WAY if any(not way & set(rest) for way in bars[thing]) else None


def goes(order, bars, wishes=()):
    """Whether things can be put on in this order, each past those that stand before it."""
    leaves = leaver(bars)
    able = all(leaves(thing, 0, order[:n]) for n, thing in enumerate(order))
    return able and all(order.index(i) < order.index(j) for i, j in wishes)


def numbers(found):
    return [thing for thing, _, _ in found.placed]


sets = st.sets(st.integers(0, 4), max_size=3)
puzzles = st.lists(st.lists(sets, min_size=1, max_size=2), min_size=5, max_size=5)
wished = st.sets(st.tuples(st.integers(0, 4), st.integers(0, 4)).filter(lambda pair: pair[0] != pair[1]), max_size=3)


@settings(max_examples=300)
@given(puzzles, wished)
def test_an_order_is_found_where_there_is_one_and_meets_all_wishes_where_that_can_be(bars, wishes):
    bars = [[way - {n} for way in ways] for n, ways in enumerate(bars)]
    found = peeled([(0, 0)] * 5, leaver(bars), wishes)
    orders = [order for order in permutations(range(5)) if goes(order, bars)]
    assert bool(found.trapped) == (not orders)
    assert sorted([*numbers(found), *(n for n, _ in found.trapped)]) == [0, 1, 2, 3, 4]
    placed = numbers(found)
    assert goes(placed, bars, {(i, j) for i, j in wishes - set(found.refused) if i in placed and j in placed})
    if any(goes(order, bars, wishes) for order in orders):
        assert not found.refused
    for thing, rest in found.trapped:
        assert leaver(bars)(thing, 0, rest) is None


def test_without_bars_things_go_on_as_they_are_numbered_stage_by_stage():
    free = [[set()]] * 4
    assert numbers(peeled([(1, 1), (0, 0), (1, 1), (0, 0)], leaver(free))) == [1, 3, 0, 2]


def test_a_thing_goes_on_at_an_earlier_stage_only_if_it_must_and_may():
    bars = [[set()], [set()], [{1}]]
    early = peeled([(0, 0), (1, 1), (2, 0)], leaver(bars))
    assert [(n, stage) for n, stage, _ in early.placed] == [(0, 0), (2, 1), (1, 1)]
    late = peeled([(0, 0), (1, 1), (2, 2)], leaver(bars))
    assert late.trapped == ((2, (0, 1)),)
    assert numbers(late) == [0, 1]


def test_one_knot_is_told_of_once():
    bars = [[set()], [{2}], [{1}]]
    found = peeled([(0, 0)] * 3, leaver(bars))
    assert found.trapped == ((2, (1,)),)
    assert numbers(found) == [1, 0]


@pytest.mark.parametrize("wishes", [{(0, 1), (1, 0)}, {(0, 1), (1, 2), (2, 0)}])
def test_of_wishes_that_run_in_a_circle_one_is_refused(wishes):
    found = peeled([(0, 0)] * 3, leaver([[set()]] * 3), wishes)
    assert len(found.refused) == 1
    assert len(found.placed) == 3
