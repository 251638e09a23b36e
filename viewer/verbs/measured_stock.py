"""Caliper readings of the command line, "ply12=11.6": they count instead of what the plan says of a stock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isfinite

from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_tables import MEASURED_REACH
from scrieve.shared.errors import Mistake, UseError
from scrieve.shared.units import in_mm, length
from scrieve.shared.wording import trimmed

from ..reports.style import plain
from .misuse import got

_OPTION = "--measured"


def measured_stock(words: Iterable[str]) -> dict[str, str]:
    """By the name of a stock its thickness as it was given. Raises UseError: no reading, or twice."""
    given: dict[str, str] = {}
    wrong: list[str] = []
    for word in (part.strip() for each in words for part in each.split(",")):
        name, equals, value = (piece.strip() for piece in word.partition("="))
        if not equals:
            wrong.append(f'must be a stock and its thickness, such as ply12=11.6 (got "{plain(word)}")')
        elif name in given:
            wrong.append(f"names {plain(name)} twice")
        given[name] = value
    _refuse(wrong, path="scrieve check")
    return given


def readings(given: Mapping[str, str], plan: Plan) -> dict[str, float]:
    """By the name of the stock its thickness, mm; a bare number is in the plan's units.

    Raises UseError, its path the plan, with all that is wrong: no such stock, no length, or too far from the thickness
    in the plan.
    """
    found: dict[str, float] = {}
    wrong: list[str] = []
    for name, value in given.items():
        if name not in plan.stock:
            wrong.append(f"must name a stock of the plan {got(name, plan.stock)}")
        else:
            try:
                found[name] = _near(_mm(value, plan), plan.stock[name].thickness)
            except ValueError as problem:
                wrong.append(f'{plain(name)}: {problem} (got "{plain(value)}")')
    _refuse(wrong, path=str(plan.file))
    return found


def _refuse(wrong: Iterable[str], *, path: str) -> None:
    mistakes = [Mistake(path=path, what=f"{_OPTION} {what}") for what in wrong]
    if mistakes:
        raise UseError(mistakes)


def _mm(value: str, plan: Plan) -> float:
    try:
        number = float(value)
    except ValueError:
        return length(value)
    if not isfinite(number):
        raise ValueError("a finite length is wanted")
    return in_mm(number, plan.units)


def _near(value: float, nominal: float) -> float:
    if abs(value - nominal) > MEASURED_REACH * nominal:
        raise ValueError(f"within {MEASURED_REACH:.0%} of the thickness, {trimmed(nominal)} mm, is wanted")
    return value
