"""Check `way-in`: what it says, where it begins to speak, and what it leaves alone.

The ways themselves are proved in test_blocking, test_leaving, test_bench_order and test_setting_up.
"""

from dataclasses import replace
from pathlib import Path

import faults_of_order
import making
import pytest
from planting import planted

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_order import Before
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.findings import Level, Source

SKIFF = Path(__file__).parents[1] / "hulls" / "skiff"


def findings(assembly):
    return list(CHECKS["way-in"].run(assembly))


def clasped(neck, *, side=1, rake=0.0, station=1000.0):
    """A frame whose leg clasps the floor from both faces, its tongue narrower by `neck` mm a side at its root."""
    tongue = [(250 + neck, 200), (250, 230), (330, 230), (330 - neck, 200)]
    floor = Outline.of([(-400, 200), *tongue, (400, 200), (400, 300), (-400, 300)])
    inner = Outline.of([(240, 0), (340, 0), (340, 200), *tongue[::-1], (240, 200)])
    outer = making.rectangle(240, 0, 340, 260)
    outlines = {"core": inner, "forward": outer, "aft": outer}
    legs = [
        making.part(f"leg, {face}", outline if side > 0 else outline.mirrored(), role="leg", face=face)
        for face, outline in outlines.items()
    ]
    parts = [making.part("floor", floor if side > 0 else floor.mirrored()), *legs]
    return making.assembly([making.frame(parts, rake=rake, station=station)])


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("rake", "station"), [(0.0, 1000.0), (0.3, -4000.0)])
def test_a_dovetailed_leg_that_clasps_its_floor_has_no_way_in(side, rake, station):
    (finding,) = findings(clasped(6.0, side=side, rake=rake, station=station))
    assert finding.level is Level.ERROR
    assert finding.parts == ("F5 floor", "F5 leg, aft", "F5 leg, core", "F5 leg, forward")
    name = "port" if side > 0 else "starboard"
    assert finding.message == f"no straight way brings F5 {name} leg to its place: F5 floor is in the way"
    # to go up it has to pass the root: 6 mm of floor on each side
    assert finding.cure.count("6.0 mm off F5 floor") == 2
    assert finding.source.file == "frames/5.dxf"


@pytest.mark.parametrize(("neck", "count"), [(0.0, 0), (0.49, 0), (0.51, 1)])
def test_half_a_millimetre_is_planed_off(neck, count):
    assert len(findings(clasped(neck))) == count


def test_the_fault_of_the_demonstration_gives_just_its_own(tmp_path):
    (fault,) = faults_of_order.FAULTS
    found = findings(assemble(read_plan(planted(SKIFF, tmp_path / "skiff", (fault,)))))
    assert [(f.frame, f.parts) for f in found] == [(fault.frame, parts) for parts, _ in fault.gives]
    for finding in found:
        assert "which F3 floor, F4 floor and F5 floor shut" in finding.message
        assert finding.message.endswith("nor threaded in endwise past F2 and F6")
        assert finding.source.file == "frames/3.dxf"


@pytest.mark.parametrize("frame", ["F2", "F6"])
def test_with_one_end_left_open_by_the_plans_order_the_same_stringers_go_in(tmp_path, frame):
    made = assemble(read_plan(planted(SKIFF, tmp_path / "skiff", faults_of_order.FAULTS)))
    later = ("F2",) if frame == "F2" else ("F6", "F7")
    wishes = [
        Before(first=f"{side} stringer", then=then, source=Source(file="plan.toml", line=1))
        for side in ("port", "starboard")
        for then in later
    ]
    assert findings(replace(made, order=tuple(wishes))) == []


def test_a_boat_without_anything_has_nothing_to_find():
    assert findings(making.assembly([])) == []
    assert findings(making.assembly([making.frame([])])) == []
