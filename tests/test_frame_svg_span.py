"""What findings measure, found again as two points: the length between them is the number of the finding."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from faults import FAULTS, SOUND
from making import assembly, dowel, frame, part, rails, rectangle, screw
from planting import planted

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding, Level
from scrieve.viewer.paper.span import AGREES, span_of

NO_LENGTH = {"station", "outline", "cut-sheet", "way-in", "dowel-hold", "notch-missing", "screw-count", "bend"}
"""Checks whose findings are about no length in the plane of a frame."""

NOT_BETWEEN_TWO_POINTS = {"corner", "driver"}
"""A radius; how wide a way is clear."""


@pytest.fixture(scope="module")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> tuple[Assembly, tuple[Finding, ...]]:
    """The skiff with every fault there is."""
    folder: Path = tmp_path_factory.mktemp("faulty") / "skiff"
    planted(SOUND, folder, FAULTS)
    built = assemble(read_plan(folder))
    return built, review(built)


def test_every_length_that_the_checks_find_can_be_drawn(faulty):
    built, findings = faulty
    drawn: Counter[str] = Counter()
    for finding in findings:
        if finding.level is Level.NOTE or finding.measured is None or finding.check in NO_LENGTH:
            continue
        span = span_of(finding, built)
        if finding.check in NOT_BETWEEN_TWO_POINTS:
            assert span is None
            continue
        assert span is not None, finding.message
        drawn[finding.check] += 1
        assert span.length == pytest.approx(abs(finding.measured), abs=1e-12)
        assert np.linalg.norm(np.subtract(span.end, span.start)) == pytest.approx(span.length, abs=AGREES)
    assert {"foul", "joint-gap", "notch-foul", "notch-slack", "screw-foul", "screw-edge", "screw-bite"} <= set(drawn)
    assert {"leg-bottom", "leg-side", "proud", "gusset-lap", "joint-bare", "dowel", "mirror"} <= set(drawn)


def test_what_is_drawn_is_at_the_place_of_the_finding(faulty):
    built, findings = faulty
    for finding in findings:
        span = span_of(finding, built)
        if span is not None:
            own = next(f for f in built.frames if f.number == finding.frame)
            place = own.placement.to_frame([finding.at])[0]
            middle = np.mean([span.start, span.end], axis=0)
            # of a dowel the place is its middle, 5 mm from its rim
            assert np.linalg.norm(middle - place) <= span.length + 5.0, finding.message


def made(check: str, parts: tuple[str, ...], at: tuple[float, float, float], measured: float | None) -> Finding:
    """A finding on frame 5 at (y, v, w), as it stands at station 1000."""
    y, v, w = at
    return Finding(
        check=check,
        level=Level.ERROR,
        message="",
        frame="5",
        parts=parts,
        at=(1000.0 + w, y, v),
        measured=measured,
        unit="mm" if measured is not None else "",
    )


def test_a_joint_is_measured_straight_across_it():
    built = assembly([frame([part("floor", rectangle(0, 0, 100, 50)), part("side", rectangle(100.8, 0, 160, 50))])])
    span = span_of(made("joint-gap", ("F5 floor", "F5 side"), (100.4, 25, 9), 0.8), built)
    assert sorted([span.start, span.end]) == [(100.0, 25.0, 9.0), (pytest.approx(100.8), 25.0, 9.0)]
    assert span.across


def test_an_overlap_is_measured_the_narrow_way():
    pieces = [
        part("gusset", rectangle(0, 0, 100, 50), face="forward"),
        part("knee", rectangle(96, -20, 160, 80), face="forward"),
    ]
    span = span_of(made("foul", ("F5 gusset", "F5 knee"), (98, 25, 27), 4.0), assembly([frame(pieces)]))
    assert sorted(round(end[0], 4) for end in (span.start, span.end)) == [96.0, 100.0]
    assert span.start[1] == pytest.approx(span.end[1])


def test_plates_of_two_faces_that_meet_in_depth_are_measured_along_the_normal():
    pieces = [
        part("side", rectangle(0, 0, 100, 50)),
        part("plate", rectangle(0, 0, 100, 50), face="forward", core=15.0),
    ]
    span = span_of(made("foul", ("F5 plate", "F5 side"), (50, 25, 16.5), 3.0), assembly([frame(pieces)]))
    assert not span.across
    assert sorted((span.start[2], span.end[2])) == [15.0, 18.0]


def test_a_screw_that_comes_through_is_measured_from_the_face_to_its_tip():
    side = part("side", rectangle(0, 0, 100, 50), thickness=12.0)
    one = screw([side], (50, 25), core=12.0)
    built = assembly([frame([side], screws=[one], core=12.0)])
    through = -one.left_beyond
    span = span_of(made("screw-bite", (one.name, "F5 side"), (50, 25, one.tip), through), built)
    assert {span.start[2], span.end[2]} == {0.0, one.tip} and not span.across


def test_a_screw_is_measured_from_its_axis_to_the_edge():
    side = part("side", rectangle(0, 0, 100, 50))
    one = screw([side], (3, 25))
    span = span_of(made("screw-edge", (one.name, "F5 side"), (3, 25, 9), 3.0), assembly([frame([side], screws=[one])]))
    assert {span.start[:2], span.end[:2]} == {(3.0, 25.0), (0.0, 25.0)}


def test_a_leg_is_measured_to_the_rail():
    leg = part("leg", rectangle(280, 4, 320, 300), role="leg")
    built = assembly([frame([leg])], strongback=rails())
    down = span_of(made("leg-bottom", ("F5 leg",), (300, 4, 9), 4.0), built)
    assert {down.start[1], down.end[1]} == {4.0, 0.0}
    aside = span_of(made("leg-side", ("F5 leg",), (277, 40, 9), 3.0), built)
    assert {aside.start[0], aside.end[0]} == {277.0, 280.0}


def test_holes_of_two_frames_are_measured_from_rim_to_rim():
    frames = [
        frame([part("side", rectangle(0, 0, 100, 50), frame=number)], number=number, dowels=[peg], station=station)
        for number, peg, station in (
            ("5", dowel((110, 25)), 1000.0),
            ("6", dowel((128, 25), frame="6"), 2000.0),
        )
    ]
    span = span_of(made("board", ("F5 dowel 1", "F6 dowel 1"), (110, 25, 0), 8.0), assembly(frames))
    assert sorted((round(span.start[0], 6), round(span.end[0], 6))) == [115.0, 123.0]


@pytest.mark.parametrize("measured", [0.5, 1.1, None])
def test_a_number_that_does_not_come_out_is_not_drawn(measured):
    built = assembly([frame([part("floor", rectangle(0, 0, 100, 50)), part("side", rectangle(100.8, 0, 160, 50))])])
    assert span_of(made("joint-gap", ("F5 floor", "F5 side"), (100.4, 25, 9), measured), built) is None


def test_what_no_check_of_ours_found_is_not_drawn():
    built = assembly([frame([part("floor", rectangle(0, 0, 100, 50)), part("side", rectangle(100.8, 0, 160, 50))])])
    assert span_of(made("some-other", ("F5 floor", "F5 side"), (100.4, 25, 9), 0.8), built) is None


def test_a_finding_of_the_whole_boat_or_without_a_place_has_none():
    built = assembly([frame([part("floor", rectangle(0, 0, 100, 50))])])
    boat = Finding(check="foul", level=Level.ERROR, message="", measured=1.0, unit="mm", at=(0.0, 0.0, 0.0))
    placeless = Finding(check="foul", level=Level.ERROR, message="", frame="5", measured=1.0, unit="mm")
    assert span_of(boat, built) is None and span_of(placeless, built) is None
