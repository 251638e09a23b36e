"""Check `screw-edge`."""

import re
from dataclasses import replace

import making
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.placement import Placement
from scrieve.shared.findings import Level
from scrieve.shared.tolerances import falls_short

EDGE = CHECKS["screw-edge"]
D = making.NO_8.diameter
NOTCHED = Outline.of([(300, 0), (484, 0), (484, 20), (516, 20), (516, 0), (700, 0), (700, 200), (300, 200)])


def joint(outline=None, *, gusset=None):
    outline = outline or making.rectangle(300, 0, 700, 200)
    return [
        making.part("side", outline),
        making.part("gusset", gusset or making.rectangle(200, -100, 800, 300), face="forward", thickness=9),
    ]


def frame(*places, parts=None, **more):
    parts = parts or joint()
    screws = [making.screw(parts, at, name=f"screw {n}") for n, at in enumerate(places, start=1)]
    return making.frame(parts, screws=screws, **more)


def run(frame, battens=(), **limits):
    return list(EDGE.run(making.assembly([frame], battens=battens, limits=limits)))


# ---- the limits


@pytest.mark.parametrize(
    ("distance", "level", "factor"),
    [
        (0.0, Level.ERROR, 1.0),
        (2.0, Level.ERROR, 1.0),
        (D - 0.01, Level.ERROR, 1.0),
        (D, Level.WARNING, 2.5),
        (2.5 * D - 0.01, Level.WARNING, 2.5),
    ],
)
def test_too_close_to_the_edge_of_the_core_under_the_gusset(distance, level, factor):
    """2.5 D, the edge distance of NDS Commentary Table C12.1.5.7, is 10.41 mm for No. 8."""
    (finding,) = run(frame((500, distance)))
    assert finding.check == "screw-edge"
    assert finding.level is level
    assert finding.measured == pytest.approx(distance, abs=1e-9)
    assert finding.limit == pytest.approx(factor * D)
    assert (finding.unit, finding.frame) == ("mm", "5")
    assert finding.parts == ("F5 forward screw 1", "F5 side")
    # in the core from w = 18 down to the tip at 27 - 19.05
    assert finding.at == pytest.approx((1000 + (18 + 7.95) / 2, 500, distance))
    assert "an edge of F5 side" in finding.message


@pytest.mark.parametrize("distance", [2.5 * D, 2.5 * D + 0.01, 50.0])
def test_far_enough_from_every_edge(distance):
    assert run(frame((500, distance))) == []


def test_the_limits_of_the_plan_count():
    assert run(frame((500, 10.0)), screw_edge_warning=2.0) == []
    (finding,) = run(frame((500, 10.0)), screw_edge=2.45)
    assert finding.level is Level.ERROR


def test_the_worst_ply_is_the_one_reported():
    parts = joint(gusset=making.rectangle(200, -100, 510, 300))
    (finding,) = run(frame((506, 7.0), parts=parts))
    assert finding.parts == ("F5 forward screw 1", "F5 gusset")
    assert finding.measured == pytest.approx(4.0)


def test_only_plies_that_the_screw_reaches_count():
    parts = joint()
    short = replace(making.NO_8, length=8.0)
    screw = making.screw(parts, (500, 3.0), size=short)
    assert run(making.frame(parts, screws=[screw])) == []


# ---- kinds of edges


def test_a_hole():
    parts = joint()
    holed = shapely.difference(parts[0].shape, shapely.Point(500, 100).buffer(20, quad_segs=64))
    parts[0] = replace(parts[0], shape=holed, holes=(Outline.circle((500, 100), 20),))
    (finding,) = run(frame((524, 100), parts=parts))
    assert finding.measured == pytest.approx(4.0, abs=5e-3)
    assert "a hole of F5 side" in finding.message


def test_a_butt_joint():
    parts = joint()
    parts.append(making.part("floor", making.rectangle(100, 0, 299.6, 200)))
    (finding,) = run(frame((303, 100), parts=parts))
    assert "the butt joint with floor of F5 side" in finding.message
    parts[-1] = making.part("floor", making.rectangle(100, 0, 298.5, 200))
    (finding,) = run(frame((303, 100), parts=parts))
    assert "an edge of F5 side" in finding.message


def test_a_notch():
    section = [making.section("port floor", (500, 10), frame=number) for number in ("4", "5", "6")]
    batten = making.batten("port floor", section, [Placement(station=x) for x in (500, 1000, 1500)])
    (finding,) = run(frame((500, 23), parts=joint(NOTCHED)), [batten])
    assert finding.measured == pytest.approx(3.0)
    assert "the notch for the port floor of F5 side" in finding.message
    (finding,) = run(frame((400, 3), parts=joint(NOTCHED)), [batten])
    assert "an edge of F5 side" in finding.message


def test_the_outline_as_cut_is_what_counts():
    """A 20 mm cutter leaves wood in the corner of the notch: the axis there is no longer in the open."""
    cut = [making.part("side", NOTCHED, cutter=20.0), joint()[1]]
    at = (482.5, 18.5)  # in the wood, beside the notch
    (finding,) = run(frame(at, parts=joint(NOTCHED)))
    assert finding.measured == pytest.approx(1.5)
    # the cutter's centre stands 10 mm off both walls, at (494, 10)
    (finding,) = run(frame(at, parts=cut))
    assert finding.measured == pytest.approx(np.hypot(494 - 482.5, 18.5 - 10) - 10, abs=2e-3)
    at = (485.5, 18.5)  # in the notch as drawn, in wood as cut
    assert [ply.part.label for ply in frame(at, parts=joint(NOTCHED)).screws[0].plies] == ["gusset"]
    (finding,) = run(frame(at, parts=cut))
    assert finding.measured == pytest.approx(np.hypot(494 - 485.5, 18.5 - 10) - 10, abs=2e-3)


# ---- the cure


def place(cure):
    found = re.search(r"at least ([\d.]+) mm away from the edge, e\.g\. to y (-?[\d.]+), z (-?[\d.]+)", cure)
    return float(found[1]), (float(found[2]), float(found[3]))


@pytest.mark.parametrize("at", [(400, 2.0), (305, 4.0), (400, 0.0), (700, 200), (500, 23), (480, 28)])
def test_following_the_cure_leaves_nothing_to_warn_of(at):
    parts = joint(NOTCHED)
    others = [(470, 40), (530, 40)]
    met = frame(at, *others, parts=parts)
    finding = next(f for f in run(met) if "F5 forward screw 1" in f.parts)
    least, there = place(finding.cure)
    assert np.hypot(*np.subtract(there, at)) >= least - 0.15
    after = frame(there, *others, parts=parts)
    assert run(after) == []
    assert list(CHECKS["screw-foul"].run(making.assembly([after]))) == []


def test_the_cure_goes_straight_away_from_a_long_edge():
    (finding,) = run(frame((500, 4.0)))
    assert place(finding.cure) == (6.5, (500.0, 10.5))  # 2.5 D - 4 = 6.414 mm, rounded up


def test_where_there_is_no_room_the_cure_says_so():
    (finding,) = run(frame((500, 105), parts=joint(making.rectangle(300, 100, 700, 115))))
    assert "at least" in finding.cure
    assert "no place within 20 mm" in finding.cure
    assert "e.g." not in finding.cure


# ---- what makes no difference


def test_mirrored_moved_raked_and_reordered_frames_give_the_same():
    at = [(500, 3.0), (600, 8.0), (305, 190)]

    def measured(met):
        return sorted(finding.measured for finding in run(met))

    straight = measured(frame(*at))
    assert straight == pytest.approx([3.0, 5.0, 8.0])
    parts = joint()
    mirrored = [replace(p, shape=shapely.transform(p.shape, lambda xy: xy * (-1, 1))) for p in parts]
    for other in (
        frame(*at, station=-777.0),
        frame(*at, station=5000.0, rake=0.41),
        frame(*at[::-1], parts=parts[::-1]),
        frame(*[(-y, v) for y, v in at], parts=mirrored),
    ):
        assert measured(other) == pytest.approx(straight, abs=1e-9)


@settings(max_examples=80)
@given(st.floats(301, 699), st.floats(0.5, 199))
def test_it_finds_the_least_distance_to_the_lines_of_the_outline(y, v):
    """Against the distance to each straight edge, by hand."""
    core = np.array(NOTCHED.points)
    if not shapely.contains_xy(NOTCHED.polygon(), y, v):
        return
    starts, along = core, np.roll(core, -1, axis=0) - core
    share = np.clip(np.sum((np.array([y, v]) - starts) * along, axis=1) / np.sum(along**2, axis=1), 0, 1)
    nearest = np.linalg.norm(starts + share[:, None] * along - (y, v), axis=1).min()
    findings = run(frame((y, v), parts=joint(NOTCHED)))
    if falls_short(nearest, 2.5 * D):
        (finding,) = findings
        assert finding.measured == pytest.approx(nearest, abs=1e-9)
        assert (finding.level is Level.ERROR) == falls_short(nearest, D)
    else:
        assert findings == []


def test_a_frame_without_screws():
    assert run(frame()) == []


def test_a_screw_on_the_line_of_a_butt_joint_is_given_a_place_in_one_of_the_two():
    parts = [
        making.part("floor", making.rectangle(100, 0, 500, 200)),
        making.part("side", making.rectangle(500, 0, 900, 200)),
        making.part("gusset", making.rectangle(300, -50, 700, 250), face="forward", thickness=9),
    ]
    (finding,) = run(frame((500, 100), parts=parts))
    _, at = place(finding.cure)
    after = frame(at, parts=parts)
    assert len(after.screws[0].plies) == 2
    assert run(after) == []


def test_no_place_is_named_in_a_part_that_the_screw_is_not_meant_for():
    """A floor of 10 mm beside the side: nowhere in it is far enough off, and the side is another part."""
    parts = [
        making.part("floor", making.rectangle(490, 0, 500, 200)),
        making.part("side", making.rectangle(500, 0, 900, 200)),
        making.part("gusset", making.rectangle(300, -50, 700, 250), face="forward", thickness=9),
    ]
    (finding,) = run(frame((498, 100), parts=parts))
    assert "no place within 20 mm" in finding.cure
