"""Origins forgotten, extents left out, too narrow or counted from elsewhere: each says what is the matter."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from styles.habit import Style
from styles.sheet import drawn

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.errors import PlanError
from scrieve.shared.findings import Finding, Level

TOGETHER = Style(together=True, frames=3, legs="", beams="none")
NO_LINES = Style(legs="", changes={'"REFERENCE" = { makes = "reference" }\n': ""})


def told(folder: Path, style: Style, edit: Callable[[str], str]) -> list[Finding]:
    plan = drawn(folder, style) / "plan.toml"
    before = plan.read_text()
    assert edit(before) != before
    plan.write_text(edit(before))
    found = review(assemble(read_plan(folder)), only=["outline", "station", "joint-gap", "notch-slack"])
    return [finding for finding in found if finding.level is not Level.NOTE]


def test_an_origin_that_is_forgotten_says_where_parts_are_drawn(tmp_path):
    (finding,) = told(tmp_path, TOGETHER, lambda plan: plan.replace("origin = [3600.0, 0.0]\n", ""))
    assert finding.frame == "2"
    assert "is what lies from [-800, " in finding.message and "parts are drawn from [1310, 200] to " in finding.message
    assert finding.cure.startswith("set origin to where its centreline meets the datum line")


@pytest.mark.parametrize("count", [1, 3])
def test_frames_without_an_extent_take_what_lies_nearest_their_origins(count, tmp_path):
    found = told(tmp_path, TOGETHER, lambda plan: re.sub(r"extent = .*\n", "", plan, count=count))
    assert [finding.frame for finding in found] == [str(n + 1) for n in range(count)]
    assert all("has no extent, and frames/all.dxf holds frames about the origins of F" in f.message for f in found)
    extent = re.search(r"extent = \[.*?\]", found[0].cure)[0]
    whole = told(tmp_path / "cured", TOGETHER, lambda plan: re.sub(r"extent = .*", extent, plan, count=1))
    assert whole == []
    for finding in found:
        (edit,) = finding.edits
        assert f"extent = {edit.value}" in finding.cure and edit.key[-1] == "extent"


def test_two_frames_of_one_drawing_with_their_datum_apart_want_no_extent(tmp_path):
    plan = drawn(tmp_path, Style(legs="")) / "plan.toml"
    text = plan.read_text().replace('"frames/2.dxf"\norigin = [0.0, 0.0]', '"frames/4.dxf"\norigin = [0.0, -20.0]')
    plan.write_text(text)
    found = review(assemble(read_plan(tmp_path)), only=["outline"])
    assert not any("has no extent" in finding.message for finding in found)


def test_what_an_extent_cuts_is_told_in_one_with_the_extent_that_holds_it(tmp_path):
    found = told(tmp_path, TOGETHER, lambda plan: plan.replace("extent = [-800.0", "extent = [-400.0", 1))
    cut = [finding for finding in found if "lie across the edge of the frame's extent" in finding.message]
    assert len(cut) == 1 and cut[0].message.startswith("2 outlines on layers CORE and GUSSETS")
    extent = re.search(r"extent = \[.*?\]", cut[0].cure)[0]
    (edit,) = cut[0].edits
    assert extent == f"extent = {edit.value}" and edit.key == ("frames", 0, "extent")
    assert told(tmp_path / "cured", TOGETHER, lambda plan: re.sub(r"extent = .*", extent, plan, count=1)) == []


def test_an_extent_counted_from_the_drawings_zero_is_refused(tmp_path):
    with pytest.raises(PlanError, match="it counts from `origin`, which is on it"):
        told(tmp_path, TOGETHER, lambda plan: plan.replace("extent = [-800.0", "extent = [100.0", 1))


@pytest.mark.parametrize("off", [30.0, 900.0, -2.0])
def test_a_frame_that_is_the_same_on_both_sides_of_another_line_is_off_its_centreline(off, tmp_path):
    found = told(tmp_path, NO_LINES, lambda plan: plan.replace("origin = [0.0, 0.0]", f"origin = [{off}, 0.0]", 1))
    (finding,) = [finding for finding in found if finding.check == "station"]
    assert finding.message.startswith(f"the parts of frame 1 lie {abs(off):.2f} mm off its centreline")
    assert "; u 0 is in their middle" in finding.cure
    assert finding.measured == pytest.approx(abs(off))


def test_labels_on_a_layer_that_is_not_named_are_one_finding_a_frame(tmp_path):
    style = Style(legs="", frames=3, beams="none")
    found = told(tmp_path, style, lambda plan: plan.replace('"LABELS" = { makes = "label" }\n', ""))
    assert [finding.message for finding in found] == [
        "none of the 5 outlines on layers of parts has a label: CORE and GUSSETS"
    ] * 3
    assert all("not named are: LABELS" in finding.cure for finding in found)
