"""A cure is tried before it is told: none is told that leaves its finding or brings an error that was not there."""

from __future__ import annotations

import random
from dataclasses import replace

import measure_mend
import numpy as np
import pytest
from replanning import change_drawings, change_plan
from slips_of_drawings import outline_of
from spoiling import HULLS, copied

from scrieve.model.assemble import assemble
from scrieve.model.diagnosis.examine import examine
from scrieve.model.mending import advice
from scrieve.model.mending.advice import advised
from scrieve.model.mending.mend import mend
from scrieve.model.mending.plan_copy import PlanCopy
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.edits import Add, Move, SetKey
from scrieve.shared.findings import Level


def moved(folder, drawing, handle, by):
    """The pram with one object moved."""
    plan = copied("pram", folder)
    change_drawings(plan, lambda document: document.entitydb[handle].translate(*by, 0), f"frames/{drawing}.dxf")
    return plan


def both(plan):
    """The findings before and after their cures were tried, in pairs."""
    boat = assemble(read_plan(plan))
    before, after = examine(boat), advised(boat)
    for one, other in zip(before, after, strict=True):
        assert replace(one, edits=(), cure="", because=None) == replace(other, edits=(), cure="", because=None)
    return list(zip(before, after, strict=True))


def test_a_cure_that_brings_an_error_is_not_told(tmp_path):
    """The dowel is in the wood; where it would stand free of it, it no longer holds the floor."""
    pairs = both(moved(tmp_path, "2", "66", (-3.7, -6.5)))
    ((before, after),) = [pair for pair in pairs if pair[0].check == "dowel"]
    assert before.edits and before.cure.startswith("move it")
    assert after.edits == ()
    assert after.cure.startswith("look at the place: the plain change that was tried brings dowel-hold: ")
    assert all(one == other for one, other in pairs if one is not before)


def test_a_cure_that_brings_a_warning_is_not_sure(tmp_path):
    """A batten is out of place by less than a millimetre: its notch is cut deeper on one side only."""
    plan = moved(tmp_path, "1", "4D", (0.8, 0.0))
    change_plan(plan, lambda content: content.pop("cut_sheets"))
    ((before, after),) = [pair for pair in both(plan) if pair[0].check == "notch-foul"]
    assert before.cure == after.cure
    assert all(edit.sure for edit in before.edits)
    assert after.edits == tuple(replace(edit, sure=False) for edit in before.edits) != ()


def test_a_cure_that_leaves_its_finding_is_not_told(tmp_path, monkeypatch):
    plan = moved(tmp_path, "2", "66", (-3.7, 0.0))
    boat = assemble(read_plan(plan))

    def too_short(finding):
        moves = (
            replace(e, end=tuple((a + 9 * b) / 10 for a, b in zip(e.end, e.start, strict=True))) for e in finding.edits
        )
        return replace(finding, edits=tuple(moves)) if finding.check == "dowel" else finding

    wrong = tuple(map(too_short, examine(boat)))
    monkeypatch.setattr(advice, "examine", lambda *_, **__: wrong)
    ((before, after),) = [pair for pair in zip(wrong, advised(boat), strict=True) if pair[0].check == "dowel"]
    assert isinstance(before.edits[0], Move)
    assert after.edits == ()
    assert "does not cure it" in after.cure


def test_what_there_is_no_budget_for_stays_as_it_is(tmp_path, monkeypatch):
    monkeypatch.setattr(advice, "_TRIALS", 0)
    assert all(one == other for one, other in both(moved(tmp_path, "2", "66", (-3.7, -6.5))))


def test_where_two_faults_lie_in_one_frame_only_the_wrong_cure_goes(tmp_path):
    plan = moved(tmp_path, "2", "66", (-3.7, -6.5))

    def lengthen(document):
        for line in document.modelspace().query("LWPOLYLINE"):
            if line.dxf.layer.startswith("LEG") and line[0][0] < 0:
                line.set_points([(u, v - 4 if v < 40 else v, b) for u, v, b in line.get_points("xyb")], format="xyb")

    change_drawings(plan, lengthen, "frames/2.dxf")
    change_plan(plan, lambda content: content.pop("cut_sheets"))
    pairs = both(plan)
    assert [after.edits for before, after in pairs if before.check == "dowel"] == [()]
    legs = [(before, after) for before, after in pairs if before.check == "leg-bottom"]
    assert legs and all(before.edits and before.edits == after.edits for before, after in legs)


def test_a_cause_whose_cure_is_refuted_still_holds_what_follows(tmp_path):
    plan = copied("skiff", tmp_path)
    change_plan(plan, lambda content: content["frames"][1].update(station=2110))
    found = advised(assemble(read_plan(plan)))
    (root,) = [each for each in found if "in one place" in each.message]
    assert root.edits == () and root.cure.startswith("look at the place")
    assert sum(each.because is root for each in found) > 20
    assert all(each.because is None or any(each.because is other for other in found) for each in found)


@pytest.mark.parametrize("seed", [8, 61, 98, 104])
def test_what_is_told_cures_in_the_files_too(seed, tmp_path):
    """Each cure that is told, made alone in a copy of the files: it cures, and brings no error but on cut sheets."""
    plan, _, _ = measure_mend.of_a_hull(random.Random(seed), seed, tmp_path / "wrong")
    copy = PlanCopy.of(read_plan(plan), None)
    for finding in advised(copy.boat):
        if finding.level is Level.NOTE or finding.because is not None or not finding.edits:
            continue
        if any(isinstance(e, SetKey) or (isinstance(e, Add) and len(e.points) > 2) for e in finding.edits):
            continue
        tried = copy.with_cures([finding])
        assert not tried.others
        assert tried.copy.faults.lacks(finding, copy.faults)
        new = tried.copy.faults.new(copy.faults)
        assert not [each for each in new if each.level is Level.ERROR and each.check != "cut-sheet"]


def test_what_an_edit_adds_is_read_as_if_it_stood_in_the_file():
    copy = PlanCopy.of(read_plan(HULLS / "skiff-with-faults"), None)
    adding = [f for f in examine(copy.boat) if any(isinstance(e, Add) and len(e.points) != 2 for e in f.edits)]
    assert {type(e).__name__ for f in adding for e in f.edits} >= {"Add", "Remove"}

    def drawn(boat):
        things = [part.name for part in boat.parts()], [s.name for f in boat.frames for s in f.screws]
        areas = [round(part.shape.area, 3) for part in boat.parts()]
        shapes = [round(s.region.area, 3) for sheet in boat.sheets for s in sheet.shapes]
        return *things, areas, [np.round(d.at, 3).tolist() for f in boat.frames for d in f.dowels], shapes

    for finding in adding:
        in_files, in_memory = copy.with_cures([finding]).copy.boat, copy.boat.edited(finding.edits)
        assert drawn(in_memory) != drawn(copy.boat)
        assert drawn(in_memory) == drawn(in_files)


def test_beside_a_part_that_could_not_be_read_no_cure_is_told_in_numbers(tmp_path):
    """Without the floor its sides are not held, its dowels touch nothing and its gussets stand out."""
    plan = copied("pram", tmp_path)
    change_plan(plan, lambda content: content.pop("cut_sheets"))

    def opened(document):
        floor = outline_of(document, "floor")
        floor.set_points(floor.get_points("xyb")[:-1], format="xyb")
        floor.closed = False

    change_drawings(plan, opened, "frames/2.dxf")
    pairs = both(plan)
    checks = {before.check for before, _ in pairs if before.edits}
    assert checks >= {"dowel", "dowel-hold", "outline"}
    assert {after.check for _, after in pairs if after.edits} == {"outline"}
    assert {str(after.cure)[:10] for _, after in pairs if after.check in ("dowel", "dowel-hold", "proud")} == {
        "look first"
    }
    mended = mend(read_plan(plan))
    assert mended.changes == ()


def test_far_from_a_part_that_could_not_be_read_cures_are_told(tmp_path):
    plan = moved(tmp_path, "3", "66", (0.0, 0.0))
    change_plan(plan, lambda content: content.pop("cut_sheets"))

    def spoil(document):
        document.modelspace().delete_entity(next(t for t in document.modelspace().query("TEXT") if "leg" in t.dxf.text))
        dowel = max(document.modelspace().query('CIRCLE[layer=="DOWELS"]'), key=lambda each: each.dxf.center.y)
        dowel.translate(1.0 if dowel.dxf.center.x > 0 else -1.0, 0.0, 0)

    change_drawings(plan, spoil, "frames/3.dxf")
    pairs = both(plan)
    assert [after.check for _, after in pairs if after.check == "outline"]
    assert (
        [after.edits for before, after in pairs if before.check == "dowel"]
        == [before.edits for before, after in pairs if before.check == "dowel"]
        != []
    )
