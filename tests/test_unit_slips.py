"""A drawing, or a plan, that is not in the unit it says: one error, and nothing that only follows from it."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from ezdxf.math import Matrix44
from faults import FAULTS
from planting import planted
from replanning import change_drawings, change_plan, drawn_in_inches, planned_in_inches
from spoiling import HULLS, copied, findings, frames_of, on_layer, saying, with_header, without, wrong
from styles.habit import Style
from styles.sheet import drawn

INCH, METRE, MICROMETRE = 1, 6, 13  # $INSUNITS
SCREWS = {"skiff": "3/4 in", "pram": "1/2 in"}

FRAMES = [("skiff", "1"), ("skiff", "3"), ("skiff", "7"), ("pram", "1"), ("pram", "3"), ("pram", "4")]


def only(plan: Path):
    (finding,) = wrong(findings(plan))
    return finding


@pytest.mark.parametrize(("boat", "frame"), FRAMES)
def test_one_drawing_that_says_inches_over_millimetres_is_one_error(tmp_path, boat, frame):
    finding = only(with_header(copied(boat, tmp_path), INCH, [frame]))
    assert (finding.check, finding.frame, finding.measured) == ("outline", frame, pytest.approx(25.4))
    assert finding.message == (
        f"the drawing of F{frame} comes out 25.4 times too large by its sections of battens: its units say inches, "
        "but its numbers look like millimetres; the other checks take them so"
    )
    assert finding.cure == "set the units of the drawing ($INSUNITS) to millimetres"
    assert finding.source.file == f"frames/{frame}.dxf"


@pytest.mark.parametrize(("boat", "frame"), FRAMES)
def test_so_it_is_where_no_section_of_a_batten_is_drawn(tmp_path, boat, frame):
    plan = copied(boat, tmp_path)
    without(plan, on_layer("BATTENS"), frames_of(plan))
    finding = only(with_header(plan, INCH, [frame]))
    assert (finding.check, finding.frame) == ("outline", frame)
    assert "25.4 times too large beside F" in finding.message


@pytest.mark.parametrize(("code", "off"), [(METRE, "1000 times too large"), (MICROMETRE, "1000 times too small")])
def test_other_units_than_inches(tmp_path, code, off):
    finding = only(with_header(copied("pram", tmp_path), code, ["2"]))
    assert finding.measured == pytest.approx(1000)
    assert f"comes out {off} by" in finding.message


def test_a_drawing_without_a_unit_of_its_own_in_other_numbers_than_the_plan(tmp_path):
    plan = with_header(copied("pram", tmp_path), 0, frames_of(HULLS / "pram"))
    _scale(plan, "3", 1 / 25.4)
    finding = only(plan)
    assert finding.frame == "3"
    assert "25.4 times too small" in finding.message
    assert (
        "it has no unit of its own and the plan says millimetres, but its numbers look like inches" in finding.message
    )


@pytest.mark.parametrize(
    "fault",
    [fault for fault in FAULTS if fault.check in ("screw-edge", "notch-foul", "proud", "fair", "bend", "leg-bottom")],
    ids=lambda fault: fault.did,
)
def test_a_fault_of_that_frame_or_another_is_told_beside_it(tmp_path, fault):
    plan = with_header(planted(HULLS / "skiff", tmp_path / "skiff", (fault,)), INCH, ["3"])
    found = findings(plan)
    told = {(f.frame, f.check, f.parts) for f in found if f.level == "error"}
    given = {(fault.frame, fault.check, parts) for parts, _ in fault.gives}
    assert given <= {(f.frame, f.check, f.parts) for f in found}
    assert told - given == {("3", "outline", ())}


@pytest.mark.parametrize("times", [1 / 8, 1 / 12, 1 / 25])
def test_a_small_frame_between_larger_ones_is_no_matter_of_units(tmp_path, times):
    plan = copied("pram", tmp_path)
    change_plan(plan, lambda content: content.pop("cut_sheets"))
    without(plan, on_layer("BATTENS"), frames_of(plan))
    _scale(plan, "2", times)
    assert all("units" not in finding.message for finding in findings(plan))


def test_a_small_frame_that_is_larger_on_the_cut_sheets_is_one(tmp_path):
    plan = copied("pram", tmp_path)
    without(plan, on_layer("BATTENS"), frames_of(plan))
    _scale(plan, "2", 1 / 25.4)
    assert "comes out 25.4 times too small beside the cut sheets: its units say millimetres" in only(plan).message


def test_all_drawings_off_alike_are_told_in_one(tmp_path):
    plan = copied("skiff", tmp_path)
    finding = only(with_header(plan, INCH, frames_of(plan)))
    assert (finding.check, finding.frame) == ("outline", "")
    assert finding.message.startswith("the drawings of F1, F2, F3, F4, F5, F6 and F7 come out 25.4 times too large")


def test_drawings_that_are_in_inches_and_say_so_are_sound(tmp_path):
    plan = copied("pram", tmp_path)
    drawn_in_inches(plan)
    assert not wrong(findings(plan))


def test_a_drawing_in_inches_that_says_so_among_others_in_millimetres_is_sound(tmp_path):
    plan = copied("pram", tmp_path)
    _scale(plan, "3", 1 / 25.4)
    with_header(plan, INCH, ["3"])
    without(plan, on_layer("BATTENS"), frames_of(plan))
    assert not wrong(findings(plan))


def test_a_section_that_is_drawn_ten_per_cent_too_large_is_no_matter_of_units(tmp_path):
    plan = copied("pram", tmp_path)
    change_plan(plan, lambda content: content["battens"]["keel"].update(section=[66, 22]))
    assert all("units" not in finding.message for finding in findings(plan))


# ---- a plan in another unit than its numbers


@pytest.mark.parametrize("boat", ["skiff", "pram"])
@pytest.mark.parametrize(("unit", "times"), [("in", 25.4), ("cm", 10.0)])
def test_a_plan_that_says_another_unit_over_millimetres_is_one_error(tmp_path, boat, unit, times):
    plan = saying(copied(boat, tmp_path), unit)
    found = findings(plan)
    (finding,) = wrong(found)
    assert (finding.check, finding.frame, finding.measured) == ("outline", "", pytest.approx(times))
    said = f'the plan says units = "{unit}", but its numbers look like millimetres: its battens come out '
    assert finding.message.startswith(f"{said}{times:g} times larger than the sections drawn in F1, ")
    assert finding.cure == 'set units = "mm", and check again'
    lines = (plan / "plan.toml").read_text(encoding="utf-8").splitlines()
    assert lines[finding.source.line - 1].startswith("units")
    assert len(found) == 1


@pytest.mark.parametrize("boat", ["skiff", "pram"])
def test_a_plan_in_inches_that_says_millimetres_is_one_error(tmp_path, boat):
    plan = saying(_in_inches(boat, tmp_path), "mm")
    (finding,) = findings(plan)
    assert finding.measured == pytest.approx(25.4)
    assert 'says units = "mm", but its numbers look like inches: its battens come out 25.4 times smaller' in (
        finding.message
    )
    assert finding.cure == 'set units = "in", and check again'


def test_so_it_is_where_the_drawings_leave_their_unit_to_the_plan(tmp_path):
    plan = saying(copied("skiff", tmp_path), "in")
    change_drawings(plan, _unitless)
    finding = only(plan)
    assert "its thinnest sheet stock comes out 229 mm thick" in finding.message


def test_a_plan_in_inches_that_says_so_is_sound(tmp_path):
    assert not wrong(findings(_in_inches("pram", tmp_path)))


def _in_inches(boat: str, folder: Path) -> Path:
    """A boat planned in inches, its screws by their length as they are sold."""
    plan = copied(boat, folder)
    planned_in_inches(plan)
    change_plan(plan, lambda content: content["screws"]["gusset"].update(length=SCREWS[boat]))
    return plan


def _unitless(drawing) -> None:
    drawing.header["$INSUNITS"] = 0


def _scale(plan: Path, frame: str, times: float) -> None:
    """Draws a frame larger or smaller."""
    file = plan / "frames" / f"{frame}.dxf"
    drawing = ezdxf.readfile(file)
    for entity in drawing.modelspace():
        entity.transform(Matrix44.scale(times, times, times))
    drawing.saveas(file)


@pytest.mark.parametrize(
    ("unit", "said", "times"), [("mm", "25.4 times too small", 25.4), ("ft", "12 times too large", 12)]
)
@pytest.mark.parametrize(("assumed", "sections"), [(False, True), (False, False), (True, True)])
def test_places_that_contradict_the_drawings_while_sections_are_quoted_in_their_own_unit(
    tmp_path, unit, said, times, assumed, sections
):
    style = Style(unit="in", unitless=assumed, sections=sections, changes={'units = "in"': f'units = "{unit}"'})
    (defect,) = wrong(findings(drawn(tmp_path, style)))
    assert f'the plan says units = "{unit}", but its numbers look like inches: its stations and rails are {said}' in (
        defect.message
    )
    assert defect.measured == pytest.approx(times)
    assert defect.cure == 'set units = "in", and check again'
