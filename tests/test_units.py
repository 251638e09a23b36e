"""Lengths as people write them. Expected values are worked by hand from 1 in = 25.4 mm, 1 ft = 12 in."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrieve.shared.units import INSUNITS, MM_PER_UNIT, PLAN_UNITS, feet_inches_eighths, in_mm, length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("18 mm", 18.0),
        ("18mm", 18.0),
        ("1.8 cm", 18.0),
        ("2.44 m", 2440.0),
        ("3/4 in", 19.05),
        ("0.75 in", 19.05),
        ('0.75"', 19.05),
        ('3/4"', 19.05),
        (".75 in", 19.05),
        ("1-1/4 in", 31.75),
        ("1 1/4 in", 31.75),
        ("1 - 1/4 in", 31.75),
        ("1¼ in", 31.75),
        ("¾ in", 19.05),
        ("5/4 in", 31.75),
        ("1 inch", 25.4),
        ("2 inches", 50.8),
        ("2 ft", 609.6),
        ("2 feet", 609.6),
        ("1 foot", 304.8),
        ("2'", 609.6),
        ("2.5 ft", 762.0),
        ("2 ft 3 in", 685.8),
        ("2 ft 3-1/2 in", 698.5),
        ("2 ft 3 1/2 in", 698.5),
        ("2'3\"", 685.8),
        ("2'-3 1/2\"", 698.5),
        ("2′ 3½″", 698.5),
        ("0 ft 3/8 in", 9.525),
        ("-18 mm", -18.0),
        ("−18 mm", -18.0),
        ("+18 mm", 18.0),
        ("-1-1/4 in", -31.75),
        ("-2 ft 3 in", -685.8),
        ("  18   MM ", 18.0),
        ("0 mm", 0.0),
        ("18. mm", 18.0),
    ],
)
def test_a_length_is_read_in_mm(text: str, mm: float) -> None:
    assert length(text) == mm


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("18", "wants its unit"),
        ("3/4", "wants its unit"),
        ("-1 1/4", "wants its unit"),
        ("", "is wanted"),
        ("mm", "is wanted"),
        ("18 furlongs", "units mm, cm, m, in, ft"),
        ("18,5 mm", "a point for a decimal comma"),
        ("1e3 mm", "is wanted"),
        ("nan mm", "is wanted"),
        ("inf mm", "is wanted"),
        ("3/0 in", "over something else than 0"),
        ("1-5/4 in", "less than 1 after the whole number"),
        ("2 ft 12 in", "less than 12 inches"),
        ("2.5 ft 3 in", "whole feet"),
        ("1/2 ft 3 in", "whole feet"),
        ("2 in 3 ft", "whole feet"),
        ("2 m 3 mm", "whole feet"),
        ("18 mm 3", "is wanted"),
        ("-2 ft -3 in 1", "is wanted"),
        ("1 2 mm", "is wanted"),
        ("--18 mm", "is wanted"),
        ("٣ mm", "is wanted"),
        ("1" * 40 + " mm", "at most 40 characters"),
    ],
)
def test_what_is_no_length_is_refused_in_plain_words(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        length(text)


@given(st.text(max_size=60))
def test_any_text_is_a_finite_length_or_a_value_error(text: str) -> None:
    try:
        mm = length(text)
    except ValueError:
        return
    assert abs(mm) < 1e50


@given(st.integers(0, 200), st.integers(0, 11), st.integers(0, 15))
def test_a_length_in_feet_and_inches_is_that_in_inches_and_in_decimals(feet: int, inches: int, sixteenths: int) -> None:
    whole = feet * 12 + inches
    exact = float((whole + Fraction(sixteenths, 16)) * Fraction(254, 10))
    assert length(f"{feet} ft {inches}-{sixteenths}/16 in") == exact
    assert length(f"{whole}-{sixteenths}/16 in") == exact
    assert in_mm(whole + sixteenths / 16, "in") == exact


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("4-7-3", 1406.525),  # 55.375 in
        ("0-0-0", 0.0),
        ("0-0-1", 3.175),
        ("0-11-7", 301.625),  # 11.875 in
        ("10-0-4", 3060.7),  # 120.5 in
        ("4-7-3+", 1408.1125),  # 55.4375 in
        ("4-7-3-", 1404.9375),  # 55.3125 in
        ("-0-3-4", -88.9),
        ("-1-2-3+", -366.7125),  # 14.4375 in
        ("+4-7-3", 1406.525),
        (" 4-7-3 ", 1406.525),
    ],
)
def test_an_entry_of_a_table_of_offsets(text: str, mm: float) -> None:
    assert feet_inches_eighths(text) == mm


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("4-12-3", "less than 12 inches"),
        ("4-7-8", "8 eighths"),
        ("4-7", "such as"),
        ("4-7-3-1", "such as"),
        ("4.5-7-3", "such as"),
        ("4 ft 7 in", "such as"),
        ("", "such as"),
        ("4-7-3±", "such as"),
        ("9" * 5000 + "-7-3", "such as"),
    ],
)
def test_a_wrong_entry_of_a_table_of_offsets_is_refused(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        feet_inches_eighths(text)


@given(st.integers(0, 100), st.integers(0, 11), st.integers(0, 7))
def test_eighths_are_what_the_same_length_in_words_is(feet: int, inches: int, eighths: int) -> None:
    assert feet_inches_eighths(f"{feet}-{inches}-{eighths}") == length(f"{feet} ft {inches}-{eighths}/8 in")


@pytest.mark.parametrize(
    ("value", "unit", "mm"),
    [(12, "mm", 12.0), (1.2, "cm", 12.0), (0.012, "m", 12.0), (0.1, "in", 2.54), (0.1, "ft", 30.48), (-3, "in", -76.2)],
)
def test_a_bare_number_is_converted_as_written(value: float, unit: str, mm: float) -> None:
    assert in_mm(value, unit) == mm


def test_the_table_of_units_holds_together() -> None:
    assert MM_PER_UNIT["in"] == 25.4  # international yard and pound agreement, 1959
    assert MM_PER_UNIT["ft"] == 304.8
    assert MM_PER_UNIT["yd"] == 914.4
    assert MM_PER_UNIT["mil"] == 0.0254
    assert set(PLAN_UNITS) <= set(MM_PER_UNIT)
    assert set(INSUNITS.values()) <= set(MM_PER_UNIT)
    assert 0 not in INSUNITS
