"""One slip is one finding, with the cure that undoes it; what follows from it is held beneath, and nothing is lost."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace

import making
import pytest
import slips
from replanning import change_plan
from spoiling import HULLS, copied
from test_json_report import VALID

from scrieve.model.assemble import assemble
from scrieve.model.diagnosis.case import Case
from scrieve.model.diagnosis.examine import examine
from scrieve.model.diagnosis.hypotheses import cutter
from scrieve.model.mending.advice import advised
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Level
from scrieve.viewer.reports.json_report import json_report
from scrieve.viewer.reports.report import Report
from scrieve.viewer.reports.style import Style
from scrieve.viewer.reports.text_report import text_report
from scrieve.viewer.verbs.commands import run

SMALL = [
    ("seen from the other side", "pram"),
    ("screws too long", "pram"),
    ("batten too wide", "pram"),
    ("drawings exchanged", "pram"),
    ("one drawing for two frames", "pram"),
    ("origin off the datum line", "pram"),
    ("whole drawing taken for a half", "pram"),
    ("rake turned", "pram"),
    ("rake a few degrees off", "pram"),
    ("other face on the station", "pram"),
    ("floor left open", "pram"),
    ("line of the core lacking", "pram"),
    ("legs cut for each others frames", "pram"),
    ("another frames part pasted in", "pram"),
    ("floor moved", "pram"),
    ("part on another layer", "pram"),
    ("side moved", "skiff"),
    ("drawing low against its datum line", "pram"),
    ("digit of a station", "skiff"),
]


@pytest.mark.parametrize(("name", "boat"), SMALL)
def test_a_slip_is_one_cause_and_its_edits_undo_it(name, boat, tmp_path):
    what, how = slips.outcome(name, boat, tmp_path)
    assert how == "right"
    assert len(what.others) <= slips.MOST_OTHERS


@pytest.mark.parametrize("boat", slips.BOATS)
def test_a_sound_boat_is_not_tried(boat, tmp_path):
    def refused(edits):
        raise AssertionError(f"tried with {edits}")

    sound = replace(assemble(read_plan(slips.BOATS[boat](tmp_path))), edited=refused)
    assert advised(sound) == examine(sound) == review(sound)


def test_all_that_a_review_finds_is_told_and_what_is_held_comes_after_its_cause(tmp_path):
    _, wrong, _ = slips.planted("batten too wide", "pram", tmp_path)
    boat = assemble(read_plan(wrong))
    found = examine(boat)
    causes = {id(each.because) for each in found if each.because}
    kept = [each for each in found if id(each) not in causes]
    assert Counter((each.check, each.message) for each in kept) == Counter((f.check, f.message) for f in review(boat))
    cause, *rest = found
    held = [each for each in rest if each.because]
    assert id(cause) in causes
    assert held == rest[: len(held)]
    assert all(each.because is cause for each in held)


def test_what_a_wrong_station_bends_is_held_beneath_it(tmp_path):
    _, wrong, _ = slips.planted("digit of a station", "skiff", tmp_path)
    boat = assemble(read_plan(wrong))
    found = [each for each in examine(boat) if each.level is not Level.NOTE]
    cause, *rest = found
    assert len(rest) > 10
    assert all(each.because is cause for each in rest)
    left_out = [each for each in review(boat, held=True) if each.because]
    assert {each.message for each in left_out} < {each.message for each in rest}


def test_two_slips_are_two_causes(tmp_path):
    _, wrong, _ = slips.planted("batten too wide", "pram", tmp_path)
    change_plan(wrong, slips.SLIPS["screws too long"][0])
    what = slips.told(wrong)
    assert len(what.causes) == 2
    assert what.others == ()


def test_few_checks_prove_nothing(tmp_path):
    _, wrong, _ = slips.planted("screws too long", "pram", tmp_path)
    boat = assemble(read_plan(wrong))
    assert all(each.because is None for each in examine(boat, only=("screw-bite",)))


def test_a_text_says_how_many_follow_and_json_from_what(tmp_path):
    _, wrong, _ = slips.planted("batten too wide", "pram", tmp_path)
    boat = assemble(read_plan(wrong))
    found = examine(boat)
    report = Report.of(boat, found, plan="pram", ran=(), left_out=())
    held = sum(each.because is not None for each in found)
    text = text_report([report], Style())
    assert f"{held} findings follow from this (--all lists them)" in text
    assert f"{held} more follow from these." in text
    assert text.count("\n  error ") == 1
    every = text_report([report], Style(), every=True)
    assert every.count("follows from: ") == held
    content = json.loads(json_report([report], several=False))
    VALID.validate(content)
    assert content["counts"]["held"] == held
    assert content["counts"]["error"] == sum(each.level is Level.ERROR for each in found)
    assert {each["because"] for each in content["findings"]} == {0, None}
    assert report.fails(Level.ERROR)


def test_the_cause_that_the_readme_shows_is_what_is_told(tmp_path, monkeypatch, capsys):
    plan = copied("pram", tmp_path)
    change_plan(plan, lambda content: content["battens"]["chine"].update(section=[32, 18]))
    monkeypatch.chdir(tmp_path)
    assert run(["check", "pram"]) == 1
    said = capsys.readouterr().out.splitlines()
    first = said.index("Whole boat")
    readme = (HULLS.parent / "README.md").read_text(encoding="utf-8")
    assert "\n".join(said[first : first + 5]) in readme


@pytest.mark.parametrize(
    ("form", "words"),
    [("sarif", "follows from this: "), ("github", "that follow from those"), ("junit", "follows from: ")],
)
def test_no_format_loses_what_is_held(form, words, tmp_path, capsys):
    _, wrong, _ = slips.planted("batten too wide", "pram", tmp_path)
    assert run(["check", str(wrong), "--format", form]) == 1
    told = capsys.readouterr().out
    assert words in told
    for finding in review(assemble(read_plan(wrong))):
        if finding.check == "notch-foul":
            assert finding.message.split(",")[0] in told


def test_what_waivers_accept_is_no_trace(tmp_path):
    plan = copied("pram", tmp_path)
    change_plan(plan, slips.SLIPS["screws from the other face"][0])
    boat = assemble(read_plan(plan))
    accepted = [{"check": "screw-count", "where": f"F{f.number}", "reason": "screwed later"} for f in boat.frames]
    change_plan(plan, lambda content: content.update(waivers=accepted))
    found = examine(assemble(read_plan(plan)))
    assert any(each.waived for each in found)
    assert all(each.because is None for each in found)


@pytest.mark.parametrize(("name", "sure"), [("digit of a station", False), ("digits of a station exchanged", True)])
def test_a_station_read_off_curves_is_to_be_looked_at_and_exchanged_digits_are_plain(name, sure, tmp_path):
    _, wrong, _ = slips.planted(name, "skiff", tmp_path)
    (edits,) = {each.edits for each in examine(assemble(read_plan(wrong))) if "is fair at station" in each.message}
    assert [edit.sure for edit in edits] == [sure]


def test_a_frame_far_away_is_not_told_to_stand_on_its_other_face(tmp_path):
    plan = copied("pram", tmp_path)
    change_plan(plan, lambda content: content["frames"][1].update(station=800_000))
    assert not [each for each in examine(assemble(read_plan(plan))) if "on the station" in each.message]


@pytest.mark.parametrize(("rooms", "width"), [([7.0] * 12, 7.0), ([7.0] + [8.0] * 19, 8.0), ([], None)])
def test_sharp_corners_leave_the_cutter_to_be_told_by_the_room_on_the_sheets(rooms, width, tmp_path):
    folder = copied("pram", tmp_path)
    change_plan(folder, lambda content: content["cutter"].update(diameter=12.0))
    plan = read_plan(folder)
    sharp = [making.finding(check="corner", measured=0.0, limit=6.0) for _ in range(5)]
    close = [making.finding(check="cut-sheet", measured=room, limit=12.0) for room in rooms]
    other = making.finding(check="cut-sheet", measured=3.0, limit=0.05)
    case = Case(boat=assemble(plan), plan=plan, findings=(*sharp, *close, other))
    found = [*cutter.propose(case)]
    assert [each.edits[0].value for each in found] == ([] if width is None else [f"{width:g}"])
    assert all(set(map(id, each.trace)) == set(map(id, (*sharp, *close))) for each in found)
