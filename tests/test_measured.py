"""What a finding measures, in words."""

from __future__ import annotations

import pytest

from scrieve.shared.findings import Measure
from scrieve.viewer.marks.measured import measure_alone, measured_words

SAID = [
    (Measure(value=4.0, limit=0.5), "4.00 mm, 0.50 allowed"),
    (Measure(value=4.0, limit=10.0, sense="least"), "4.00 mm, 10.00 wanted"),
    (Measure(value=0.0, limit=10.0, sense="least"), "0.00 mm, 10.00 wanted"),
    (Measure(value=100.0, limit=0.0), "100.00 mm, none allowed"),
    (Measure(value=0.5002, limit=0.5), "0.5002 mm, 0.5000 allowed"),
    (Measure(value=7.5), "7.50 mm"),
    (Measure(value=-7.85, limit=10.0, sense="least", words="{value} deep, {limit} of wood wanted"),
     "7.85 mm deep, 10.00 of wood wanted"),
    (Measure(value=156.04, limit=250.0, unit="R/t", sense="least"), "156 R/t, 250 wanted"),
    (Measure(value=249.8, limit=250.0, unit="R/t", sense="least", words="{value} x, {limit} wanted"),
     "249.8 x, 250 wanted"),
    (Measure(value=25.4, limit=1.0, unit="times", words="{value} times its size"), "25.4 times its size"),
    (Measure(value=0.03937, limit=1.0, unit="times", words="{value} times its size"), "0.0394 times its size"),
    (Measure(value=1, limit=2.0, unit="", sense="least", words="{value} screw, {limit} wanted"), "1 screw, 2 wanted"),
    (Measure(value=0, limit=2.0, unit="", sense="least", words="{value} screws, {limit} wanted"),
     "0 screws, 2 wanted"),
    (Measure(value=0.0, limit=1.0, unit="", sense="least", words="on no cut sheet"), "on no cut sheet"),
]  # fmt: skip


@pytest.mark.parametrize(("measure", "words"), SAID)
def test_a_measure_is_told_beside_its_limit(measure, words):
    assert measured_words(measure) == words


def test_alone_it_has_its_unit_and_nothing_is_nothing():
    assert measured_words(None) == measure_alone(None) == ""
    assert measure_alone(Measure(value=-4.0, limit=0.5)) == "4.00 mm"
    assert measure_alone(Measure(value=25.4, limit=1.0, unit="times")) == "25.4 times"
    assert measure_alone(Measure(value=0.0, limit=0.5)) == measure_alone(Measure(value=1, limit=2, unit="")) == ""
