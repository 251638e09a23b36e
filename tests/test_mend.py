"""`mend`: sure cures are made in a copy, each is proved by checking the copy, and the original is never touched."""

from __future__ import annotations

import json
import os
from collections import Counter
from dataclasses import replace
from pathlib import Path

import ezdxf
import making
import measure_mend
import pytest
from replanning import change_drawings, change_plan
from spoiling import HULLS, copied
from test_draft import contents
from test_json_report import VALID

from scrieve.model import check, open_plan
from scrieve.model.mending import mend as mending
from scrieve.model.mending.faults import Faults
from scrieve.model.mending.mend import mend
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.findings import Finding, Level, Measure, Subject
from scrieve.viewer.verbs.commands import run

FAULTY = HULLS / "skiff-with-faults"


def told(plan: Path) -> Counter[tuple[object, ...]]:
    """The errors and warnings that are told of a plan on the disk."""
    return Counter((f.check, f.frame, f.parts) for f in check(open_plan(plan)) if f.level is not Level.NOTE)


def with_legs_long(folder: Path) -> Path:
    """The pram with the port leg of a frame 4 mm long, on her sheets as well."""
    plan = copied("pram", folder)

    def lengthen(document) -> None:
        for line in document.modelspace().query("LWPOLYLINE"):
            if not line.dxf.layer.startswith("LEG") or line[0][0] > 0:
                continue
            rows = [(u, v - 4 if v < 40 else v, b) for u, v, b in line.get_points("xyb")]
            line.set_points(rows, format="xyb")

    change_drawings(plan, lengthen, "frames/2.dxf")
    change_plan(plan, lambda content: content.pop("cut_sheets"))
    return plan


def with_two_faults(folder: Path) -> Path:
    """The same with a dowel of another frame in the wood."""
    plan = with_legs_long(folder)

    def shift(document) -> None:
        dowels = document.modelspace().query('CIRCLE[layer=="DOWELS"]')
        min(dowels, key=lambda each: each.dxf.center.x).translate(2.0, 2.0, 0)

    change_drawings(plan, shift, "frames/3.dxf")
    return plan


def test_the_faulty_skiff_is_mended_as_far_as_cures_are_sure(tmp_path, capsys):
    before = contents(FAULTY)
    out = tmp_path / "mended"
    assert run(["mend", str(FAULTY), str(out), "--format", "json"]) == 1
    report = json.loads(capsys.readouterr().out)
    sure = [f for f in check(open_plan(FAULTY)) if f.edits and all(edit.sure for edit in f.edits)]
    gone = Counter((c["finding"]["check"], c["finding"]["message"]) for c in report["changes"])
    assert gone == Counter((f.check, f.message) for f in sure)
    assert len(sure) > 12
    after = told(out)
    assert not after - told(FAULTY)
    assert not [key for key in after if key in {(f.check, f.frame, f.parts) for f in sure}]
    assert contents(FAULTY) == before
    assert contents(out).keys() == before.keys() - {"README.md"}
    touched = {edit["target"]["file"] for c in report["changes"] for edit in c["edits"] if "target" in edit}
    touched |= {edit["file"] for c in report["changes"] for edit in c["edits"] if "file" in edit}
    assert {name for name, content in contents(out).items() if content != before[name]} == touched
    assert any(name.startswith("sheets/") for name in touched)
    counts = dict.fromkeys(("error", "warning", "note", "waived", "held"), 0)
    found = [each["finding"] for each in (*report["changes"], *report["left"])]
    VALID.validate({"version": 1, "plan": "mended", "counts": counts, "findings": found})


def test_the_text_names_each_change_and_what_is_left(tmp_path, capsys):
    plan = with_legs_long(tmp_path)
    assert run(["mend", str(plan), str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out
    assert "no errors" in said.splitlines()[0]
    assert "F2 port leg inner (" in said
    assert "the others as far" in said
    assert f"wrote {tmp_path / 'out'}: 1 changed file, 4 others as they were" in said
    assert told(tmp_path / "out") == Counter()


@pytest.mark.parametrize("dress", ["binary", "R12 without handles", "CRLF and comments", "in a folder below"])
def test_drawings_are_mended_in_whatever_form_they_are(dress, tmp_path):
    plan = with_legs_long(tmp_path)
    file = plan / "frames" / "2.dxf"
    if dress == "binary":
        ezdxf.readfile(file).saveas(file, fmt="bin")
    elif dress == "R12 without handles":
        document = ezdxf.readfile(file)
        space = document.modelspace()
        for line in list(space.query("LWPOLYLINE")):
            rows = line.get_points("xyb")
            space.add_polyline2d(rows, format="xyb", close=line.closed, dxfattribs={"layer": line.dxf.layer})
            space.delete_entity(line)
        document.dxfversion, document.header["$HANDLING"] = "R12", 0
        document.saveas(file)
    elif dress == "CRLF and comments":
        text = file.read_text(encoding="utf-8").replace("\nENTITIES\n", "\nENTITIES\n999\nas measured\n")
        file.write_bytes(text.replace("\n", "\r\n").encode())
    else:
        (plan / "frames" / "deep" / "down").mkdir(parents=True)
        file = file.rename(plan / "frames" / "deep" / "down" / "2.dxf")
        text = (plan / "plan.toml").read_text(encoding="utf-8").replace("frames/2.dxf", "frames/deep/down/2.dxf")
        (plan / "plan.toml").write_text(text, encoding="utf-8")
    assert told(plan)
    assert run(["mend", str(plan), str(tmp_path / "out")]) == 0
    assert told(tmp_path / "out") == Counter()
    old, new = file.read_bytes(), (tmp_path / "out" / file.relative_to(plan)).read_bytes()
    assert old != new
    if dress != "binary":
        lines, others = old.split(b"\n"), new.split(b"\n")
        assert len(lines) == len(others)
        assert sum(one != other for one, other in zip(lines, others, strict=True)) <= 12


def test_a_cause_in_the_plan_is_set_right_first_and_its_text_is_kept(tmp_path, capsys):
    plan = copied("pram", tmp_path)
    sound = (plan / "plan.toml").read_text(encoding="utf-8")
    assert "length = 12.7  # head included" in sound
    (plan / "plan.toml").write_text(
        sound.replace("length = 12.7", 'length = "1-1/4 in"'), encoding="utf-8", newline="\r\n"
    )
    assert run(["mend", str(plan), str(tmp_path / "out")]) == 0
    assert told(tmp_path / "out") == Counter()
    new = (tmp_path / "out" / "plan.toml").read_bytes().decode()
    differ = [pair for pair in zip(sound.split("\n"), new.split("\r\n"), strict=True) if pair[0] != pair[1]]
    assert len(differ) <= 1
    assert all(after.endswith("  # head included") for _, after in differ)
    assert "screws.gusset.length" in capsys.readouterr().out


def test_only_those_checks_are_mended_that_are_asked_for(tmp_path, capsys):
    plan, out = with_two_faults(tmp_path), tmp_path / "out"
    assert run(["mend", str(plan), str(out), "--only", "leg-bottom", "--format", "json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert [change["finding"]["check"] for change in report["changes"]] == ["leg-bottom"]
    assert report["left"] == []
    assert told(out) == Counter({key: n for key, n in told(plan).items() if key[0] != "leg-bottom"}) != Counter()


def test_what_makes_worse_is_taken_back_and_the_others_are_kept(tmp_path, monkeypatch):
    """The cure of one finding is made wrong: its dowel goes into the wood elsewhere."""
    advised = mending.advised

    def spoilt(finding):
        if finding.check != "dowel":
            return finding
        (move,) = finding.edits
        return replace(finding, edits=(replace(move, end=(move.start[0], move.start[1] + 9.0)),))

    monkeypatch.setattr(mending, "advised", lambda boat, **more: [spoilt(each) for each in advised(boat, **more)])
    mended = mend(read_plan(with_two_faults(tmp_path)))
    assert [each.finding.check for each in mended.changes] == ["leg-bottom"]
    (left,) = mended.left
    assert left.finding.check == "dowel"
    assert left.why.startswith("tried: ")


def test_one_fault_that_becomes_two_did_not_go():
    boat = making.assembly([])
    about = (Subject(kind="part", name="F1 floor"),)
    one = Finding(check="joint-gap", level=Level.ERROR, message="open", subjects=about, measure=Measure(value=2.0))
    two = replace(one, measure=Measure(value=1.0))
    before, after = Faults.of(boat, [one]), Faults.of(boat, [one, two])
    assert after.new(before) == [two]
    assert not after.lacks(one, before)
    assert before.lacks(one, after)


def test_a_search_has_an_end(tmp_path, monkeypatch):
    monkeypatch.setattr(mending, "MOST_TRIALS", 0)
    mended = mend(read_plan(with_two_faults(tmp_path)))
    assert mended.given_up
    assert mended.changes == ()
    assert {each.why for each in mended.left} == {"there was no time to try its cure"}


MENDED = (11, 52, 54, 61, 70, 91, 100, 115, 119, 128, 131, 134)  # seeds of the pram
REFUSED = (8, 43)  # where a batten was moved, not its notch, and where a dowel would no longer hold


@pytest.mark.parametrize("seed", (*MENDED, *REFUSED))
def test_of_single_faults_nothing_new_comes_and_what_has_its_own_cure_goes(seed):
    outcome = measure_mend.tried(seed, styles=False)
    assert outcome is None or not outcome.new  # None where no sure cure is told any more
    assert (outcome is not None and outcome.own and outcome.went) == (seed in MENDED)


# ---- where it may be written


def in_the_plan(plan: Path) -> Path:
    return plan / "mended"


def the_plan_itself(plan: Path) -> Path:
    return plan


def above_the_plan(plan: Path) -> Path:
    return plan.parent


def a_link_to_the_plan(plan: Path) -> Path:
    (plan.parent / "link").symlink_to(plan, target_is_directory=True)
    return plan.parent / "link"


def a_file(plan: Path) -> Path:
    (plan.parent / "out").write_text("mine")
    return plan.parent / "out"


def with_a_link_into_the_plan(plan: Path) -> Path:
    (plan.parent / "out").mkdir()
    (plan.parent / "out" / "frames").symlink_to(plan / "frames", target_is_directory=True)
    return plan.parent / "out"


def with_a_plan(plan: Path) -> Path:
    (plan.parent / "out").mkdir()
    (plan.parent / "out" / "plan.toml").write_text("mine")
    return plan.parent / "out"


@pytest.mark.parametrize(
    ("place", "says"),
    [
        (in_the_plan, "it lies in the plan's own folder"),
        (the_plan_itself, "it is the plan's own folder"),
        (above_the_plan, "the plan's own folder lies in it"),
        (a_link_to_the_plan, "it is the plan's own folder"),
        (a_file, "a folder is wanted"),
        (with_a_link_into_the_plan, "a link leads away from it"),
        (with_a_plan, "is there already"),
    ],
)
def test_nothing_is_written_where_it_must_not_be(place, says, tmp_path, capsys):
    (tmp_path / "here").mkdir()
    plan = copied("pram", tmp_path / "here")
    folder = place(plan)
    before = contents(tmp_path)
    assert run(["mend", str(plan), str(folder), *(["--replace"] if place is not with_a_plan else [])]) == 2
    error = capsys.readouterr().err
    assert says in error
    assert error.count("\n") == 1
    assert contents(tmp_path) == before


def test_a_drawing_outside_of_the_plan_is_refused(tmp_path, capsys):
    plan = copied("pram", tmp_path)
    outside = (plan / "frames" / "2.dxf").rename(tmp_path / "2.dxf")
    (plan / "frames" / "2.dxf").symlink_to(outside)
    assert run(["mend", str(plan), str(tmp_path / "out")]) == 2
    assert "symbolic links followed" in capsys.readouterr().err
    assert not os.path.lexists(tmp_path / "out")


def test_a_plan_that_is_there_is_replaced_when_asked_and_what_else_is_there_stays(tmp_path):
    plan = with_a_plan(copied("pram", tmp_path)).parent / "pram"
    (tmp_path / "out" / "notes.txt").write_text("mine")
    assert run(["mend", str(plan), str(tmp_path / "out"), "--replace"]) == 0
    assert contents(tmp_path / "out") == {
        **{name: content for name, content in contents(plan).items() if name not in ("README.md", "lines.toml")},
        "notes.txt": b"mine",
    }


def test_a_sound_plan_is_copied_byte_for_byte(tmp_path, capsys):
    assert run(["mend", str(HULLS / "skiff"), str(tmp_path / "out")]) == 0
    assert "no findings mended, no errors and no warnings left" in capsys.readouterr().out
    for name, content in contents(tmp_path / "out").items():
        assert content == (HULLS / "skiff" / name).read_bytes()
