"""How findings say numbers, ways and places."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrieve.model.wording import at_least, at_most, listed, mm, place, several, ways


@pytest.mark.parametrize(
    ("value", "said"), [(0.62, "0.62 mm"), (10.05, "10.05 mm"), (-0.001, "0.00 mm"), (3, "3.00 mm")]
)
def test_a_measured_length(value, said):
    assert mm(value) == said


@pytest.mark.parametrize(
    ("value", "said"), [(3.4, "3.4 mm"), (3.41, "3.5 mm"), (0.62, "0.7 mm"), (2.0000000001, "2.0 mm"), (0.0, "0.0 mm")]
)
def test_a_length_to_go_by_is_rounded_up(value, said):
    assert at_least(value) == said


@given(st.floats(0, 1000))
def test_a_length_to_go_by_is_never_short_by_more_than_rounding(value):
    assert value - 1e-4 <= float(at_least(value).removesuffix(" mm")) < value + 0.1 + 1e-4


@pytest.mark.parametrize(
    ("value", "said"),
    [(2.5, "2.5 mm"), (2.504, "2.5 mm"), (1.39, "1.3 mm"), (1.9999999999, "2.0 mm"), (0.08, "0.08 mm")],
)
def test_a_length_not_to_go_past_is_rounded_down(value, said):
    assert at_most(value) == said


@pytest.mark.parametrize(
    ("direction", "said"),
    [
        ((1, 0, 0), "forward"), ((-2, 0, 0), "aft"), ((0, 1, 0), "to port"), ((0, -1, 0), "to starboard"),
        ((0, 0, 5), "up"), ((0, 0.1, -1), "down"), ((0, 1, 1), "to port and up"), ((-1, -1, 0), "aft and to starboard"),
    ],
)  # fmt: skip
def test_ways(direction, said):
    assert ways(direction) == said


@given(st.floats(0, 6.28), st.floats(-1.57, 1.57))
def test_every_way_has_a_word_and_its_opposite_the_opposite_words(turn, rise):
    way = np.array([np.cos(turn) * np.cos(rise), np.sin(turn) * np.cos(rise), np.sin(rise)])
    opposite = {"forward": "aft", "aft": "forward", "to port": "to starboard", "to starboard": "to port",
                "up": "down", "down": "up"}  # fmt: skip
    said = ways(way).split(" and ")
    assert said[0]
    assert [opposite[word] for word in said] == ways(-way).split(" and ")


def test_places_and_names():
    assert place(612.04, -0.01) == "y 612.0, z 0.0"
    assert listed(["b"]) == "b"
    assert listed(["b", "a"]) == "a and b"
    assert listed(["c", "a", "b"]) == "a, b and c"
    assert several(["one"], "screws") == "one"
    assert several(["one", "two"], "screws") == "2 screws"
