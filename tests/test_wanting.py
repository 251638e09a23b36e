"""Frames without core, without gussets, without anything: one error for each, and nothing that only follows from it."""

from __future__ import annotations

from dataclasses import replace
from itertools import cycle

import making
import pytest
from faults import FAULTS
from planting import Fault, planted
from replanning import change_drawings, change_plan
from spoiling import HULLS, copied, findings, notes, on_layer, without, wrong

from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.proposals.coverage_notes import coverage_notes
from scrieve.shared.findings import Level, Source

FRAMES = [("skiff", "1"), ("skiff", "3"), ("skiff", "7"), ("pram", "1"), ("pram", "2")]
GUSSETS = ("GUSSETS", "GUSSETS FWD")


@pytest.mark.parametrize(("boat", "frame"), FRAMES)
@pytest.mark.parametrize("layers", [("CORE",), ("CORE", "BATTENS"), ()], ids=["core", "core and battens", "all"])
def test_a_frame_without_core_is_one_error(tmp_path, boat, frame, layers):
    found = findings(without(copied(boat, tmp_path), on_layer(*layers), [frame]))
    (finding,) = wrong(found)
    assert (finding.check, finding.frame) == ("outline", frame)
    assert finding.message.startswith(f"frame {frame} has no core part: its drawing frames/{frame}.dxf holds no closed")
    (note,) = [note for note in notes(found) if note.startswith("not looked at")]
    assert note.startswith(f"not looked at, as F{frame} has no core part: F{frame} itself, what is drawn for it on the")
    assert ("the keel" in note) == (layers != ("CORE",))


def test_two_frames_without_anything_are_two_errors(tmp_path):
    found = wrong(findings(without(copied("pram", tmp_path), on_layer(), ["1", "2"])))
    assert [(finding.check, finding.frame) for finding in found] == [("outline", "1"), ("outline", "2")]


@pytest.mark.parametrize("boat", ["skiff", "pram"])
def test_a_layer_of_the_core_that_the_plan_does_not_name_is_one_error(tmp_path, boat):
    plan = copied(boat, tmp_path)
    change_plan(plan, lambda content: content["layers"].pop("CORE"))
    (finding,) = wrong(findings(plan))
    assert (finding.check, finding.frame) == ("outline", "")
    assert finding.message.startswith("no frame has a core part")
    assert finding.cure.endswith("(not named there, but drawn on: CORE)")


@pytest.mark.parametrize(("boat", "frame"), [("skiff", "2"), ("skiff", "3"), ("pram", "2")])
def test_a_frame_without_gussets_is_one_error(tmp_path, boat, frame):
    found = findings(without(copied(boat, tmp_path), on_layer(*GUSSETS), [frame]))
    (finding,) = wrong(found)
    assert (finding.check, finding.frame) == ("outline", frame)
    assert finding.message.startswith(f"F{frame} has no gusset: its ")
    assert finding.message.endswith(" screws have nothing to hold")
    assert finding.cure == "draw the gussets on layer GUSSETS or GUSSETS FWD"
    assert any(note.startswith(f"not looked at, as F{frame} has no gusset") for note in notes(found))


@pytest.mark.parametrize("boat", ["skiff", "pram"])
def test_a_layer_of_gussets_that_the_plan_does_not_name_is_one_error(tmp_path, boat):
    plan = copied(boat, tmp_path)
    change_plan(plan, lambda content: content["layers"].pop("GUSSETS"))
    (finding,) = wrong(findings(plan))
    assert (finding.check, finding.frame) == ("outline", "")
    assert finding.message.startswith("no frame has a gusset over its joints: ")


def test_one_gusset_that_is_missing_is_told_by_the_checks_of_joints_and_screws(tmp_path):
    plan = copied("skiff", tmp_path)
    drawn = iter(range(1000))
    without(plan, lambda entity: entity.dxf.layer == "GUSSETS" and next(drawn) == 0, ["3"])
    checks = {finding.check for finding in wrong(findings(plan))}
    assert "joint-bare" in checks
    assert "screw-bite" in checks


def test_joints_that_are_waived_are_left_to_their_check(tmp_path):
    plan = without(copied("skiff", tmp_path), on_layer(*GUSSETS, "SCREWS FWD", "SCREWS AFT"), ["3"])
    waiver = {"check": "joint-bare", "where": "F3", "reason": "these joints are scarfed"}
    change_plan(plan, lambda content: content.setdefault("waivers", []).append(waiver))
    assert not any("has no gusset" in finding.message for finding in findings(plan))


OTHERS = [
    fault
    for fault in FAULTS
    if fault.check in ("screw-bite", "notch-slack", "leg-bottom", "outline", "joint-bare", "notch-missing")
    and fault.frame in ("5", "6", "7")
]


@pytest.mark.parametrize(
    ("fault", "layers"),
    list(zip(OTHERS, cycle([("CORE",), (), GUSSETS]), strict=False)),
    ids=lambda given: given.did if isinstance(given, Fault) else ", ".join(given) or "all",
)
def test_a_fault_of_another_frame_is_told_beside_it(tmp_path, fault, layers):
    plan = without(planted(HULLS / "skiff", tmp_path / "skiff", (fault,)), on_layer(*layers), ["3"])
    found = findings(plan)
    told = {(f.frame, f.check, f.parts) for f in found if f.level == "error"}
    given = {(fault.frame, fault.check, parts) for parts, _ in fault.gives}
    assert given <= {(f.frame, f.check, f.parts) for f in found}
    assert told - given == {("3", "outline", ())}


def test_a_part_of_another_frame_that_is_on_no_cut_sheet_is_told_beside_it(tmp_path):
    (fault,) = [fault for fault in FAULTS if fault.on_sheets and fault.frame == "5"]
    plan = without(planted(HULLS / "skiff", tmp_path / "skiff", (fault,)), on_layer("CORE"), ["3"])
    told = [(finding.frame, finding.check) for finding in wrong(findings(plan))]
    assert sorted(told) == [("3", "outline"), ("5", "cut-sheet")]


def test_legs_on_a_layer_without_their_role_are_told_once(tmp_path):
    plan = copied("skiff", tmp_path)
    change_plan(plan, lambda content: content["layers"]["LEG OUTER"].pop("role"))
    told = [finding for finding in findings(plan) if "role" in finding.message]
    assert [(finding.check, finding.level) for finding in told] == [("outline", "error")]
    assert told[0].cure == 'add role = "leg" to the layer they are on (LEG OUTER)'
    assert not [finding for finding in findings(copied("pram", tmp_path)) if "role" in finding.message]


@pytest.mark.parametrize("frame", ["1", "3", "4", "7"])
def test_battens_that_run_off_in_a_frame_left_aside_are_not_asked_of(tmp_path, frame):
    plan = without(copied("skiff", tmp_path), on_layer("CORE"), [frame])
    index = int(frame) - 1
    change_plan(plan, lambda content: content["frames"][index].update(origin=[60, 30]))
    checks = {each.check for each in wrong(findings(plan)) if each.frame == frame}
    assert "outline" in checks and "fair" not in checks


def test_a_half_drawn_on_the_other_side_is_not_told_to_have_no_core(tmp_path):
    """Seen from aft port is at negative u: what is left of the frame is the starboard half, and mirror = true."""
    plan = copied("pram", tmp_path)
    parts = on_layer("CORE")

    def reaches_to_port(entity):
        return parts(entity) and entity.dxftype() == "LWPOLYLINE" and min(u for u, *_ in entity.get_points("xy")) < 0.0

    without(plan, reaches_to_port, ["2"])
    change_plan(plan, lambda content: content["frames"][1].update(mirror=True))
    said = [finding.message for finding in findings(plan)]
    assert any("though only the port half is drawn" in message for message in said)
    assert not any("has no core part: its" in message for message in said)


def test_a_core_whose_lines_cannot_be_told_apart_is_not_told_to_be_elsewhere(tmp_path):
    plan = copied("pram", tmp_path)

    def cross_out(doc):
        for entity in doc.modelspace().query("LWPOLYLINE"):
            if entity.dxf.layer == "CORE":
                first, second, *_ = entity.get_points("xy")
                entity.closed = False
                for at in (first, second):
                    doc.modelspace().add_line(at, (at[0] + 7, at[1] + 9), dxfattribs={"layer": "CORE"})

    change_drawings(plan, cross_out, "frames/2.dxf")
    change_plan(plan, lambda content: content["frames"][1].update(extent=[-2000, -2000, 2000, 2000]))
    said = [finding.message for finding in wrong(findings(plan)) if finding.frame == "2"]
    assert said and not any("has no core part" in message for message in said)


@pytest.mark.parametrize(
    ("role", "label", "layers"), [("gusset", "chine gusset", "GUSSETS"), ("leg", "port leg", "LEG")]
)
def test_a_part_among_others_of_its_layer_is_to_go_to_that_of_its_role(role, label, layers):
    plan = read_plan(HULLS / "skiff")

    def part(name, layer="CORE"):
        made = making.part(name, making.rectangle(0, 0, 100, 100))
        return replace(made, source=Source(file="5.dxf", handle=name, layer=layer))

    def told(*parts):
        return [note for note in coverage_notes(plan, [making.frame(parts)]) if note.level is Level.ERROR]

    (error,) = told(part("floor"), part("beam"), part(label))
    assert error.message.startswith(f'F5 {label} is named a {role}, but its layer CORE has no role = "{role}"')
    assert layers in error.cure and not error.edits
    (alone,) = told(part("floor"), part(label, "CHEEKS"))
    assert alone.cure == f'add role = "{role}" to the layer they are on (CHEEKS)'
    assert told(part("floor"), part("beam")) == []
