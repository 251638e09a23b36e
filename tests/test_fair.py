"""Check `fair`: the limit to a hundredth, where the point should be, rakes, stations, notes; mirrored and moved."""

from __future__ import annotations

import re
from dataclasses import replace

import making
import numpy as np
import pytest

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.batten import Batten
from scrieve.model.checks.fair import CHECK
from scrieve.model.geometry.placement import Placement
from scrieve.shared.findings import Finding, Level

STATIONS = tuple(range(0, 4500, 500))


def batten(
    *,
    off: tuple[float, float] = (0.0, 0.0),
    at: int = 2000,
    name: str = "port chine",
    side: float = 1.0,
    shift: float = 0.0,
    rake: float = 0.0,
    slope: float = 0.1,
    stations: tuple[int, ...] = STATIONS,
    bend: float = 0.0,
) -> Batten:
    """A batten straight in y, a parabola of `bend` mm over 2 m in z; `off` (y, v) in the frame `at` one station.

    `rake` (radians) is that of the frame there, which the straight batten meets at x = `at` in hull axes.
    """
    sections, placements = [], []
    for x in stations:
        y, z = side * (400 + slope * x), 300 + 0.05 * x + bend * (x / 2000) ** 2
        placement = Placement(station=float(x), rake=0.0)
        if x == at and rake:
            # the frame's plane through (at, z): its foot on the datum plane is z tan(rake) further forward
            placement = Placement(station=x + z * np.tan(rake), rake=rake)
            z = z / np.cos(rake)
        if x == at:
            y, z = y + side * off[0], z + off[1]
        sections.append(making.section(name, (y, z), frame=str(x)))
        placements.append(replace(placement, station=placement.station + shift))
    return making.batten(name, sections, placements)


def boat(*battens: Batten, limit: float = 3.0) -> Assembly:
    frames = {
        section.frame: replace(making.frame([], number=section.frame), placement=placement)
        for batten in battens
        for section, placement in zip(batten.sections, batten.placements, strict=True)
    }
    return making.assembly(frames.values(), battens=battens, limits={"fair": limit})


def errors(*battens: Batten, limit: float = 3.0) -> list[Finding]:
    return [f for f in CHECK.run(boat(*battens, limit=limit)) if f.level is Level.ERROR]


def test_a_straight_batten_off_at_one_frame_is_off_by_just_that():
    (finding,) = errors(batten(off=(0.0, 3.01)))
    assert finding.measured == pytest.approx(3.01, abs=1e-6)
    assert (finding.frame, finding.parts, finding.limit) == ("2000", ("port chine",), 3.0)
    assert finding.at == pytest.approx((2000, 600, 403.01))
    assert finding.message == (
        "the port chine is 3.01 mm off the fair curve through its other frames in F2000, up to 3.00 mm is allowed"
    )
    assert "3.0 mm down, from y 600.0, z 403.0 to y 600.0, z 400.0" in finding.cure


def test_a_near_miss_is_silent():
    assert errors(batten(off=(0.0, 2.99))) == []
    assert errors(batten(off=(2.11, 2.11))) == []  # 2.98 mm all told


def test_both_ways_count_together():
    (finding,) = errors(batten(off=(-2.2, 2.2)))
    assert finding.measured == pytest.approx(np.hypot(2.2, 2.2), abs=1e-6)
    assert "to port and down" in finding.cure


@pytest.mark.parametrize("rake", [-0.3, 0.2])
@pytest.mark.parametrize("off", [(0.0, 5.0), (4.0, 0.0), (3.0, -4.0)])
def test_in_a_raked_frame_it_is_measured_in_the_frame_s_plane(rake, off):
    # hand-worked: what is moved by `off` in the plane of the frame is off the straight line by just that in the plane
    (finding,) = errors(batten(off=off, rake=rake))
    assert finding.measured == pytest.approx(np.hypot(*off), abs=1e-6)
    x, y, z = finding.at
    v = 400 / np.cos(rake)
    place = Placement(station=2000 + 400 * np.tan(rake), rake=rake)
    assert (x, y, z) == pytest.approx(place.point(600 + off[0], v + off[1]))
    assert f"to y 600.0, z {v:.1f}" in finding.cure


def test_it_is_the_same_mirrored_and_moved():
    here = errors(batten(off=(1.0, 5.0), bend=60.0))
    mirrored = errors(batten(off=(1.0, 5.0), bend=60.0, side=-1.0, name="starboard chine"))
    moved = errors(batten(off=(1.0, 5.0), bend=60.0, shift=5000.0))
    assert len(here) == len(mirrored) == len(moved) == 1
    assert mirrored[0].measured == pytest.approx(here[0].measured, abs=1e-9)
    assert mirrored[0].at == pytest.approx(np.array(here[0].at) * (1, -1, 1))
    assert moved[0].measured == pytest.approx(here[0].measured, abs=1e-6)
    assert moved[0].at == pytest.approx(np.array(here[0].at) + np.array((5000, 0, 0)))


@pytest.mark.parametrize("share", [0.8, 1.25])
def test_a_bend_does_not_hide_it(share):
    found = errors(batten(off=(0.0, share * 3.0), bend=150.0))
    assert len(found) == (share > 1)


def test_the_cure_cures():
    bent = batten(off=(2.0, -6.0), bend=150.0)
    (finding,) = errors(bent)
    y, z = (float(word) for word in finding.cure.split(" to y ")[1].split(", z "))
    sections = [replace(s, centre=(y, z)) if s.frame == finding.frame else s for s in bent.sections]
    assert errors(replace(bent, sections=tuple(sections))) == []


def test_a_frame_at_the_wrong_station_is_one_finding_that_names_the_station():
    def run(name: str, y: float, slope: float, z: float, rise: float) -> Batten:
        sections, placements = [], []
        for x in STATIONS:
            true = x + (60 if x == 2000 else 0)  # the drawing is of the section 60 mm further forward
            sections.append(making.section(name, (y + slope * true, z + rise * true), frame=str(x)))
            placements.append(Placement(station=float(x)))
        return making.batten(name, sections, placements)

    boats = [
        run("port chine", 400, -0.1, 200, 0.05),
        run("port sheer", 500, -0.08, 500, 0.06),
        run("keel", 0, 0, 90, 0.09),
    ]
    (finding,) = errors(*boats)
    assert finding.parts == ("keel", "port chine", "port sheer")
    assert "about 60 mm further forward" in finding.message
    assert "station 2060, not 2000" in finding.cure


def test_one_batten_off_in_a_frame_is_not_laid_to_its_station():
    found = errors(batten(off=(0.0, 6.0)), batten(name="port sheer"), batten(name="keel", slope=0.0))
    assert [f.parts for f in found] == [("port chine",)]


def notes(*battens: Batten) -> list[Finding]:
    return [f for f in CHECK.run(boat(*battens)) if f.level is Level.NOTE]


def test_too_few_frames_are_told_once_for_all_battens():
    few = (0, 700, 1400, 2000)
    (note,) = notes(
        batten(stations=few, bend=50), batten(stations=few, bend=50, name="starboard chine", side=-1.0),
        batten(stations=few, bend=50, name="keel", slope=0.0),
    )  # fmt: skip
    assert str(note.message).startswith(
        "the frames are too few or too far apart to tell every bump of 3.00 mm from a fair"
    )
    of_kinds = str(note.message).partition("pass, ")[2].split("; ")
    assert [re.findall(r"in the (\w+) |mm in F(\d+)", each) for each in of_kinds] == [
        [(kind, ""), *(("", str(x)) for x in few)] for kind in ("keel", "chine")
    ]
    assert note.parts == ("keel", "port chine", "starboard chine")


def test_enough_frames_of_an_easy_curve_hide_bumps_at_its_ends_alone():
    (note,) = notes(batten(bend=20.0))
    assert re.findall(r"in F(\d+)", str(note.message)) == ["0", "4000"]


def test_a_section_that_alone_bends_a_batten_past_its_stock_is_fair_s_and_told_with_where_it_would_run_through():
    """A straight batten through six frames, 400 mm apart; 60 mm down in the fourth."""
    few = tuple(range(0, 2400, 400))
    (finding,) = errors(batten(stations=few, at=1200, off=(0.0, -60.0)))
    assert (finding.frame, finding.measured) == ("1200", pytest.approx(60.0))
    assert "about 60.00 mm off the fair curve" in str(finding.message)
    assert "by that alone it is bent to" in str(finding.message)
    assert "60.0 mm up, from y 520.0, z 300.0 to y 520.0, z 360.0" in str(finding.cure)


@pytest.mark.parametrize("length", [1.0, 3.0])
def test_in_a_long_boat_what_a_table_may_wander_is_a_note(length):
    stations = tuple(int(x * length) for x in STATIONS)
    bent = batten(stations=stations, at=stations[4], off=(0.0, 4.0), slope=0.1 / length)
    told = [f for f in CHECK.run(boat(bent)) if "passes" not in str(f.message) and f.frame]
    assert [(f.level, f.frame, f.measured) for f in told] == [
        (Level.NOTE if length > 1 else Level.ERROR, str(stations[4]), pytest.approx(4.0))
    ]
    far = batten(stations=stations, at=stations[4], off=(0.0, 3.0 * max(1.0, length * 4000 / 4500) + 0.01))
    assert [f.frame for f in errors(far)] == [str(stations[4])]


def test_a_batten_that_doubles_back_is_found_with_few_frames():
    few = (1000, 1500, 2000, 2500, 3000)
    (finding,) = errors(batten(stations=few, off=(0.0, -30.0), bend=-100.0))
    assert finding.frame == "2000"
    assert errors(batten(stations=few, bend=-100.0)) == []


def test_the_plan_s_own_limit_counts():
    assert errors(batten(off=(0.0, 4.0)), limit=5.0) == []
    assert len(errors(batten(off=(0.0, 1.1)), limit=1.0)) == 1
