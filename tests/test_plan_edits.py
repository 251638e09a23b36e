"""Edits of the plan's text: what is set stands in it, and nothing else has changed."""

from __future__ import annotations

import tomllib
from decimal import Decimal

import pytest
from carrying_out import replaced

from scrieve.model.plan.plan_keys import PlanKeys
from scrieve.model.plan.toml_places import TomlPlaces
from scrieve.shared.findings import Source

PLAN = """[plan]
name = "Burdock"   # hers
units = "in"

[layers]
"A B" = { makes = "part", stock = "ply" }

[[frames]]
station = 10  # aft
[[frames]]
number = "2"

[[order]]
first = "a"
then = "b"

[limits]
"""


@pytest.mark.parametrize("text", [PLAN, PLAN.rstrip("\n"), PLAN.replace("\n", "\r\n")])
def test_what_is_set_stands_in_the_plan_and_nothing_else_has_changed(text):
    keys = PlanKeys(file="plan.toml", unit="in", places=TomlPlaces.of(text))
    before = tomllib.loads(text)
    frame = Source(file="plan.toml", line=8)
    for edits, path, value in (
        (keys.set(frame, "station", 50.8), ("frames", 0, "station"), 2),
        (keys.set(("frames", 1), "station", 25.4), ("frames", 1, "station"), 1),
        (keys.set(frame, "rake", Decimal("-12.5")), ("frames", 0, "rake"), -12.5),
        (keys.set(("layers", "A B"), "role", 'a "gusset"'), ("layers", "A B", "role"), 'a "gusset"'),
        (keys.set(("layers", "A B"), "stock", "x"), ("layers", "A B", "stock"), "x"),
        (keys.set(("limits",), "joint gap", (25.4, 12.7)), ("limits", "joint gap"), [1, 0.5]),
        (keys.set(("plan",), "name", "Dock"), ("plan", "name"), "Dock"),
        (keys.without(Source(file="plan.toml", line=13)), ("order",), None),
        (keys.with_tables("order", [{"first": "c", "then": "d"}]), ("order", 1), {"first": "c", "then": "d"}),
    ):
        (edit,) = edits
        after = tomllib.loads(replaced(text, edit))
        wanted = tomllib.loads(text)
        holder = wanted
        for key in path[:-1]:
            holder = holder[key]
        if value is None:
            del holder[path[-1]]
        elif isinstance(holder, list):
            holder.append(value)
        else:
            holder[path[-1]] = value
        assert after == wanted != before, edit
        assert "# hers" in replaced(text, edit)


def test_a_key_whose_place_is_not_known_gives_no_edit():
    keys = PlanKeys(file="plan.toml", places=TomlPlaces.of(PLAN))
    assert keys.set(("cutter",), "diameter", 10.0) == ()
    assert keys.set(Source(file="plan.toml", line=9), "station", 10.0) == ()
    assert PlanKeys().with_tables("order", [{"first": "a", "then": "b"}]) == ()
