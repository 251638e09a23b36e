"""The plan's `[[order]]`: kept to where it can be, refused in a line where not."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest
import replanning
from faults import HULLS
from making import frame, part, rectangle
from stepped import (
    FLOOR,
    boat,
    demo,
    wanting,
    whole,
)

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence import order_refused
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.errors import PlanError


def orders_of(made: Assembly) -> list[str]:
    return [name for step in steps_of(made) for name in step.names]


def test_a_wish_is_kept_and_nothing_else_changed_without_need():
    made = boat(whole(legged=False))
    usual = orders_of(made)
    got = orders_of(wanting(made, ("F5 starboard side", "F5 floor")))
    assert got.index("F5 starboard side") < got.index("F5 floor")
    assert sorted(got) == sorted(usual)
    assert [n for n in got if "gusset" in n] == [n for n in usual if "gusset" in n]


def test_a_wish_among_plates_parts_their_step_and_its_screws():
    made = wanting(boat(whole(legged=False)), ("F5 starboard gusset, aft", "F5 port gusset, aft"))
    first, then = (step for step in steps_of(made) if step.kind == "plates" and "aft" in step.title)
    assert (first.names, then.names) == (("F5 starboard gusset, aft",), ("F5 port gusset, aft",))
    assert [d.screws for d in first.screws] == [("F5 aft screw 3", "F5 aft screw 4")]
    assert [d.screws for d in then.screws] == [("F5 aft screw 1", "F5 aft screw 2")]


def test_a_wish_across_the_faces_turns_the_other_one_up_first():
    made = wanting(boat(whole(legged=False)), ("F5 port gusset, forward", "F5 port gusset, aft"))
    assert [step.title.split()[2] for step in steps_of(made) if step.kind == "plates"] == ["forward", "aft"]


def test_wishes_for_frames_and_battens():
    made = demo("pram")
    got = orders_of(wanting(made, ("F3", "F1"), ("port sheer", "keel")))
    assert got.index("F3") < got.index("F1")
    assert got.index("port sheer") < got.index("keel")


def refused(made: Assembly) -> list[str]:
    with pytest.raises(PlanError) as caught:
        steps_of(made, file="hulls/x/plan.toml")
    return [str(mistake) for mistake in caught.value.mistakes]


@pytest.mark.parametrize(
    ("first", "then", "says"),
    [
        ("F5 port gusset, aft", "F5 floor", "the core goes together before any plate lies on it"),
        ("F5 port leg outer", "F5 port leg inner", "the plies of a leg are glued together and go on as one"),
        (
            "F5 port sde",
            "F5 floor",
            '[[order]] names a part that the drawing of F5 does not show; did you mean "F5 port side"',
        ),
    ],
)
def test_what_the_trade_does_not_allow_is_refused_in_one_line(first, then, says):
    (line,) = refused(wanting(boat(whole()), (first, then)))
    assert line.startswith("hulls/x/plan.toml:90: ")
    assert says in line


def test_what_the_geometry_does_not_allow_names_what_bars_the_way():
    """A key that is as wide as its slot in the plate below, and covered by one on top: bottom, key, top."""
    bottom = part("bottom plate", rectangle(-100, 200, 100, 260), face="forward", thickness=9, role="plate")
    top = replace(bottom, name="F5 top plate", label="top plate", low=bottom.high, high=bottom.high + 9)
    made = boat(frame([FLOOR, bottom, top]))
    assert [step.names for step in steps_of(made) if step.kind == "plates"] == [("F5 bottom plate",), ("F5 top plate",)]
    hooked = Outline.of(
        [(-50, 230), (50, 230), (50, 290), (120, 290), (120, 180), (-120, 180), (-120, 290), (-50, 290)]
    )
    ring = replace(
        part("ring", hooked, face="forward", thickness=9, role="plate"), low=bottom.high, high=bottom.high + 9
    )
    made = boat(frame([FLOOR, bottom, ring]))
    (line,) = refused(wanting(made, ("F5 ring", "F5 bottom plate")))
    assert '"F5 ring" cannot go on before "F5 bottom plate": F5 ring would then bar its way in' in line


def test_every_wish_that_cannot_be_is_told_at_once():
    made = wanting(boat(whole()), ("F5 port gusset, aft", "F5 floor"), ("F5 port leg outer", "F5 port leg inner"))
    assert [line.split(": ")[0] for line in refused(made)] == ["hulls/x/plan.toml:90", "hulls/x/plan.toml:91"]


def test_a_frame_past_a_batten_in_its_way_is_refused():
    made = demo("skiff")
    (line,) = refused(wanting(made, ("port sheer", "F2")))
    assert '"port sheer" cannot go on before "F2": F2 would find no straight way in past it' in line


def test_the_plan_of_a_demo_with_an_order_is_kept_to_from_the_file(tmp_path: Path):
    copy = replanning.copy_of(HULLS / "pram", tmp_path / "copy")
    replanning.change_plan(copy, lambda plan: plan.update(order=[{"first": "F3 port side", "then": "F3 floor"}]))
    got = orders_of(assemble(read_plan(copy)))
    assert got.index("F3 port side") < got.index("F3 floor")


def test_the_check_says_of_an_order_what_the_steps_refuse():
    made = wanting(boat(whole()), ("F5 port gusset, aft", "F5 floor"), ("F5 floor", "F5 port side"))
    (finding,) = CHECKS["way-in"].run(made)
    assert finding.parts == ("F5 floor", "F5 port gusset, aft") and finding.source.line == 90
    (line,) = refused(made)
    assert line.split(": ", 1)[1] in finding.message


def test_any_two_wishes_are_either_kept_or_refused_by_steps_and_check_alike():
    made = demo("pram")
    chance = random.Random(7)
    names = [p.name for p in made.frames[1].parts]
    things = [*(f.name for f in made.frames), *(b.name for b in made.battens)]
    told = Counter()
    for _ in range(12):
        wishes = chance.sample([*permutations(names, 2)], 2) + chance.sample([*permutations(things, 2)], 1)
        if {(b, a) for a, b in wishes} & set(wishes):
            continue  # the reader refuses circles
        wished = wanting(made, *wishes)
        against = {w.source.line for w in order_refused.refused(wished)}
        try:
            steps = steps_of(wished)
        except PlanError as error:
            told["refused"] += 1
            assert {mistake.line for mistake in error.mistakes} == against
        else:
            told["kept"] += 1
            assert not against
            place = {name: (step.number, n) for step in steps for n, a in enumerate(step.adds) for name in a.names}
            assert all(place[first] < place[then] for first, then in wishes)
    assert told["refused"] and told["kept"]
