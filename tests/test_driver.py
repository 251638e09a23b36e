"""Check `driver`: a straight driver of 12 mm, 120 mm long, on the axis of each screw when it is driven."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import making
import numpy as np
import pytest
import shapely
from faults import SOUND
from faults_of_steps import FAULTS
from making import assembly, frame, part, rectangle, screw
from planting import planted
from replanning import change_plan

from scrieve.model.assemble import assemble
from scrieve.model.checks.driver import CHECK
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_order import Before
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.model.sequence.laying import driven_at, laid_before, lots
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.findings import Level, Source

CORE = part("floor", rectangle(-200, 0, 200, 100))
AXIS = (50.0, 50.0)


def gusset(**more):
    return part("gusset", rectangle(0, 0, 100, 100), thickness=9, **{"face": "forward", **more})


def beside(off: float, *, height: float = 30.0, label: str = "cleat", face: str = "forward"):
    """A plate whose edge stands `off` to port of the axis."""
    return part(label, rectangle(AXIS[0] + off, 0, 200, 100), face=face, thickness=height, role="plate")


def boat(parts, *, at=AXIS, driven_from="forward", order=(), limits=None, screws=None, **where):
    driven = screws if screws is not None else [screw(parts, at, driven_from=driven_from)]
    made = assembly([frame(parts, screws=driven, **where)], limits=limits)
    return replace(made, order=tuple(order))


def found(made):
    return list(CHECK.run(made))


def before(first: str, then: str, line: int = 90) -> Before:
    return Before(first=first, then=then, source=Source(file="plan.toml", line=line))


def test_a_thick_plate_beside_a_gussets_screw_bars_the_driver():
    (finding,) = found(boat([CORE, gusset(), beside(4.0)]))
    assert (finding.level, finding.parts) == (Level.ERROR, ("F5 cleat", "F5 forward screw 1"))
    assert (finding.measured, finding.limit, finding.unit) == (pytest.approx(8.0), 12.0, "mm")
    assert finding.at == pytest.approx((1000 + 27, *AXIS))
    assert "stands 21.00 mm above the head, 4.00 mm from its axis: 8.00 mm clear in width" in finding.message
    assert 'first = "F5 gusset", then = "F5 cleat"' in finding.cure
    assert finding.cure.endswith("or move it at least 2.0 mm away from F5 cleat")


@pytest.mark.parametrize("driven_from", ["forward", "aft"])
@pytest.mark.parametrize(
    ("off", "wrong"), [(6 / 1.25, True), (5.99, True), (6.0, False), (6.01, False), (6 / 0.8, False)]
)
def test_the_width_is_a_diameter_around_the_axis(off, wrong, driven_from):
    parts = [CORE, gusset(face=driven_from), beside(off, face=driven_from)]
    assert bool(found(boat(parts, driven_from=driven_from))) is wrong


def corner(off: float):
    """A plate whose corner stands `off` from the axis, at 45 degrees: its bounds come nearer."""
    y, v = np.add(AXIS, off / np.sqrt(2))
    return part("cleat", Outline.of([(y, v), (y + 40, v), (y + 40, v + 40), (y, v + 40)]), face="forward", thickness=30)


@pytest.mark.parametrize(("off", "wrong"), [(5.99, True), (6.01, False)])
def test_a_corner_is_as_far_as_it_is(off, wrong):
    (made,) = (boat([CORE, gusset(), corner(off)]),)
    assert [f.measured for f in found(made)] == ([pytest.approx(2 * off)] if wrong else [])


@pytest.mark.parametrize("ahead, wrong", [(120 / 1.25, True), (119.99, True), (120.01, False), (120 / 0.8, False)])
def test_the_length_is_clear_in_line_with_the_screw(ahead, wrong):
    shelf = beside(-20.0, label="shelf")
    shelf = replace(shelf, low=27.0 + ahead, high=40.0 + ahead, face="core")
    parts = [CORE, gusset(), shelf]
    driven = screw([CORE, gusset()], AXIS)
    made = boat(parts, screws=[driven])
    assert [(f.measured, f.limit) for f in found(made)] == ([(pytest.approx(ahead), 120.0)] if wrong else [])


def test_what_is_no_higher_than_the_head_is_not_in_the_way():
    assert found(boat([CORE, gusset(), beside(3.0, height=9.0)])) == []
    assert len(found(boat([CORE, gusset(), beside(3.0, height=9.1)]))) == 1


def test_what_lies_on_the_other_face_is_not_in_the_way():
    assert found(boat([CORE, gusset(), beside(3.0, face="aft")])) == []


def test_a_thick_part_of_the_core_always_lies_first():
    riser = replace(beside(3.0, height=60.0), face="core", low=0.0, high=60.0, role="core")
    (finding,) = found(boat([CORE, gusset(), riser]))
    assert finding.cure == "move it at least 3.0 mm away from F5 cleat, or take a thinner part there"


def test_a_leg_goes_on_after_the_gussets():
    leg = replace(beside(3.0), role="leg")
    assert found(boat([CORE, gusset(), leg])) == []


def test_screws_of_a_leg_are_driven_when_all_else_lies():
    leg = part("leg outer", rectangle(0, 0, 100, 100), face="forward", role="leg", thickness=12)
    (finding,) = found(boat([CORE, leg, beside(3.0)]))
    assert finding.measured == pytest.approx(6.0)
    assert finding.cure.endswith("or take a thinner part there")


def test_a_screw_of_the_core_alone_is_driven_before_any_plate_lies():
    other = part("doubler", rectangle(-200, 0, 200, 100))
    assert found(boat([CORE, other, beside(4.0)])) == []


def test_the_plans_order_is_kept_to():
    parts = [CORE, gusset(), beside(4.0)]
    assert found(boat(parts, order=[before("F5 gusset", "F5 cleat")])) == []
    (finding,) = found(boat(parts, order=[before("F5 cleat", "F5 gusset")]))
    assert finding.cure.startswith("take the order on line 90 out of the plan, or move it")


def test_the_order_of_others_makes_no_difference():
    parts = [CORE, gusset(), beside(4.0)]
    assert len(found(boat(parts, order=[before("F6 gusset", "F6 cleat")]))) == 1


def test_two_thick_plates_that_bar_each_others_screws_are_not_cured_by_an_order():
    one = part("one", rectangle(0, 0, 54, 100), face="forward", thickness=30, role="plate")
    two = part("two", rectangle(55, 0, 100, 100), face="forward", thickness=40, role="plate")
    deep = making.screw_of_gauge(8, 2 * making.INCH)
    parts = [CORE, one, two]
    screws = [
        screw(parts, (50, 50), size=deep, name="screw 1"),
        screw(parts, (59, 20), size=deep, name="screw 2"),
    ]
    (finding,) = found(boat(parts, screws=screws))  # the head of the other is above its neighbour
    assert "[[order]]" in finding.cure
    level = replace(two, high=one.high + 0.1)
    screws = [screw([CORE, one, level], at, size=deep, name=f"screw {n}") for n, at in enumerate([(50, 50), (59, 20)])]
    tall = replace(one, high=one.high + 5.0)
    barred = found(boat([CORE, tall, level], screws=screws))
    assert [f.cure.split(",")[-1] for f in barred] == [" or take a thinner part there"] * 2


def test_one_part_that_bars_several_screws_is_one_finding():
    parts = [CORE, gusset(), beside(4.0)]
    screws = [screw(parts, (50.0 - n, 20 + 20 * n), name=f"screw {n}") for n in range(4)]
    (finding,) = found(boat(parts, screws=screws))
    assert finding.parts == ("F5 cleat", *(f"F5 forward screw {n}" for n in range(2)))
    assert finding.measured == pytest.approx(8.0)
    assert "reaches 2 screws" in finding.message


def test_the_limits_are_the_plans():
    parts = [CORE, gusset(), beside(4.0)]
    assert found(boat(parts, limits={"driver_width": 7.9})) == []
    assert found(boat(parts, limits={"driver_length": 0.0})) == []


def test_a_screw_in_no_wood_or_in_the_far_plate_alone_is_left_to_others():
    parts = [CORE, gusset(), beside(4.0)]
    assert found(boat(parts, at=(500.0, 500.0))) == []
    far = part("far", rectangle(300, 0, 350, 100), face="aft")
    made = boat([CORE, far], at=(320.0, 50.0))
    assert driven_at(made.frames[0].screws[0]) == "never"
    assert laid_before(made.frames[0].screws[0], made.frames[0], ()) == ()


@pytest.mark.parametrize("rake", [0.0, 0.3])
@pytest.mark.parametrize("station", [1000.0, -4321.0])
@pytest.mark.parametrize("sign", [1, -1])
def test_mirrored_and_moved_boats_give_the_same(sign, station, rake):
    def turned(p):
        shape = p.drawn if sign > 0 else p.drawn.mirrored()
        return replace(p, drawn=shape, shape=shape.polygon())

    parts = [turned(p) for p in (CORE, gusset(), beside(4.0))]
    (finding,) = found(boat(parts, at=(sign * AXIS[0], AXIS[1]), station=station, rake=rake))
    assert finding.measured == pytest.approx(8.0)
    made = frame(parts, station=station, rake=rake)
    assert finding.at == pytest.approx(made.placement.point(sign * AXIS[0], AXIS[1], 27.0))


# ---- lots


def test_plates_lie_in_one_lot_unless_one_rests_on_another_or_the_plan_parts_them():
    low, beside_it = gusset(), beside(60.0)
    top = replace(gusset(), name="F5 top", low=low.high, high=low.high + 9)
    assert lots([low, beside_it], ()) == ((low, beside_it),)
    assert lots([top, beside_it, low], ()) == ((beside_it, low), (top,))
    assert lots([low, beside_it], [before("F5 cleat", "F5 gusset")]) == ((beside_it,), (low,))
    assert lots([low, top], [before("F5 top", "F5 gusset")]) == ((low,), (top,))  # against what rests on what


# ---- the cures, on a demonstration boat


def errors_of(plan: Path) -> list[str]:
    return [f.check for f in review(assemble(read_plan(plan))) if f.level is Level.ERROR]


def test_the_order_that_the_cure_names_makes_the_finding_go_and_the_steps_keep_to_it(tmp_path: Path):
    plan = planted(SOUND, tmp_path / "skiff", FAULTS)
    assert errors_of(plan) == ["driver", "driver"]
    found = [f.cure for f in review(assemble(read_plan(plan)), only=("driver",))]
    pairs = [re.search(r'first = "(.*?)", then = "(.*?)"', cure).groups() for cure in found]
    change_plan(plan, lambda content: content.update(order=[{"first": a, "then": b} for a, b in pairs]))
    assert errors_of(plan) == []
    lots_of_f2 = [s.names for s in steps_of(assemble(read_plan(plan))) if s.kind == "plates" and s.frame == "2"]
    assert lots_of_f2[-1] == ("F2 port thwart cleat", "F2 starboard thwart cleat")


def test_moving_the_screws_as_the_cure_says_makes_the_finding_go(tmp_path: Path):
    plan = planted(SOUND, tmp_path / "skiff", FAULTS)
    (move,) = {re.search(r"move it at least ([\d.]+) mm", f.cure)[1] for f in review(assemble(read_plan(plan)))
               if f.check == "driver"}  # fmt: skip
    boat_ = assemble(read_plan(plan))
    for finding in review(boat_, only=("driver",)):
        two = next(f for f in boat_.frames if f.number == "2")
        barred = next(s for s in two.screws if s.name == finding.parts[0])
        cleat = next(p for p in two.parts if p.name == finding.parts[1])
        away = np.subtract(
            barred.at, shapely.get_coordinates(shapely.shortest_line(cleat.shape, shapely.Point(barred.at)))[0]
        )
        at = np.add(barred.at, away / np.hypot(*away) * float(move))
        moved = replace(two, screws=tuple(replace(s, at=tuple(at)) if s is barred else s for s in two.screws))
        assert finding not in list(CHECK.on_frame(moved, boat_))
        assert len(list(CHECK.on_frame(moved, boat_))) == 1  # that of the other side
