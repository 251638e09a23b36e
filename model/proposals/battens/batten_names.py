"""What the battens of a plan are called: by side, in labels, in reports."""

from __future__ import annotations

from ...boat.batten import Side
from ...plan.plan import Plan

SIDES: tuple[Side, ...] = ("port", "starboard")


def batten_names(plan: Plan, kind: str) -> list[str]:
    """The battens of one kind that the plan wants, by name: "keel", or "port chine" and "starboard chine"."""
    sides = plan.battens[kind].sides
    return [kind] if sides == "centre" else [f"{side} {kind}" for side in SIDES if sides in (side, "both")]


def batten_kind(plan: Plan, label: str) -> str | None:
    """The plan's name of the batten that a label names, whatever side or frame it says; None for any other text."""
    kinds = {" ".join(kind.casefold().split()): kind for kind in plan.battens}
    read = plan.label_reader.alone(label, letters=True).what
    return next((kinds[said] for said in (label.casefold(), read.casefold()) if said in kinds), None)


def kind_of(plan: Plan, name: str) -> str:
    """The plan's name of the batten that one of `batten_names` belongs to."""
    return next(kind for kind in plan.battens if name in batten_names(plan, kind))


def batten_side(plan: Plan, name: str) -> Side:
    """The side on which one of `batten_names` lies."""
    if plan.battens[kind_of(plan, name)].sides == "centre":
        return "centre"
    return "port" if name.startswith("port ") else "starboard"
