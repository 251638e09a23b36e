"""Check `foul`: screws in battens, beside plates, out of their own wood and against other frames."""

import re
from dataclasses import replace

import making
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.placement import Placement
from scrieve.shared.findings import Level

FOUL = CHECKS["foul"]
LIMIT = 0.1


def run(frames, **more):
    frames = frames if isinstance(frames, list) else [frames]
    return list(FOUL.run(making.assembly(frames, **more)))


# ---- screws


def batten(centre=(500.0, 100.0), *, station=1000.0, slope=0.0, **more):
    sections = [
        making.section("port chine", (centre[0] + slope * dx, centre[1]), frame=number)
        for number, dx in (("4", -500), ("5", 0), ("6", 500))
    ]
    placements = [Placement(station=station + dx) for dx in (-500.0, 0.0, 500.0)]
    return making.batten("port chine", sections, placements, **more)


def screwed(at, **more):
    parts = [
        making.part("side", making.rectangle(300, 0, 700, 300)),
        making.part("gusset", making.rectangle(300, 0, 700, 300), face="forward", thickness=9),
    ]
    return making.frame(parts, screws=[making.screw(parts, at)], **more)


RADIUS = making.NO_8.diameter / 2


@pytest.mark.parametrize("bite", [LIMIT + 0.01, 1.0, 3.0])
def test_a_screw_in_a_batten(bite):
    """The batten's flat side lies 10 mm from its middle, the shank's edge `bite` inside it."""
    (finding,) = run(screwed((500, 110 + RADIUS - bite)), battens=[batten()])
    assert finding.measured == pytest.approx(bite, abs=1e-9)
    assert finding.parts == ("F5 forward screw 1", "port chine")
    assert finding.at == pytest.approx((1000 + (27 + 7.95) / 2, 500, 110 + RADIUS - bite))
    assert f"move F5 forward screw 1 at least {np.ceil(bite * 10) / 10:.1f} mm up" in finding.cure


@pytest.mark.parametrize("bite", [LIMIT - 0.01, 0.0, -5.0])
def test_a_screw_beside_a_batten(bite):
    assert run(screwed((500, 110 + RADIUS - bite)), battens=[batten()]) == []


def test_a_leaning_batten_is_where_it_is_at_the_depth_of_the_screw():
    """A slope of 0.5: at the screw, 8 to 27 mm forward of the station, it lies 4 to 13.5 mm further to port."""
    leaning = batten(slope=0.5)
    edge = 500 + 16 * np.sqrt(1.25) + 0.5 * 27
    (finding,) = run(screwed((edge + RADIUS - 0.5, 100)), battens=[leaning])
    assert finding.measured == pytest.approx(0.5, abs=1e-6)
    assert run(screwed((edge + RADIUS - 0.09, 100)), battens=[leaning]) == []


def test_a_batten_ends_at_its_last_section():
    frame = screwed((500, 105), station=5000.0)
    assert run(replace(frame, number="9"), battens=[batten()]) == []


def test_a_screw_that_crosses_a_space_into_another_part():
    board = making.rectangle(300, 0, 700, 200)
    thin = making.part("gusset", board, face="forward", thickness=9)
    far = replace(making.part("side", board), low=0.0, high=12.0)
    screw = making.screw([thin, far], (500, 100))  # tip at 27 - 19.05 = 7.95, 4.05 mm past the space
    (finding,) = run(making.frame([thin, far], screws=[screw]))
    assert finding.parts == ("F5 forward screw 1", "F5 side")
    assert finding.measured == pytest.approx(4.05)
    assert "forward screw 1 at least 4.1 mm forward" in finding.cure


def test_a_screw_in_its_own_wood_is_no_foul():
    assert run(screwed((500, 100))) == []


HEAD = making.NO_8.head_diameter / 2


def beside_a_gusset(off, *, face="forward", mirror=1, order=1, **more):
    """A core board, a gusset on half of a face and one on the whole of the other, and a screw `off` the half."""

    def board(left, right):
        low, high = sorted((mirror * left, mirror * right))
        return making.rectangle(low, 0, high, 200)

    other = "aft" if face == "forward" else "forward"
    parts = [
        making.part("side", board(300, 700)),
        making.part("half", board(300, 500), face=face, thickness=9),
        making.part("whole", board(300, 700), face=other, thickness=9),
    ]
    screw = making.screw(parts, (mirror * (500 + off), 100), driven_from=face)
    return making.frame(parts[::order], screws=[screw], **more)


@pytest.mark.parametrize("face", ["forward", "aft"])
@pytest.mark.parametrize("off", [0.1, 0.5, 1.0, 3.0, HEAD - LIMIT - 0.01])
def test_a_screw_just_off_the_edge_of_a_gusset(off, face):
    """The axis misses the gusset, so the head is flush with the core below: it cannot get there."""
    frame = beside_a_gusset(off, face=face)
    assert [ply.part.label for ply in frame.screws[0].plies] == ["side", "whole"]
    (finding,) = run(frame)
    assert finding.level is Level.ERROR
    assert finding.parts == (f"F5 {face} screw 1", "F5 half")
    assert finding.measured == pytest.approx(HEAD - off)
    assert finding.message == (
        f"F5 {face} screw 1 is driven into the edge of F5 half: its axis lies {off:.2f} mm beside it, "
        f"its head reaches {HEAD - off:.2f} mm over it, want 0.10 mm at most"
    )
    assert finding.at == pytest.approx((1018.0 if face == "forward" else 1000.0, 500 + off, 100))
    assert list(CHECKS["screw-edge"].run(making.assembly([frame]))) == []


@pytest.mark.parametrize("off", [HEAD - LIMIT + 0.01, HEAD, 8.0])
def test_a_screw_clear_of_the_edge_of_a_gusset(off):
    assert run(beside_a_gusset(off)) == []


@pytest.mark.parametrize("off", [-3.0, -0.1, 0.0])
def test_a_screw_in_its_ply_near_an_edge_belongs_to_screw_edge(off):
    frame = beside_a_gusset(off)
    assert run(frame) == []
    (finding,) = CHECKS["screw-edge"].run(making.assembly([frame]))
    assert finding.parts == ("F5 forward screw 1", "F5 half")


def test_a_screw_near_a_butt_joint_belongs_to_screw_edge():
    """1 mm into the one core part, its shank reaches 1.08 mm into the other."""
    parts = [
        making.part("floor", making.rectangle(100, 0, 500, 200)),
        making.part("side", making.rectangle(500, 0, 900, 200)),
        making.part("gusset", making.rectangle(300, 0, 700, 200), face="forward", thickness=9),
    ]
    frame = making.frame(parts, screws=[making.screw(parts, (501, 100))])
    assert run(frame) == []
    (finding,) = CHECKS["screw-edge"].run(making.assembly([frame]))
    assert finding.level is Level.ERROR


@pytest.mark.parametrize("mirror", [1, -1])
def test_both_cures_of_a_screw_off_the_edge_cure(mirror):
    (finding,) = run(beside_a_gusset(1.0, mirror=mirror))
    there, back = ("port", "starboard") if mirror > 0 else ("starboard", "port")
    clear, well_in = (float(n) for n in re.findall(r"([\d.]+) mm to", finding.cure))
    assert finding.cure == (
        f"move F5 forward screw 1 at least {clear:.1f} mm to {there}, clear of F5 half, "
        f"or {well_in:.1f} mm to {back}, well into it"
    )
    assert run(beside_a_gusset(1.0 + clear, mirror=mirror)) == []
    mended = beside_a_gusset(1.0 - well_in, mirror=mirror)
    assert run(mended) == []
    assert list(CHECKS["screw-edge"].run(making.assembly([mended]))) == []


@pytest.mark.parametrize("more", [{"mirror": -1}, {"order": -1}, {"station": 5000.0, "rake": 0.4}])
def test_mirrored_moved_raked_and_reordered_screws_give_the_same(more):
    (straight,) = run(beside_a_gusset(1.0))
    (finding,) = run(beside_a_gusset(1.0, **more))
    assert finding.measured == pytest.approx(straight.measured, abs=1e-9)
    assert (finding.message, finding.parts) == (straight.message, straight.parts)


@pytest.mark.parametrize(("off", "count"), [(0.2, 1), (1.0, 1), (1.5, 0)])
def test_a_tip_that_comes_out_beside_a_part(off, count):
    """5 mm out of the core, where its tip has 2.0828 x 5 / 8.3312 = 1.25 mm of radius left."""
    parts = [
        making.part("side", making.rectangle(300, 0, 700, 200)),
        making.part("half", making.rectangle(300, 0, 500, 200), face="aft", thickness=9),
    ]
    screw = making.screw(parts, (500 + off, 100), size=replace(making.NO_8, length=23.0))
    findings = run(making.frame(parts, screws=[screw]))
    assert len(findings) == count
    for finding in findings:
        assert finding.parts == ("F5 forward screw 1", "F5 half")
        assert finding.measured == pytest.approx(1.25 - off, abs=1e-9)
        assert "F5 forward screw 1 at least" in finding.cure
        assert "to port" in finding.cure


def test_a_screw_that_passes_a_thin_part_beside_its_edge_is_in_it_by_its_thickness():
    parts = [
        making.part("side", making.rectangle(300, 0, 700, 200)),
        making.part("half", making.rectangle(300, 0, 500, 200), face="aft", thickness=1.0),
    ]
    screw = making.screw(parts, (500.2, 100), size=replace(making.NO_8, length=29.0))
    (finding,) = run(making.frame(parts, screws=[screw]))
    assert finding.measured == pytest.approx(1.0)
    assert "at least 1.9 mm to port" in finding.cure


def facing_frames(gap, *, out):
    """Frames 4 and 5 a gap apart; from each frame named in `out` a screw comes 5 mm out towards the other."""
    board = making.rectangle(300, 0, 700, 200)
    size = replace(making.NO_8, length=23.0)
    frames = []
    for number, station, face in (("4", 1000.0 - 18.0 - gap, "aft"), ("5", 1000.0, "forward")):
        part = making.part("side", board, frame=number)
        screws = [making.screw([part], (500, 100), size=size, driven_from=face, frame=number)]
        frames.append(making.frame([part], number=number, station=station, screws=screws if number in out else ()))
    return frames


@pytest.mark.parametrize(
    ("out", "pair"), [("5", ("F4 side", "F5 forward screw 1")), ("4", ("F4 aft screw 1", "F5 side"))]
)
def test_a_screw_that_comes_out_into_another_frame(out, pair):
    assert run(facing_frames(6.0, out=out)) == []
    (finding,) = run(facing_frames(3.0, out=out))
    assert finding.parts == pair
    # the 2 mm of the tip, a cone, are least wide square to its side: its base times the cosine of half its angle
    slope = 2.0828 / 8.3312
    assert finding.measured == pytest.approx(2 * slope * 2.0 * np.cos(np.arctan(slope)), abs=0.01)


def test_screws_of_two_frames_that_come_out_and_meet():
    """Tips of 5 mm in a gap of 6: point past point by 4 mm, on one axis; in a gap of 11 they stop short."""
    assert run(facing_frames(11.0, out="45")) == []
    (finding,) = run(facing_frames(6.0, out="45"))
    assert finding.parts == ("F4 aft screw 1", "F5 forward screw 1")
    assert finding.at == pytest.approx((997.0, 500.0, 100.0), abs=0.01)
    assert 0.1 < finding.measured < 2 * 2.0828 * 2.0 / 8.3312


def test_a_screw_that_comes_out_into_a_rail():
    """A leg stands behind the end of the rails; a screw through it runs into the end of one."""
    ply = making.part("port leg", making.rectangle(280, -100, 340, 0), role="leg")
    screw = making.screw([ply], (302, -50), driven_from="aft", size=replace(making.NO_8, length=28.0))
    assert screw.left_beyond == pytest.approx(-10.0)
    for gap, count in ((11.0, 0), (4.0, 1)):
        frame = making.frame([ply], screws=[screw], station=-200.0 - 18.0 - gap)
        findings = run(frame, strongback=making.rails())
        assert [{s.name for s in f.subjects} for f in findings] == [{"F5 aft screw 1", "port rail"}] * count
