"""Cut sheets that are drawn in one file with frames, or with one another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest
from pocketed import box, write
from replanning import change_plan

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.errors import PlanError
from scrieve.shared.findings import Level

FRAME = [
    ("CORE", "floor", box(-400, 0, 400, 100)),
    ("CORE", "stem", box(-50, 100, 50, 300)),
    ("GUSSETS", "gusset", box(-30, 50, 30, 150)),
]
WOOD = [("CUT", "floor", box(2000, 0, 2800, 100)), ("CUT", "stem", box(2000, 150, 2200, 250))]
THIN = [("CUT", "gusset", box(3000, 0, 3100, 60))]
FRAMES, SHEET_12, SHEET_9 = [-500, -50, 500, 400], [1900, -50, 2900, 300], [2950, -50, 3300, 300]


def told(folder: Path, sheets: Sequence[Mapping[str, object]], *, extent=FRAMES, shapes=(*FRAME, *WOOD, *THIN)):
    """The errors and warnings on a frame and its sheets, all drawn in 5.dxf."""
    write(folder, shapes, frame={} if extent is None else {"extent": extent})
    change_plan(folder, lambda plan: plan.update(cut_sheets=[{"drawing": "5.dxf", **sheet} for sheet in sheets]))
    return [
        finding
        for finding in review(assemble(read_plan(folder)), only=["outline", "label", "cut-sheet", "joint-gap"])
        if finding.level is not Level.NOTE
    ]


@pytest.mark.parametrize("extent", [FRAMES, None])
def test_each_sheet_has_what_lies_in_its_extent_and_the_frame_all_else(tmp_path, extent):
    sheets = [{"stock": "ply12", "extent": SHEET_12}, {"stock": "ply9", "extent": SHEET_9}]
    assert told(tmp_path, sheets, extent=extent) == []


@pytest.mark.parametrize("extent", [FRAMES, None])
def test_what_is_wrong_on_one_of_them_is_found_there(tmp_path, extent):
    sheets = [{"stock": "ply9", "extent": SHEET_12}, {"stock": "ply9", "extent": SHEET_9}]
    (finding,) = told(tmp_path, sheets, extent=extent)
    assert "the cut sheet 5.dxf is of ply9, and all the 2 parts on it are of ply12" in finding.message


def test_without_an_extent_what_is_no_frames_is_the_sheet_and_the_cure_writes_it(tmp_path):
    (finding,) = told(tmp_path, [{"stock": "ply12"}], shapes=(*FRAME[:2], *WOOD))
    assert "5.dxf has no extent, and holds F5 too" in finding.message
    (edit,) = finding.edits
    assert edit.key == ("cut_sheets", 0, "extent") and f"extent = {edit.value}" in finding.cure
    cured = tmp_path / "cured"
    cured.mkdir()
    extent = [float(each) for each in edit.value.strip("[]").split(",")]
    assert told(cured, [{"stock": "ply12", "extent": extent}], shapes=(*FRAME[:2], *WOOD)) == []


@pytest.mark.parametrize("extent", [None, FRAMES])
def test_where_it_cannot_be_told_one_finding_says_so_and_no_sheet_is_looked_at(tmp_path, extent):
    """Of two that share a drawing, one within the other, or with nothing besides the frame."""
    shapes = FRAME if extent else (*FRAME, *WOOD, *THIN)
    found = [
        f for f in told(tmp_path, [{"stock": "ply12"}], extent=extent, shapes=shapes) if f.source.file == "plan.toml"
    ]
    (finding,) = found
    assert "what of it is the sheet cannot be told, and no cut sheet is looked at" in finding.message


def test_what_lies_across_the_edge_of_an_extent_is_told(tmp_path):
    sheets = [{"stock": "ply12", "extent": [1900, -50, 2900, 200]}, {"stock": "ply9", "extent": SHEET_9}]
    messages = [str(finding.message) for finding in told(tmp_path, sheets)]
    assert any("an outline lies in 5.dxf across the edge of the extent of a cut sheet of ply12" in m for m in messages)
    assert any("F5 stem is on no cut sheet" in message for message in messages)


@pytest.mark.parametrize("extent", [[0, 0, 0, 100], [0, 0, 100], [10, 0, 5, 100]])
def test_an_extent_that_is_no_window_is_refused(tmp_path, extent):
    with pytest.raises(PlanError, match=r"cut_sheets\[0\].extent"):
        told(tmp_path, [{"stock": "ply12", "extent": extent}])
