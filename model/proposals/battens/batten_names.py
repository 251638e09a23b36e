"""What the battens of a plan are called: by side, in labels, in reports."""

from __future__ import annotations

import re

from scrieve.shared.units import length

from ...boat.batten import Side
from ...plan.plan import Plan

SIDES: tuple[Side, ...] = ("port", "starboard")

_AMOUNT = r"(\d+(?:[.,]\d+|/\d+|[\s-]+\d+/\d+)?\s*[½¼¾⅛⅜⅝⅞]?|[½¼¾⅛⅜⅝⅞])"
_UNIT = r"\s*(mm|cm|inch(?:es)?|in|[\"″])?"
_SIZE = re.compile(rf"[\s,;:(\[]*\b{_AMOUNT}{_UNIT}\s*[x×*]\s*{_AMOUNT}{_UNIT}(?!\w)[\s,;:)\]]*", re.IGNORECASE)


def batten_names(plan: Plan, kind: str) -> list[str]:
    """The battens of one kind that the plan wants, by name: "keel", or "port chine" and "starboard chine"."""
    sides = plan.battens[kind].sides
    return [kind] if sides == "centre" else [f"{side} {kind}" for side in SIDES if sides in (side, "both")]


def batten_kind(plan: Plan, label: str) -> str | None:
    """The plan's name of the batten that a label names, whatever side, frame or size it says; None for other texts."""
    kinds = {" ".join(kind.casefold().split()): kind for kind in plan.battens}
    for text in (label, _SIZE.sub(" ", label, count=1).strip()):
        read = plan.label_reader.alone(text, letters=True).what
        kind = next((kinds[said] for said in (text.casefold(), read.casefold()) if said in kinds), None)
        if kind is not None:
            return kind
    return None


def batten_size(plan: Plan, label: str) -> tuple[float, float] | None:
    """The longer and the shorter side that a label says with its batten's name ("chine 30 x 18"), mm; None for none.

    Bare numbers are in the plan's unit. None as well where the batten is called so.
    """
    found = _SIZE.search(label)
    kind = batten_kind(plan, label)
    if found is None or kind is None or _SIZE.search(kind):
        return None
    one, unit, other, its = found.groups()
    try:
        sides = [
            length(f"{amount.replace(',', '.')} {said or plan.units}")
            for amount, said in ((one, unit or its), (other, its or unit))
        ]
    except ValueError:
        return None
    return max(sides), min(sides)


def kind_of(plan: Plan, name: str) -> str:
    """The plan's name of the batten that one of `batten_names` belongs to."""
    return next(kind for kind in plan.battens if name in batten_names(plan, kind))


def batten_side(plan: Plan, name: str) -> Side:
    """The side on which one of `batten_names` lies."""
    if plan.battens[kind_of(plan, name)].sides == "centre":
        return "centre"
    return "port" if name.startswith("port ") else "starboard"
