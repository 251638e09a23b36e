"""How findings say numbers, ways and places."""

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import COINCIDENT
from scrieve.shared.wording import (
    MOST,
    at_least,
    at_most,
    decimals,
    formatted,
    listed,
    mm,
    one,
    place,
    several,
    trimmed,
    ways,
)


@pytest.mark.parametrize(
    ("value", "said"), [(0.62, "0.62 mm"), (10.05, "10.05 mm"), (-0.001, "0.00 mm"), (3, "3.00 mm")]
)
def test_a_measured_length(value, said):
    assert mm(value) == said


@pytest.mark.parametrize(
    ("value", "limit", "said"),
    [
        (0.62, 0.2, ("0.62 mm", "0.20 mm")),
        (0.206, 0.2, ("0.21 mm", "0.20 mm")),
        (0.204, 0.2, ("0.204 mm", "0.200 mm")),
        (10.4299, 10.43, ("10.4299 mm", "10.4300 mm")),
        (0.2000011, 0.2, ("0.200001 mm", "0.200000 mm")),
        (0.2, 0.2, ("0.20 mm", "0.20 mm")),
        (0.1 + 0.2, 0.3, ("0.30 mm", "0.30 mm")),
        (0.003, 0.0, ("0.003 mm", "0.000 mm")),
    ],
)
def test_a_length_and_its_limit_never_read_alike_unless_they_are(value, limit, said):
    assert (mm(value, limit), mm(limit, value)) == said


def test_a_number_is_told_with_as_few_decimals_as_it_may():
    assert formatted(156.04, 250.0, least=0) == "156"
    assert (formatted(166.667, 166.677, least=0), formatted(166.677, 166.667, least=0)) == ("166.67", "166.68")


@given(st.floats(-1000, 1000), st.floats(COINCIDENT, 1))
def test_whatever_is_beyond_a_limit_is_told_apart_from_it(limit, by):
    assert mm(limit + by, limit) != mm(limit, limit + by)
    assert 2 <= decimals(limit + by, limit) == decimals(limit, limit + by) <= MOST


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


def test_a_number_as_one_would_write_it():
    assert [trimmed(value) for value in (3150.0, 12.5, 0.999, -0.001, 100)] == ["3150", "12.5", "1", "0", "100"]


def test_places_and_names():
    assert place(612.04, -0.01) == "y 612.0, z 0.0"
    assert listed(["b"]) == "b"
    assert listed(["b", "a"]) == "a and b"
    assert listed(["c", "a", "b"]) == "a, b and c"
    assert several(["one"], "screws") == "one"
    assert several(["one", "two"], "screws") == "2 screws"
    assert [one(noun) for noun in ("corner", "edge", "face")] == ["a corner", "an edge", "a face"]


def test_a_sentence_reaches_another_process_with_its_values():
    said = Sentence.of("{who} by {far}", who=listed(["a", "b"]), far=Sentence.of("{far} more", far=mm(0.62)))
    again = pickle.loads(pickle.dumps(said))
    assert (again, again.template, again.values) == (said, said.template, said.values)
    assert type(again.values["far"]) is Sentence and again.values["far"].values["far"].value == 0.62
