"""Check `outline`: defects met with in drawings become findings."""

from dataclasses import replace

import making
import pytest

from scrieve.model.boat.defect import Defect
from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level, Measure, Source

OUTLINE = CHECKS["outline"]
OPEN = Defect(
    message="the outline of the floor is open",
    source=Source(file="frames/5.dxf", handle="1A"),
    at=(120.0, 80.0),
    measure=Measure(value=0.4, limit=0.01),
    cure="join its ends",
)


def boat(*defects, of_boat=(), **frame):
    core = making.part("floor", making.rectangle(-400, 0, 400, 100))
    assembly = making.assembly([replace(making.frame([core], **frame), defects=defects)])
    return replace(assembly, defects=tuple(of_boat))


def test_a_defect_of_a_frame_becomes_a_finding_with_its_place_in_hull_axes():
    (finding,) = OUTLINE.run(boat(OPEN))
    assert (finding.check, finding.level, finding.frame) == ("outline", Level.ERROR, "5")
    assert (finding.message, finding.cure) == (OPEN.message, OPEN.cure)
    assert (finding.measured, finding.limit, finding.unit) == (0.4, 0.01, "mm")
    assert finding.at == pytest.approx((1009, 120, 80))
    assert finding.source == OPEN.source


def test_the_place_in_a_raked_frame_is_its_placements():
    raked = boat(OPEN, rake=0.25)
    (finding,) = OUTLINE.run(raked)
    assert finding.at == pytest.approx(raked.frames[0].placement.point(120, 80, 9))


def test_levels_are_kept():
    (finding,) = OUTLINE.run(boat(replace(OPEN, level=Level.NOTE, at=None)))
    assert finding.level is Level.NOTE
    assert finding.at is None


def test_a_defect_of_no_frame_has_no_frame_and_no_place():
    (finding,) = OUTLINE.run(boat(of_boat=[OPEN]))
    assert (finding.frame, finding.at) == ("", None)


def test_a_sound_boat_is_silent():
    assert list(OUTLINE.run(boat())) == []


def test_every_defect_is_told_once_by_one_check():
    defects = (OPEN, replace(OPEN, check="station"), replace(OPEN, check="label"))
    told = [finding for check in ("outline", "station", "label") for finding in CHECKS[check].run(boat(*defects))]
    assert sorted(finding.check for finding in told) == ["label", "outline", "station"]
