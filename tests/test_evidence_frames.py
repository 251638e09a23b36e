"""What findings on screws, joints, gussets, fouls and dowels carry: marks, subjects, measures, sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import dowelled
import gusseted
import making
import numpy as np
import pytest
from faults import FAULTS, HULLS, SOUND
from planting import planted
from replanning import copy_of, moved_along
from test_evidence_boat import CONVERTED, points_of

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding
from scrieve.shared.marks import Span
from scrieve.shared.sentences import Sentence, form

HERE = tuple(slug for slug in CHECKS if slug not in CONVERTED)  # so that a new check is held to the rules too
SAME = 0.02  # mm
NEAR = 20.0  # mm that a finding's place may lie past the box around its marks
FAR = 12345.0

Reviewed = tuple[Assembly, tuple[Finding, ...]]


# ---- boats that show what the planted faults do not


def board(label: str, left: float, low: float, right: float, high: float, side: int, **more) -> making.Part:
    corners = [(left, low), (right, low), (right, high), (left, high)]
    return making.part(label, gusseted.ring(corners, side=side), **more)


def overlapping(side: int) -> Assembly:
    return making.assembly([making.frame([board("a", 99, 0, 200, 90, side), board("b", 50, 0, 100, 70, side)])])


def stepped(side: int) -> Assembly:
    parts = [board("a", 100, 0, 200, 90, side), board("b", 50, 0, 100, 70, side, thickness=12)]
    return making.assembly([making.frame(parts, rake=0.2)])


def apart(side: int) -> Assembly:
    """Two boards corner to corner under one gusset; a plate runs into that gusset."""
    parts = [
        board("a", 100, 0, 200, 90, side),
        board("b", 220, 110, 320, 190, side),
        board("gusset", 120, 20, 300, 180, side, face="forward", thickness=9),
        board("plate", 290, 175, 330, 200, side, face="forward", thickness=9, role="plate"),
    ]
    return making.assembly([making.frame(parts)])


def bare_of_screws(side: int) -> Assembly:
    """Screws that meet no wood or hold none, share an axis, stand in a batten and under a block."""
    parts = [
        board("a", 100, 0, 400, 200, side),
        board("plate", 100, 0, 150, 200, side, face="forward", thickness=9),
        board("block", 122, 80, 160, 160, side, face="forward", thickness=40),
    ]
    at = {"1": (500, 50), "2": (300, 50), "3": (120, 50), "4": (120, 100), "5": (200, 106)}
    screws = [making.screw(parts, (side * y, v), name=f"screw {n}") for n, (y, v) in at.items()]
    screws.append(making.screw(parts, (side * 120.0, 50.0), name="screw 1", driven_from="aft"))
    batten = making.straight_batten("chine", (side * 200.0, 98.0))
    return making.assembly([making.frame(parts, screws=screws)], battens=[batten])


def loose(side: int) -> Assembly:
    """A dowel off the wood, one deep in it and one that is missing; the next frame's stand beside them."""
    at = [*list(dowelled.places().values())[1:], (150.0, 60.0), (330.0, -40.0)]
    frames = []
    for number, station, by in (("5", 1000.0, 0.0), ("6", 1500.0, 4.0)):
        dowels = [making.dowel((side * (y + by), v), frame=number, number=n) for n, (y, v) in enumerate(at, start=1)]
        parts = dowelled.boards(side=side)
        frames.append(making.frame(parts, number=number, station=station, dowels=dowels))
    return making.assembly(frames)


def crossing(side: int) -> Assembly:
    """Frames and battens that run into one another and into a rail."""
    parts = [board("a", 200, -60, 320, 60, side)]
    other = board("b", 260, 20, 400, 140, side, frame="6")
    battens = [
        making.straight_batten("one", (side * 400.0, 50.0), slope=(side * 0.1, 0.0)),
        making.straight_batten("other", (side * 405.0, 60.0), slope=(side * -0.1, 0.0)),
    ]
    frames = [making.frame(parts), making.frame([other], number="6", station=1010.0, rake=0.3)]
    return making.assembly(frames, battens=battens, strongback=making.rails())


SCENES: tuple[Callable[[int], Assembly], ...] = (overlapping, stepped, apart, bare_of_screws, loose, crossing)


def found_in(boat: Assembly) -> tuple[Finding, ...]:
    return tuple(finding for slug in HERE for finding in CHECKS[slug].run(boat))


@pytest.fixture(scope="module")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> Reviewed:
    folder = tmp_path_factory.mktemp("faulty") / "skiff"
    planted(SOUND, folder, FAULTS)
    boat = assemble(read_plan(folder))
    return boat, tuple(finding for finding in review(boat) if finding.check in HERE)


@pytest.fixture(scope="module")
def boats(faulty: Reviewed) -> list[Reviewed]:
    sound = [assemble(read_plan(HULLS / name)) for name in ("pram", "skiff")]
    made = [scene(side) for scene in SCENES for side in (1, -1)]
    return [faulty, *((boat, found_in(boat)) for boat in (*sound, *made))]


def findings(boats: list[Reviewed]) -> Iterator[Finding]:
    return (finding for _, found in boats for finding in found)


def span_in(finding: Finding) -> Span | None:
    return next((mark for mark in finding.evidence if isinstance(mark, Span)), None)


def box(finding: Finding) -> np.ndarray:
    """(2, 3): least and greatest corner of the box around all marks."""
    points = np.array([point for mark in finding.evidence for point in points_of(mark)])
    assert np.isfinite(points).all() and len(points) < 2000
    return np.array([points.min(axis=0), points.max(axis=0)])


# ---- what holds of every finding


def test_the_boats_show_what_the_checks_find(boats):
    assert {finding.check for finding in findings(boats)} == set(HERE)
    fouls = {finding.parts for finding in findings(boats[1:]) if finding.check == "foul"}
    wanted = {("F5 a", "F6 b"), ("one", "other"), ("F5 a",), ("F5 gusset", "F5 plate"),
              ("F5 forward screw 5", "chine")}  # fmt: skip
    assert wanted <= fouls


def test_what_has_a_place_has_marks_about_it(boats):
    for finding in findings(boats):
        assert finding.at is not None and finding.evidence, finding.message
        low, high = box(finding)
        assert np.all((low - NEAR <= finding.at) & (finding.at <= high + NEAR)), finding.message


def test_what_is_measured_in_mm_is_the_first_span(boats):
    for finding in findings(boats):
        span = span_in(finding)
        if finding.measured is None:
            assert finding.measure is None and span is None
            continue
        told = finding.measure
        assert told is not None and (told.value, told.limit, told.unit) == (
            finding.measured, finding.limit, finding.unit,
        ), finding.message  # fmt: skip
        if told.limit is not None:
            assert (told.value > told.limit) is (told.sense == "most"), finding.message
        if span is not None:
            assert told.unit == "mm"
            assert span.length == pytest.approx(abs(told.value), abs=SAME), finding.message
        elif told.unit == "mm" and abs(told.value) > SAME:
            assert CHECKS[finding.check].spanless, finding.message


def test_subjects_are_all_that_is_named(boats):
    for finding in findings(boats):
        named = [subject.name for subject in finding.subjects if subject.kind not in ("board", "rail")]
        named = [] if named == [f"F{finding.frame}"] else named
        assert sorted(named) == sorted(finding.parts), finding.message


def test_messages_are_made_of_values(boats):
    for finding in findings(boats):
        assert isinstance(finding.message, Sentence), finding.message
        assert not any(name in finding.message.template for name in finding.parts)


def test_notes_on_screws_of_one_size_say_the_same_in_every_frame(boats):
    notes = [finding.message for finding in boats[2][1] if finding.check == "screw-bite"]
    assert len(notes) == 7 and len({form(note) for note in notes}) == 1


# ---- moved and mirrored


def test_marks_move_with_the_boat(faulty, tmp_path):
    copy = copy_of(HULLS / "skiff-with-faults", tmp_path / "moved")
    moved_along(copy, FAR)
    here = review(assemble(read_plan(HULLS / "skiff-with-faults")))
    there = review(assemble(read_plan(copy)))
    for one, other in zip(here, there, strict=True):
        if one.check in HERE:
            np.testing.assert_allclose(box(other) - box(one), [(FAR, 0, 0)] * 2, atol=SAME, err_msg=one.message)


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.__name__)
def test_marks_are_mirrored_with_the_boat(scene):
    port, starboard = (sorted(found_in(scene(side)), key=_key) for side in (1, -1))
    assert [_key(finding) for finding in port] == [_key(finding) for finding in starboard]
    for one, other in zip(port, starboard, strict=True):
        image = box(other) * (1, -1, 1)
        np.testing.assert_allclose(np.sort(image, axis=0), box(one), atol=1e-6, err_msg=one.message)


def _key(finding: Finding) -> tuple[object, ...]:
    parts = tuple(name.replace("starboard", "port") for name in finding.parts)
    return finding.check, parts, round(finding.measured or 0.0, 4)
