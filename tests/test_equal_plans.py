"""A boat drawn in another but equal way gives the same findings: from forward, in inches, divided, moved, shuffled."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
import replanning
import shapely
from faults import FAULTY, HULLS

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.solid import prism
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding
from scrieve.viewer.reports.json_report import json_report
from scrieve.viewer.reports.report import Report

PLANS = [HULLS / "pram", HULLS / "skiff", FAULTY]
SAME = 1e-3  # mm; the drawings themselves are rounded to a thousandth


@pytest.fixture(params=PLANS, ids=lambda plan: plan.name)
def plan(request: pytest.FixtureRequest) -> Path:
    return request.param


def boat(plan: Path) -> Assembly:
    return assemble(read_plan(plan))


@cache
def findings(plan: Path) -> tuple[Finding, ...]:
    return review(boat(plan))


def changed(plan: Path, tmp_path: Path, change: Callable[[Path], None]) -> Path:
    copy = replanning.copy_of(plan, tmp_path / "copy")
    change(copy)
    return copy


def assert_same(
    one: tuple[Finding, ...], other: tuple[Finding, ...], *, moved: float = 0.0, places: bool = True
) -> None:
    def key(finding: Finding) -> tuple[object, ...]:
        at = (finding.at if places else None) or (finding.measured or 0.0,) * 3
        return (finding.frame, finding.check, finding.level, finding.parts, round(at[1]), round(at[2]))

    assert len(one) == len(other)
    for a, b in zip(sorted(one, key=key), sorted(other, key=key), strict=True):
        assert key(a)[:4] == key(b)[:4]
        assert (a.measured is None) == (b.measured is None)
        if a.measured is not None:
            assert b.measured == pytest.approx(a.measured, abs=SAME)
        if a.at is not None and places:
            x, y, z = a.at
            assert b.at == pytest.approx((x + moved, y, z), abs=1.0)  # the middle of an overlap may be chosen anew


def test_seen_from_the_other_side(plan, tmp_path):
    assert_same(findings(plan), findings(changed(plan, tmp_path, replanning.seen_from_the_other_side)))


def test_drawn_in_inches(plan, tmp_path):
    assert_same(findings(plan), findings(changed(plan, tmp_path, replanning.drawn_in_inches)))


def test_planned_in_inches(plan, tmp_path):
    assert_same(findings(plan), findings(changed(plan, tmp_path, replanning.planned_in_inches)))


@pytest.mark.parametrize("name", ["pram", "skiff"])
def test_drawn_by_its_port_half_only(name, tmp_path):
    plan = HULLS / name
    half = changed(plan, tmp_path, replanning.half_drawn)
    whole, mirrored = boat(plan), boat(half)
    assert [part.name for part in mirrored.parts()] == [part.name for part in whole.parts()]
    for a, b in zip(whole.parts(), mirrored.parts(), strict=True):
        assert shapely.hausdorff_distance(a.shape, b.shape) < 0.02
    assert_same(findings(plan), findings(half))


@pytest.mark.parametrize(("seed", "pace"), [(1, 1e9), (2, 20.0)])
def test_edges_divided(plan, tmp_path, seed, pace):
    divided = changed(plan, tmp_path, lambda copy: replanning.divided(copy, seed, pace=pace))
    assert_same(findings(plan), findings(divided), places=False)  # of places alike, another may be told


@pytest.mark.parametrize("distance", [-3000, 12345])
def test_moved_along_x(plan, tmp_path, distance):
    moved = changed(plan, tmp_path, lambda copy: replanning.moved_along(copy, distance))
    assert_same(findings(plan), findings(moved), moved=distance)


@pytest.mark.parametrize("seed", [1, 2])
def test_in_another_order(plan, tmp_path, seed):
    assert_same(findings(plan), findings(changed(plan, tmp_path, lambda copy: replanning.shuffled(copy, seed))))


def test_the_solid_of_every_part_has_its_area_times_its_thickness(plan):
    for frame in boat(plan).frames:
        for part in frame.parts:
            assert part.shape.is_valid
            solid = prism(part.shape, part.low, part.high, frame.placement)
            assert solid.volume() == pytest.approx(part.shape.area * part.thickness, rel=1e-9)
            assert part.volume == pytest.approx(solid.volume(), rel=1e-9)


def test_the_same_input_gives_the_same_bytes(plan):
    def written() -> str:
        assembly = boat(plan)
        return json_report([Report.of(assembly, review(assembly), plan=plan.name, ran=(), left_out=())], several=False)

    assert written() == written()


def test_the_demonstration_boats_are_clean():
    for name in ("pram", "skiff"):
        assert {finding.level for finding in findings(HULLS / name)} <= {"note"}
