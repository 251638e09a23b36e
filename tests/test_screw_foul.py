"""Check `screw-foul`."""

import itertools
import re
from dataclasses import replace

import making
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level
from scrieve.shared.screw_table import INCH, screw_of_diameter, screw_of_gauge
from scrieve.shared.tolerances import falls_short

FOUL = CHECKS["screw-foul"]
SHANK = making.NO_8.diameter + 1.0  # No. 8: 4.1656 mm and 1 mm of wood
WIDE = 2.5 * making.NO_8.diameter
HEADS = making.NO_8.head_diameter


def joint(core=18.0, gusset=9.0):
    """A core board with a gusset on both faces, 400 x 200."""
    board = making.rectangle(300, 0, 700, 200)
    return [
        making.part("side", board, thickness=core),
        making.part("gusset, forward", board, face="forward", thickness=gusset, core=core),
        making.part("gusset, aft", board, face="aft", thickness=gusset, core=core),
    ]


def frame(*screws, parts=None, **more):
    """A frame of that joint and screws given as (face, y, v) or (face, y, v, size)."""
    parts = parts or joint()
    driven = [
        making.screw(parts, (y, v), name=f"screw {n}", driven_from=face, size=(size or [making.NO_8])[0])
        for n, (face, y, v, *size) in enumerate(screws, start=1)
    ]
    return making.frame(parts, screws=driven, **more)


def run(frame, **limits):
    return list(FOUL.run(making.assembly([frame], limits=limits)))


def both_faces(apart, **more):
    """Two screws from opposite faces, their axes `apart`; their tips overlap by 2.1 mm."""
    return frame(("forward", 500, 100), ("aft", 500 + apart, 100), **more)


# ---- the worked table: fasteners from both faces, flush heads, one axis


@pytest.mark.parametrize(
    ("core", "gusset", "gauge", "length", "tips"),
    [
        (18, 9, 8, 3 / 4, 2.100),
        (18, 9, 6, 5 / 8, -4.250),
        (18, 6, 6, 5 / 8, 1.750),
        (24, 6, 6, 3 / 4, 2.100),
        (36, 9, 8, 1, -3.200),
    ],
)
def test_screws_from_both_faces_on_one_axis(core, gusset, gauge, length, tips):
    """Arithmetic, tips overlap by 2 t2 - t with t2 the length less the gusset; see EN 1995-1-1, 8.3.1.1(7)."""
    size = screw_of_gauge(gauge, length * INCH)
    met = frame(("forward", 500, 100, size), ("aft", 500, 100, size), parts=joint(core, gusset))
    first, second = met.screws
    assert min(first.high, second.high) - max(first.low, second.low) == pytest.approx(tips, abs=1e-3)
    findings = run(met)
    if tips < 0:
        assert findings == []
        return
    (finding,) = findings
    assert finding.level is Level.ERROR
    assert finding.measured == pytest.approx(0.0)
    assert finding.limit == pytest.approx(size.diameter + 1.0)
    assert f"overlap by {tips:.2f} mm" in finding.message


# ---- shanks


@pytest.mark.parametrize(("apart", "level"), [(0.5, Level.ERROR), (SHANK - 0.01, Level.ERROR), (SHANK, Level.WARNING)])
def test_shanks_side_by_side(apart, level):
    (finding,) = run(both_faces(apart))
    assert finding.check == "screw-foul"
    assert finding.level is level
    assert finding.measured == pytest.approx(apart)
    assert finding.limit == pytest.approx(SHANK if level is Level.ERROR else WIDE)
    assert (finding.unit, finding.frame) == ("mm", "5")
    assert finding.parts == ("F5 aft screw 2", "F5 forward screw 1")
    # the core lies from w = 0 to 18; the tips at 10.05 and 7.95
    assert finding.at == pytest.approx((1009.0, 500 + apart / 2, 100.0))
    assert finding.source.file == "frames/5.dxf"


@pytest.mark.parametrize("apart", [WIDE, WIDE + 0.01, 30.0])
def test_shanks_clear_of_one_another(apart):
    assert run(both_faces(apart)) == []


def test_just_inside_the_warning():
    (finding,) = run(both_faces(WIDE - 0.01))
    assert finding.level is Level.WARNING
    assert finding.limit == pytest.approx(2.5 * 0.164 * 25.4)  # NDS Commentary Table C12.1.5.7: 10.41 mm for No. 8


def test_tips_that_just_do_not_reach_one_another_are_fine():
    """Core 20.1 mm: 2 x 10.05 - 20.1 = 0."""
    for core, count in ((20.11, 0), (20.10, 0), (20.09, 1)):
        met = frame(("forward", 500, 100), ("aft", 500, 100), parts=joint(core))
        assert len(run(met)) == count


def test_the_mean_of_two_diameters_and_the_greater_for_the_warning():
    small, large = screw_of_diameter(3.0, 20), screw_of_diameter(5.0, 20)
    required = 4.0 + 1.0
    for apart, level in ((required - 0.01, Level.ERROR), (required, Level.WARNING), (12.49, Level.WARNING)):
        (finding,) = run(frame(("forward", 500, 100, small), ("aft", 500 + apart, 100, large)))
        assert finding.level is level
    assert run(frame(("forward", 500, 100, small), ("aft", 512.5, 100, large))) == []


def test_the_limits_of_the_plan_count():
    assert [f.level for f in run(both_faces(5.5))] == [Level.WARNING]
    assert [f.level for f in run(both_faces(5.5), screw_foul=2.0)] == [Level.ERROR]
    assert run(both_faces(5.5), screw_foul_warning=1.2) == []


# ---- heads


@pytest.mark.parametrize(("apart", "level"), [(HEADS - 0.01, Level.ERROR), (HEADS, Level.WARNING)])
def test_heads_on_one_face(apart, level):
    """No. 8 flat heads are at most 0.332 in across (ASME B18.6.1, as restated)."""
    (finding,) = run(frame(("forward", 500, 100), ("forward", 500, 100 + apart)))
    assert finding.level is level
    assert finding.limit == pytest.approx(0.332 * 25.4 if level is Level.ERROR else WIDE)
    assert ("heads" in finding.message) is (level is Level.ERROR)


def test_heads_on_opposite_faces_do_not_meet():
    parts = joint(60.0)
    assert run(frame(("forward", 500, 100), ("aft", 501, 100), parts=parts)) == []


def test_a_head_on_the_gusset_and_one_on_the_core_are_on_two_levels():
    parts = joint()
    parts[1] = making.part("gusset, forward", making.rectangle(300, 0, 500, 200), face="forward", thickness=9)
    met = frame(("forward", 496, 100), ("forward", 503, 100), parts=parts)
    (finding,) = run(met)
    assert finding.level is Level.WARNING  # 7 mm: nearer than the heads, but they pass one another
    assert finding.limit == pytest.approx(WIDE)


STEP = HEADS / 2 + making.NO_8.diameter / 2  # 6.30 mm: a head beside a shank


@pytest.mark.parametrize(
    ("apart", "level"), [(SHANK + 0.1, Level.ERROR), (STEP - 0.01, Level.ERROR), (STEP, Level.WARNING)]
)
def test_a_head_on_the_core_beside_the_shank_of_one_through_the_gusset(apart, level):
    parts = joint()
    parts[1] = making.part("gusset, forward", making.rectangle(300, 0, 500, 200), face="forward", thickness=9)
    met = frame(("forward", 499, 100), ("forward", 499 + apart, 100), parts=parts)
    (finding,) = run(met)
    assert finding.level is level
    assert finding.limit == pytest.approx(STEP if level is Level.ERROR else WIDE)
    if level is Level.ERROR:
        assert finding.message.startswith("the head of F5 forward screw 2 meets F5 forward screw 1, both driven from")


@pytest.mark.parametrize(("apart", "level"), [(5.5, Level.ERROR), (STEP, Level.WARNING)])
def test_a_head_beside_the_shank_of_one_from_the_other_face(apart, level):
    """6 + 6 + 6 mm of wood and screws of 17.5 mm: the shanks reach the heads of the others."""
    size = replace(making.NO_8, length=17.5)
    board = making.rectangle(300, 0, 700, 200)
    parts = [making.part(label, board, face=face, thickness=6, core=6)
             for label, face in (("side", "core"), ("gf", "forward"), ("ga", "aft"))]  # fmt: skip
    screws = [making.screw(parts, (500 + dy, 100), name=f"screw {n}", driven_from=face, size=size, core=6)
              for n, dy, face in ((1, 0, "forward"), (2, apart, "aft"))]  # fmt: skip
    (finding,) = run(making.frame(parts, screws=screws, core=6))
    assert finding.level is level
    # at the tip of the one, 0.5 mm below the face, the cone of the other is that much narrower
    shank = making.NO_8.diameter / 2
    expected = shank + HEADS / 2 - (HEADS / 2 - shank) * 0.5 / 2.54
    assert finding.limit == pytest.approx(expected if level is Level.ERROR else WIDE)


def test_one_finding_a_pair_for_doubled_screws():
    (finding,) = run(frame(("forward", 500, 100), ("forward", 500, 100)))
    assert finding.level is Level.ERROR
    assert finding.measured == 0.0
    assert "one and the same place" in finding.message


def test_three_in_a_heap_are_three_pairs():
    findings = run(frame(("forward", 500, 100), ("aft", 501, 100), ("forward", 500, 101)))
    assert len({finding.parts for finding in findings}) == len(findings) == 3


# ---- what makes no difference


def test_mirrored_moved_raked_and_reordered_frames_give_the_same():
    (straight,) = run(both_faces(3.0))
    parts = [
        making.part(label, making.rectangle(-700, 0, -300, 200), face=face, thickness=t)
        for label, face, t in (("side", "core", 18), ("gusset, forward", "forward", 9), ("gusset, aft", "aft", 9))
    ]
    mirrored = frame(("forward", -500, 100), ("aft", -503, 100), parts=parts)
    others = {
        "mirrored": mirrored,
        "moved": both_faces(3.0, station=5000.0),
        "raked": both_faces(3.0, station=5000.0, rake=0.41),
        "reordered": making.frame(joint()[::-1], screws=both_faces(3.0).screws[::-1]),
    }
    for name, other in others.items():
        (finding,) = run(other)
        assert finding.measured == pytest.approx(straight.measured, abs=1e-9), name
        assert finding.limit == pytest.approx(straight.limit, abs=1e-9), name
        assert finding.parts == straight.parts, name
        assert finding.message == straight.message, name
    (raked,) = run(others["raked"])
    assert raked.at == pytest.approx(others["raked"].placement.point(501.5, 100.0, 9.0))


# ---- the cure


def place(cure):
    """The place that a cure names, and what it says to move."""
    found = re.search(r"move (.+?) at least ([\d.]+) mm .*e\.g\. to y (-?[\d.]+), z (-?[\d.]+)", cure)
    return found[1], float(found[2]), (float(found[3]), float(found[4]))


def moved(met, name, at):
    """The frame with one of its screws elsewhere, driven afresh."""
    screws = [
        making.screw(
            met.parts,
            at if s.name == name else s.at,
            name=s.source.handle,
            driven_from=s.driven_from,
            size=s.size,
        )
        for s in met.screws
    ]
    return making.frame(met.parts, screws=screws)


@pytest.mark.parametrize(
    "met",
    [
        both_faces(0.0),
        both_faces(0.7),
        both_faces(9.0),
        frame(("forward", 500, 100), ("forward", 500, 100)),
        frame(("forward", 311, 100), ("aft", 313, 100)),  # close to an edge
        frame(("forward", 500, 100), ("aft", 503, 100), ("aft", 516, 100), ("aft", 516, 114)),  # among others
    ],
)
def test_following_the_cure_leaves_nothing_to_warn_of(met):
    first = run(met)[0]
    name, least, at = place(first.cure)
    before = next(s for s in met.screws if s.name == name)
    after = moved(met, name, at)
    assert np.hypot(*np.subtract(at, before.at)) >= least - 0.15
    pairs = {finding.parts for finding in run(after)}
    assert first.parts not in pairs
    assert pairs <= {finding.parts for finding in run(met)}
    assert list(CHECKS["screw-edge"].run(making.assembly([after]))) == []


def test_the_cure_is_no_further_than_it_has_to_be():
    (finding,) = run(both_faces(7.0))
    name, least, at = place(finding.cure)
    assert (name, least) == ("F5 forward screw 1", 3.5)
    assert at == (496.5, 100.0)


def follow(met, battens=()):
    """The frame after the first cure, and what screw-foul, -edge, -bite and foul give before and after."""
    boat = making.assembly([met], battens=battens)
    first = next(iter(FOUL.run(boat)))
    name, _, at = place(first.cure)
    after = making.assembly([moved(met, name, at)], battens=battens)
    checks = [CHECKS[slug] for slug in ("screw-foul", "screw-edge", "screw-bite", "foul")]
    return at, [{(f.check, f.level, f.parts) for check in checks for f in check.run(b)} for b in (boat, after)]


def test_the_cure_keeps_clear_of_a_batten_that_passes():
    """To starboard is the nearest place; a batten that has no notch there (as notch-missing says) is in the way."""
    met = both_faces(7.0)
    at, _ = follow(met)
    assert at == (496.5, 100.0)
    batten = making.straight_batten("port chine", (480.0, 100.0), arris=0.0)
    at, (before, after) = follow(met, [batten])
    assert after <= before
    assert not any(check == "foul" for check, _, _ in after)
    assert at != (496.5, 100.0)


def test_the_cure_keeps_the_screw_in_the_wood_that_it_holds():
    """The gusset behind ends 2 mm to port: past it the tip would leave 0.54 mm of the core."""
    parts = joint(core=9.0)
    parts[2] = making.part("gusset, aft", making.rectangle(300, 0, 510, 200), face="aft", thickness=9, core=9)
    size = screw_of_gauge(8, 0.6875 * INCH)
    met = frame(("forward", 501, 100, size), ("forward", 508, 100, size), parts=parts, core=9.0)
    at, (before, after) = follow(met)
    assert after < before
    assert at[0] <= 510


def test_the_cure_keeps_from_under_another_gusset():
    """6 mm to port lies the edge of a gusset on the face it is driven from: its head has no room nearer than 4.2."""
    parts = [*joint()[:1], making.part("half", making.rectangle(513, 0, 700, 200), face="forward", thickness=9)]
    met = frame(("forward", 500, 100), ("forward", 507, 100), parts=parts)
    _, (before, after) = follow(met)
    assert after < before
    assert not any(check == "foul" for check, _, _ in after)


def test_no_place_is_named_for_a_screw_that_meets_no_wood():
    met = frame(("forward", 800, 100), ("forward", 803, 100))
    (finding,) = run(met)
    assert "e.g." not in finding.cure


def test_where_there_is_no_room_the_cure_says_so():
    narrow = [
        making.part(label, making.rectangle(490, 90, 515, 112), face=face, thickness=t)
        for label, face, t in (("side", "core", 18), ("gusset, forward", "forward", 9), ("gusset, aft", "aft", 9))
    ]
    (finding,) = run(frame(("forward", 501, 101), ("aft", 504, 101), parts=narrow))
    assert "at least" in finding.cure
    assert "no place within 20 mm" in finding.cure
    assert "e.g." not in finding.cure


# ---- against another way to ask


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["forward", "aft"]),
            st.integers(4400, 4800),
            st.integers(800, 1200),
            st.sampled_from([0.5, 0.625, 0.75, 1.0]),
        ),
        min_size=2,
        max_size=14,
    )
)
def test_it_finds_what_asking_every_pair_in_space_finds(places):
    """Shafts in hull axes, one pair at a time, by the distance of segments; heads by their circles."""
    screws = [(face, y / 10, v / 10, screw_of_gauge(8, length * INCH)) for face, y, v, length in places]
    met = frame(*screws, station=5000.0, rake=0.3)
    expected = {}
    for one, other in itertools.combinations(met.screws, 2):
        ends = [met.placement.to_hull([[*s.at, s.head], [*s.at, s.tip]]) for s in (one, other)]
        (gap,) = making.segment_gap(*ends[0], *ends[1])
        axes = float(np.hypot(*np.subtract(one.at, other.at)))
        beside = gap < axes + 1e-9  # else they stop short of one another, and the nearest points are tips
        if beside and falls_short(axes, WIDE):
            heads = HEADS if one.driven_from == other.driven_from else 0.0
            expected[tuple(sorted((one.name, other.name)))] = (
                Level.ERROR if falls_short(axes, max(SHANK, heads)) else Level.WARNING
            )
    assert {finding.parts: finding.level for finding in run(met)} == expected


def test_a_frame_without_screws_or_with_one_has_none_to_meet():
    assert run(frame()) == []
    assert run(frame(("forward", 500, 100))) == []
