"""What a finding measures, in words: one way for the window, pictures, drawings and reports."""

from __future__ import annotations

from math import floor, log10

from scrieve.shared.findings import Measure
from scrieve.shared.wording import USUAL, decimals, formatted, mm, trimmed

_SIGNIFICANT = 3
"""digits of what is no length: "156 R/t", "25.4 times"."""


def measured_words(measure: Measure | None) -> str:
    """What is measured beside what is allowed or wanted: "1.50 mm, 0.20 allowed"; empty where nothing is measured."""
    if measure is None:
        return ""
    value, limit = _value(measure), _limit(measure)
    if measure.words:
        return measure.words.format(value=value, limit=limit)
    alone = measure_alone(measure) or value
    if measure.limit is None:
        return alone
    if measure.sense == "least":
        return f"{alone}, {limit} wanted"
    return f"{alone}, {limit if measure.limit else 'none'} allowed"


def measure_alone(measure: Measure | None) -> str:
    """The measure without its limit: "4.00 mm", "156 R/t"; empty where nothing is measured, or nought, or no unit."""
    if measure is None or not measure.value or not measure.unit:
        return ""
    return _value(measure) if measure.unit == "mm" else f"{_value(measure)} {measure.unit}"


def _value(measure: Measure) -> str:
    """The number, with "mm" where it is a length."""
    if measure.unit == "mm":
        return mm(abs(measure.value), measure.limit)
    return _number(measure.value, measure.limit)


def _limit(measure: Measure) -> str:
    if measure.limit is None:
        return ""
    if measure.unit == "mm":
        return formatted(measure.limit, abs(measure.value))
    return _number(measure.limit, measure.value)


def _number(value: float, beside: float | None) -> str:
    """With as many digits as say it, and as tell it from the number beside it."""
    least = _SIGNIFICANT - 1 - floor(log10(abs(value))) if value else USUAL
    return trimmed(value, decimals(value, beside, least=max(0, least)))
