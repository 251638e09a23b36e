"""What findings on legs, notches, battens, stations, drawings and sheets carry: marks, subjects, measures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from faults import FAULTS, HULLS, SOUND
from planting import planted

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding
from scrieve.shared.marks import Arrow, Axis, Ghost, Line, Mark, Place, Prism, Region, Span
from scrieve.shared.sentences import Sentence, form

CONVERTED = (
    "notch-slack", "fair", "leg-bottom", "leg-side", "notch-foul", "notch-missing", "corner", "bend", "leg-pair",
    "mirror", "station", "outline", "way-in", "cut-sheet",
)  # fmt: skip
NEAR = 100.0  # mm that a finding's place may lie past the box around its marks
ALONG = 1234.5
FLIP = (1.0, -1.0, 1.0)

Reviewed = tuple[Assembly, tuple[Finding, ...]]


@pytest.fixture(scope="module")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("faulty") / "skiff"
    planted(SOUND, folder, FAULTS)
    return folder


@pytest.fixture(scope="module")
def boats(faulty: Path) -> list[Reviewed]:
    return [_reviewed(assemble(read_plan(folder))) for folder in (faulty, HULLS / "skiff", HULLS / "pram")]


def _reviewed(boat: Assembly) -> Reviewed:
    return boat, tuple(finding for finding in review(boat) if finding.check in CONVERTED)


def _findings(boats: list[Reviewed]) -> Iterator[tuple[Assembly, Finding]]:
    return ((boat, finding) for boat, findings in boats for finding in findings)


def points_of(mark: Mark) -> tuple[Place, ...]:
    match mark:
        case Span() | Axis():
            return mark.start, mark.end
        case Line() | Arrow():
            return mark.points
        case Region(solid=Prism() as prism) | Ghost(solid=Prism() as prism):
            low = [point for ring in prism.rings for point in ring]
            return (*low, *(tuple(np.add(point, prism.through)) for point in low))
        case _:
            return mark.solid.corners


def test_every_check_here_finds_something_in_the_planted_faults(boats):
    assert set(CONVERTED) == {finding.check for _, finding in _findings(boats)}


def test_what_has_a_place_has_marks_about_it(boats):
    for _, finding in _findings(boats):
        if finding.at is None:
            continue
        assert finding.evidence, finding.message
        points = np.array([point for mark in finding.evidence for point in points_of(mark)])
        assert len(points) < 2000
        low, high = points.min(axis=0) - NEAR, points.max(axis=0) + NEAR
        assert np.all((low <= finding.at) & (finding.at <= high)), finding.message


def test_what_is_measured_in_mm_is_the_first_span(boats):
    for _, finding in _findings(boats):
        if finding.measured is None:
            assert finding.measure is None or (finding.measure.words and not finding.measure.unit)
            continue
        assert finding.measure is not None, finding.message
        assert (finding.measure.value, finding.measure.limit, finding.measure.unit) == (
            finding.measured, finding.limit, finding.unit,
        )  # fmt: skip
        past = finding.measured > (finding.limit or 0.0)
        assert past is (finding.measure.sense == "most") or finding.level == "note", finding.message
        first = next((mark for mark in finding.evidence if isinstance(mark, Span)), None)
        if first is not None:
            assert first.length == pytest.approx(abs(finding.measured), abs=0.02), finding.message
        elif finding.unit == "mm":
            assert CHECKS[finding.check].spanless, finding.message


def test_subjects_are_things_of_the_boat_and_all_that_is_named(boats):
    for boat, finding in _findings(boats):
        named = {subject.name for subject in finding.subjects}
        assert set(finding.parts) <= named, finding.message
        assert len(named) == len(finding.subjects)
        assert named <= set(_names(boat)), finding.message


def _names(boat: Assembly) -> Iterator[str]:
    for frame in boat.frames:
        yield from (frame.name, *(each.name for each in (*frame.parts, *frame.screws, *frame.dowels)))
    yield from (batten.name for batten in boat.battens)
    yield from (sheet.name for sheet in boat.sheets)
    yield from ("port rail", "starboard rail")


def test_sentences_say_the_same_of_port_and_starboard_and_hold_their_numbers_as_values(boats):
    pairs = 0
    for _, findings in boats:
        by_check: dict[str, list[Finding]] = defaultdict(list)
        for finding in findings:
            by_check[finding.check].append(finding)
            for text in (finding.message, finding.cure):
                assert isinstance(text, Sentence) or not any(letter.isdigit() for letter in text), text
        for alike in by_check.values():
            for one, other in combinations(alike, 2):
                if other_side(one.message) == other.message:
                    assert form(one.message) == form(other.message), one.message
                    pairs += 1
    assert pairs >= 3


def other_side(text: str) -> str:
    return text.replace("starboard", "*").replace("port", "starboard").replace("*", "port")


def test_marks_move_with_the_boat(boats, faulty):
    plan = read_plan(faulty)
    assert plan.strongback is not None
    moved = replace(
        plan,
        frames=tuple(spec.model_copy(update={"station": spec.station + ALONG}) for spec in plan.frames),
        strongback=plan.strongback.model_copy(
            update={"start": plan.strongback.start + ALONG, "end": plan.strongback.end + ALONG}
        ),
    )
    _, there = _reviewed(assemble(moved))
    _, here = boats[0]
    assert len(here) == len(there)
    for one, other in zip(here, there, strict=True):
        assert [type(mark) for mark in one.evidence] == [type(mark) for mark in other.evidence]
        for mark, again in zip(one.evidence, other.evidence, strict=True):
            by = np.subtract(points_of(again), points_of(mark))
            np.testing.assert_allclose(by, np.broadcast_to((ALONG, 0.0, 0.0), by.shape), atol=1e-4)


def test_marks_are_mirrored_with_the_boat(boats, faulty):
    plan = read_plan(faulty)
    _, there = _reviewed(assemble(replace(plan, seen="from forward" if plan.seen == "from aft" else "from aft")))
    matched: set[str] = set()
    for one in boats[0][1]:
        # the middle is its own mirror image, and of twins that differ either may be named
        for other in there:
            if one.at is None or other.at is None or abs(one.at[1]) < 1.0 or one.check != other.check:
                continue
            if not np.allclose(one.at, np.multiply(other.at, FLIP), atol=1e-3):
                continue
            (low, high), (other_low, other_high) = _box(one, (1.0, 1.0, 1.0)), _box(other, FLIP)
            np.testing.assert_allclose([low, high], [other_low, other_high], atol=0.01)
            spans = [[mark for mark in each.evidence if isinstance(mark, Span)][:1] for each in (one, other)]
            for here, image in zip(*spans, strict=True):
                mirrored = np.multiply([image.start, image.end], FLIP)
                apart = min(
                    np.abs(np.subtract([here.start, here.end], ends)).max() for ends in (mirrored, mirrored[::-1])
                )
                assert apart < 0.01, one.message
            matched.add(one.check)
    assert {"corner", "way-in", "bend", "fair", "leg-bottom", "leg-pair", "mirror", "outline"} <= matched


def _box(finding: Finding, flip: Place) -> tuple[np.ndarray, np.ndarray]:
    points = np.array([point for mark in finding.evidence for point in points_of(mark)]) * flip
    return points.min(axis=0), points.max(axis=0)
