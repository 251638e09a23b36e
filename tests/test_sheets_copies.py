"""A cut sheet that is in the plan twice: one error, unless it is wanted twice."""

from __future__ import annotations

import shutil
from dataclasses import replace

import pytest
from making import part
from replanning import change_plan
from sheeted import Drawn, boat, laid, sheet, side
from spoiling import copied, findings, wrong

from scrieve.model.checks.cut_sheet import CHECK
from scrieve.shared.findings import Level


def errors(built):
    return [finding for finding in CHECK.run(built) if finding.level is Level.ERROR]


def one_sheet(text: str = ""):
    return sheet([Drawn(outline=laid(side(), (50, 50)), text=text)])


@pytest.mark.parametrize("hull", ["skiff", "pram"])
def test_a_sheet_named_twice_is_one_error(tmp_path, hull):
    plan = copied(hull, tmp_path)
    change_plan(plan, lambda content: content["cut_sheets"].append(dict(content["cut_sheets"][0])))
    (finding,) = wrong(findings(plan))
    assert finding.check == "cut-sheet"
    name = "sheets/ply12-1.dxf" if hull == "skiff" else finding.message.split()[3]
    assert finding.message.startswith(f"the cut sheet {name} is named twice under [[cut_sheets]]: ")
    assert finding.source.file == "plan.toml"
    assert finding.source.line > 0


def test_a_sheet_named_three_times_is_two_errors(tmp_path):
    plan = copied("pram", tmp_path)
    change_plan(plan, lambda content: content["cut_sheets"].extend([dict(content["cut_sheets"][0])] * 2))
    assert ["named twice" in finding.message for finding in wrong(findings(plan))] == [True, True]


def test_a_sheet_under_two_names_is_one_error(tmp_path):
    plan = copied("pram", tmp_path)

    def add(content):
        first = content["cut_sheets"][0]
        shutil.copy(plan / first["drawing"], plan / "sheets" / "old.dxf")
        content["cut_sheets"].append({**first, "drawing": "sheets/old.dxf"})

    change_plan(plan, add)
    (finding,) = wrong(findings(plan))
    assert "holds the same as" in finding.message


def test_once_of_the_right_stock_and_once_of_another_the_right_one_stays():
    stocks = ["ply18", "ply9"]
    for order in (stocks, stocks[::-1]):
        (finding,) = errors(boat([part("port side", side())], [replace(one_sheet(), stock=stock) for stock in order]))
        assert finding.message.endswith("is named twice under [[cut_sheets]], of ply18 and of ply9")


def test_a_sheet_that_is_to_be_cut_twice_is_sound():
    parts = [part("port side", side()), part("starboard side", side())]
    assert errors(boat(parts, [one_sheet(), one_sheet()])) == []


def test_a_part_too_many_on_another_sheet_is_still_told():
    sheets = [one_sheet(), one_sheet(), sheet([Drawn(outline=laid(side(300.0), (50, 50)))])]
    messages = sorted(finding.message for finding in errors(boat([part("port side", side())], sheets)))
    assert len(messages) == 2
    assert "is of no part" in messages[0]
    assert "is named twice" in messages[1]
