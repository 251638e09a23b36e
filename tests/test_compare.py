"""`compare`: what is different between two states of a plan, and only that."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from replanning import (
    change_drawings,
    change_plan,
    drawn_in_inches,
    half_drawn,
    moved_along,
    planned_in_inches,
    seen_from_the_other_side,
    shuffled,
)
from slips_of_drawings import outline_of
from spoiling import HULLS, copied
from test_json_report import VALID

from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.revision.revision import Revision, revision
from scrieve.viewer.verbs.commands import run

PRAM = HULLS / "pram"


def compared(plan: Path) -> Revision:
    return revision(read_plan(PRAM), read_plan(plan))


def reshaped(plan: Path, frame: str, label: str, which, by: tuple[float, float], drawing: str = "") -> None:
    """Moves the corners of an outline that `which` picks, (u, v, by) of the drawing."""

    def change(document) -> None:
        line = outline_of(document, label)
        rows = [(u + by[0], v + by[1], b) if which(u, v) else (u, v, b) for u, v, b in line.get_points("xyb")]
        assert rows != line.get_points("xyb")
        line.set_points(rows, format="xyb")

    change_drawings(plan, change, drawing or f"frames/{frame}.dxf")


def always(u: float, v: float) -> bool:
    return True


def legs_foot(u: float, v: float) -> bool:
    return v < 40


ALIKE = {
    "as it is": lambda plan: None,
    "in inches": drawn_in_inches,
    "planned in inches": planned_in_inches,
    "half drawn": half_drawn,
    "seen from the other side": seen_from_the_other_side,
    "moved along": lambda plan: moved_along(plan, 500.0),
    "shuffled": lambda plan: shuffled(plan, 3),
}


@pytest.mark.parametrize("how", ALIKE)
def test_of_an_equal_boat_nothing_is_to_be_cut_anew(how, tmp_path):
    plan = copied("pram", tmp_path)
    ALIKE[how](plan)
    found = compared(plan)
    assert (found.parts, found.sheets, found.drilled, found.came, found.went) == ((), (), (), (), ())
    assert not found.is_cut_anew
    assert bool(found.keys) == (how not in ("as it is", "in inches", "shuffled"))


@pytest.mark.parametrize(("by", "times"), [(0.04, 0), (0.12, 1), (4.0, 1)])
def test_a_leg_longer_by_more_than_the_limit_is_changed_by_so_much_at_its_foot(by, times, tmp_path):
    plan = copied("pram", tmp_path)
    reshaped(plan, "2", "port leg inner", legs_foot, (0.0, -by))
    found = compared(plan)
    assert [part.name for part in found.parts] == ["F2 port leg inner"] * times
    assert found.is_cut_anew == bool(times)
    for part in found.parts:
        assert part.change == "changed"
        assert part.off == pytest.approx(by, abs=0.05)
        assert part.at is not None
        assert by < 1.0 or part.at[2] < 40.0
    assert found.went == ()


def test_a_part_that_is_moved_is_cut_as_before(tmp_path):
    plan = copied("pram", tmp_path)
    reshaped(plan, "2", "floor", always, (0.0, 3.0))
    found = compared(plan)
    (part,) = found.parts
    assert (part.name, part.change, part.cut) == ("F2 floor", "moved", False)
    assert part.moved == pytest.approx(3.0)
    assert not found.is_cut_anew
    assert found.came


def test_a_part_that_is_moved_and_cut_otherwise_is_told_by_its_form(tmp_path):
    plan = copied("pram", tmp_path)
    reshaped(plan, "2", "port leg inner", always, (0.0, 30.0))
    reshaped(plan, "2", "port leg inner", lambda u, v: v < 70, (0.0, -2.0))
    (part,) = compared(plan).parts
    assert (part.change, part.off) == ("changed", pytest.approx(2.0, abs=0.01))


def test_parts_new_and_gone_and_a_sheets_thickness(tmp_path):
    plan = copied("pram", tmp_path)

    def without_it(document) -> None:
        document.modelspace().delete_entity(outline_of(document, "port chine gusset"))

    change_drawings(plan, without_it, "frames/2.dxf")
    names = ["F2 port chine gusset, aft", "F2 port chine gusset, forward"]
    found = compared(plan)
    assert [(part.name, part.change) for part in found.parts] == [(name, "gone") for name in names]
    back = revision(read_plan(plan), read_plan(PRAM))
    assert [(part.name, part.change) for part in back.parts] == [(name, "new") for name in names]
    assert back.is_cut_anew
    assert [(each.check, each.frame) for each in found.came] == [(each.check, each.frame) for each in back.went]

    (tmp_path / "thick").mkdir()
    thick = copied("pram", tmp_path / "thick")
    change_plan(thick, lambda content: content["stock"]["ply6"].update(measured=6.4))
    found = compared(thick)
    assert {part.otherwise for part in found.parts} == {("6.40 mm thick instead of 6.00 mm",)}
    assert all("gusset" in part.name for part in found.parts)
    assert [(each.key, each.old, each.new) for each in found.keys] == [("stock.ply6.measured", "", "6.4")]
    assert all("gusset" in part for sheet in found.sheets for part in sheet.parts)


def test_a_sheet_that_was_not_as_drawn_and_now_is_has_to_be_cut_again(tmp_path):
    plan = copied("skiff", tmp_path)
    texts = {file: file.read_text(encoding="utf-8") for file in (plan / "sheets").glob("*.dxf")}
    (sheet,) = (file for file, text in texts.items() if "F7 port leg outer\n" in text)

    def lengthen(document) -> None:
        line = outline_of(document, "F7 port leg outer")
        rows = line.get_points("xyb")
        low = min(v for _, v, _ in rows)
        line.set_points([(u, v - 1.0 if v - low < 1e-3 else v, b) for u, v, b in rows], format="xyb")

    change_drawings(plan, lengthen, f"sheets/{sheet.name}")
    found = revision(read_plan(plan), read_plan(HULLS / "skiff"))
    assert found.parts == ()
    assert [(each.sheet, each.parts) for each in found.sheets] == [(f"sheets/{sheet.name}", ("F7 port leg outer",))]
    assert found.is_cut_anew
    assert [each.check for each in found.went] == ["cut-sheet"]


def test_holes_that_are_elsewhere(tmp_path):
    plan = copied("pram", tmp_path)

    def drill(document) -> None:
        circles = sorted(document.modelspace().query('CIRCLE[layer=="SCREWS FWD"]'), key=lambda c: c.dxf.center.x)
        circles[0].translate(0.0, 3.0, 0)
        document.modelspace().delete_entity(circles[1])

    change_drawings(plan, drill, "frames/2.dxf")
    (each,) = compared(plan).drilled
    assert (each.frame, each.kind, each.moved, each.new, each.gone) == ("2", "forward screw", 1, 0, 1)
    assert each.off == pytest.approx(3.0)


def test_it_ends_by_what_was_cut_and_says_it_as_text_and_json(tmp_path, capsys):
    assert run(["compare", "--help"]) == 0
    assert "1 if something is to be cut anew" in " ".join(capsys.readouterr().out.split())
    plan = copied("pram", tmp_path)
    assert run(["compare", str(PRAM), str(plan)]) == 0
    assert f"{PRAM} to {plan}: all that was cut is as it was" in capsys.readouterr().out
    reshaped(plan, "2", "port leg inner", legs_foot, (0.0, -4.0))
    assert run(["compare", str(PRAM), str(plan)]) == 1
    said = capsys.readouterr().out
    assert said.startswith(f"{PRAM} to {plan}: 1 part changed")
    assert "F2 port leg inner  differs by 4 mm at x " in said
    assert run(["compare", str(PRAM), str(plan), "--format", "json", "--output", str(tmp_path / "c.json")]) == 1
    report = json.loads((tmp_path / "c.json").read_text(encoding="utf-8"))
    assert report["cut_anew"] is True
    assert [(part["name"], part["change"], part["off"]) for part in report["parts"]] == [
        ("F2 port leg inner", "changed", 4.0)
    ]
    counts = dict.fromkeys(("error", "warning", "note", "waived", "held"), 0)
    VALID.validate({"version": 1, "plan": "new", "counts": counts, "findings": [*report["came"], *report["went"]]})


@pytest.mark.parametrize(
    "words",
    [
        ["nowhere", str(PRAM)],
        [str(PRAM), "nowhere"],
        [str(PRAM), str(PRAM), "--output", str(PRAM / "plan.toml"), "--replace"],
    ],
)
def test_what_cannot_be_compared_ends_2_with_a_line(words, capsys):
    before = (PRAM / "plan.toml").read_bytes()
    assert run(["compare", *words]) == 2
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)
    assert (PRAM / "plan.toml").read_bytes() == before


def with_two_drawings_exchanged(content):
    for number, frame in zip("1324", content["frames"], strict=True):
        frame["drawing"] = f"frames/{number}.dxf"


@pytest.mark.parametrize("how", ["files", "keys"])
def test_drawings_of_two_frames_exchanged_are_one_difference(how, tmp_path, capsys):
    plan = copied("pram", tmp_path)
    if how == "files":
        one, other = (plan / "frames" / name for name in ("2.dxf", "3.dxf"))
        (aside := plan / "aside").write_bytes(one.read_bytes())
        one.write_bytes(other.read_bytes())
        other.write_bytes(aside.read_bytes())
    else:
        change_plan(plan, with_two_drawings_exchanged)
    found = compared(plan)
    assert found.exchanged == (("2", "3"),)
    assert {part.frame for part in found.parts} == {"2", "3"}
    assert found.sheets == ()
    assert found.is_cut_anew
    assert run(["compare", str(PRAM), str(plan)]) == 1
    said = capsys.readouterr().out
    assert said.splitlines()[0].endswith(": the drawings of F2 and F3 are exchanged")
    assert "Parts" not in said and "Holes" not in said
    assert run(["compare", str(PRAM), str(plan), "--format", "json"]) == 1
    assert json.loads(capsys.readouterr().out)["exchanged"] == [["2", "3"]]


def test_a_part_that_is_changed_besides_is_told(tmp_path):
    plan = copied("pram", tmp_path)
    change_plan(plan, with_two_drawings_exchanged)
    reshaped(plan, "2", "port leg inner", legs_foot, (0.0, -4.0))
    assert compared(plan).exchanged == ()
