"""Check `joint-bare`."""

import gusseted
import making
import pytest
from faults_of_joints import FAULTS
from gusseted import DEEP, HALF, INSIDE, LIMIT
from planted_joints import same_from_forward

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

BARE = CHECKS["joint-bare"]
LENGTH = DEEP * 2**0.5  # of a mitre


def run(frame, limits=None):
    return list(BARE.run(making.assembly([frame], limits=limits)))


def without(*names, kind="open", number="5", **more):
    """A frame with all its gussets but these."""
    whole = gusseted.full(kind="ring" if kind == "ring" else "open")
    parts = [part for part in whole.parts if part.name not in {f"F5 {name}" for name in names}]
    return making.frame(parts, kind=kind, number=number, **more)


def test_a_frame_with_all_its_gussets_has_no_bare_joint():
    assert run(without()) == []
    assert run(without(kind="ring")) == []


def test_a_joint_without_a_gusset_on_one_face_is_found():
    (finding,) = run(without("port chine gusset, aft"))
    assert (finding.check, finding.level, finding.frame) == ("joint-bare", Level.ERROR, "5")
    assert finding.parts == ("F5 floor", "F5 port side")
    assert finding.message == "F5 floor and F5 port side butt without a gusset on the aft face"
    assert finding.measured == pytest.approx(LENGTH)
    assert finding.limit == pytest.approx(LENGTH / 4)
    # on the aft face, in the middle of the joint
    assert finding.at == pytest.approx((1000, (HALF + INSIDE) / 2, DEEP / 2), abs=0.05)
    assert finding.cure == (
        "add a gusset on the aft face over y 300.0, z 100.0 to y 400.0, z 0.0, reaching 72.0 mm past the joint "
        "into both"
    )


def test_without_any_gusset_each_joint_is_bare_on_either_face():
    # four joints of a ring, two faces
    assert len(run(gusseted.frame(gusseted.core(kind="ring"), kind="ring"))) == 8
    assert len(run(gusseted.frame(gusseted.core()))) == 4


@pytest.mark.parametrize(
    ("kind", "gone", "found"),
    [
        ("transom", ["aft"], 0),
        ("transom", ["forward"], 1),
        ("transom", ["forward", "aft"], 1),
        ("bulkhead", ["aft"], 0),
        ("bulkhead", ["forward"], 0),
        ("bulkhead", ["forward", "aft"], 1),
        ("open", ["forward", "aft"], 2),
    ],
)
def test_the_faces_that_should_have_one(kind, gone, found):
    findings = run(without(*(f"port chine gusset, {face}" for face in gone), kind=kind))
    assert len(findings) == found
    if kind == "transom" and found:
        assert "on the forward face" in findings[0].message
    if kind == "bulkhead" and found:
        assert "on either face" in findings[0].message


def test_a_transom_at_the_bow_wants_its_gussets_inside():
    bow = without("port chine gusset, aft", kind="transom", station=3000.0)
    stern = making.frame([making.part("stern", making.rectangle(-400, 0, 400, 300), frame="1")], number="1")
    findings = [f for f in BARE.run(making.assembly([stern, bow])) if f.frame == bow.number]
    assert len(findings) == 1 and "on the aft face" in findings[0].message
    bow = without("port chine gusset, forward", kind="transom", station=3000.0)
    assert [f for f in BARE.run(making.assembly([stern, bow])) if f.frame == bow.number] == []


def board(share):
    """A board in two pieces that butt at y = 0 over 100 mm; a gusset over `share` of the joint on both faces."""
    pieces = [
        making.part("port board", making.rectangle(0, 0, 400, 100)),
        making.part("starboard board", making.rectangle(-400, 0, 0, 100)),
    ]
    plate = making.part("butt strap", making.rectangle(-100, 0, 100, 100 * share), face="forward", thickness=9.0)
    return making.frame([*pieces, *gusseted.faces_of(plate)])


@pytest.mark.parametrize(("share", "found"), [(1.0, 0), (0.8, 0), (0.7501, 0), (0.7499, 2), (0.6875, 2), (0.5, 2)])
def test_a_quarter_of_the_joint_may_be_bare(share, found):
    # hand-worked: 100 mm of joint, 25 mm of it may be bare; 0.6875 leaves 31.25 mm, 1.25 times as much
    findings = run(board(share))
    assert len(findings) == found
    for finding in findings:
        assert finding.measured == pytest.approx(100 * (1 - share))
        assert finding.limit == pytest.approx(25)
        assert "butt strap" in finding.message
        assert finding.at[2] == pytest.approx(100 * (1 + share) / 2)


@pytest.mark.parametrize("past", [-0.03, 0.0])
def test_a_plate_that_ends_at_the_joint_covers_nothing(past):
    plate = making.part("butt strap", making.rectangle(past, 0, 100, 100), face="forward", thickness=9.0)
    pieces = [part for part in board(1.0).parts if part.face == "core"]
    findings = run(making.frame([*pieces, *gusseted.faces_of(plate)]))
    assert len(findings) == (2 if past == 0.0 else 0)


def test_two_gussets_cover_a_joint_together():
    pieces = [part for part in board(1.0).parts if part.face == "core"]
    plates = [
        making.part(f"strap {n}", making.rectangle(-100, low, 100, high), face="forward", thickness=9.0)
        for n, (low, high) in enumerate([(0, 45), (45, 90)])
    ]
    (finding,) = run(making.frame([*pieces, *plates]))
    assert "aft" in finding.message


def test_a_plate_without_the_role_is_named_in_the_cure():
    pieces = [part for part in board(1.0).parts if part.face == "core"]
    plate = making.part("strap", making.rectangle(-100, 0, 100, 100), face="forward", thickness=9.0, role="plate")
    forward, aft = run(making.frame([*pieces, plate]))
    assert forward.cure.startswith('give the layer of F5 strap role = "gusset" if that is what it is; or add')
    assert aft.cure.startswith("add")


def test_a_joint_too_open_to_be_known_by_its_edges_is_judged_as_well():
    # 20 mm apart: the forward gusset tells that they were meant to butt, and the aft one is missing
    plate = making.part("strap", making.rectangle(-100, 0, 100, 100), face="forward", thickness=9.0)
    pieces = [
        making.part("port board", making.rectangle(20, 0, 400, 100)),
        making.part("starboard board", making.rectangle(-400, 0, 0, 100)),
    ]
    (finding,) = run(making.frame([*pieces, plate]))
    assert "on the aft face" in finding.message


def test_a_leg_that_butts_wants_no_gusset():
    floor = making.part("floor", making.rectangle(-400, 100, 400, 200))
    leg = making.part("port leg", making.rectangle(280, 0, 325, 100), role="leg")
    assert run(making.frame([floor, leg])) == []


def test_mirrored_moved_raked_and_reordered_frames_give_the_same():
    plain = without("port chine gusset, aft")
    (found,) = run(plain)
    (other,) = run(gusseted.mirrored(plain))
    assert (other.measured, other.limit) == pytest.approx((found.measured, found.limit))
    assert other.parts == ("F5 floor", "F5 starboard side")
    assert other.at == pytest.approx((found.at[0], -found.at[1], found.at[2]))
    for more in ({"station": -2500.0}, {"rake": 0.4}):
        (moved,) = run(without("port chine gusset, aft", **more))
        assert (moved.measured, moved.message, moved.cure) == (found.measured, found.message, found.cure)


def test_the_reach_that_the_cure_asks_for_is_the_limit_of_the_plan():
    (finding,) = run(without("port chine gusset, aft"), {"gusset_lap": 3})
    assert f"reaching {LIMIT * 3 / 4:.1f} mm" in finding.cure


def test_a_fault_is_the_same_in_drawings_seen_from_forward(tmp_path):
    (fault,) = [fault for fault in FAULTS if fault.check == "joint-bare"]
    same_from_forward(fault, tmp_path)


def test_a_slanting_joint_is_measured_along_it():
    # hand-worked: from (0, 0) to (75, 100) it is 125 mm long
    port = making.part("port board", Outline.of([(0, 0), (400, 0), (400, 100), (75, 100)]))
    starboard = making.part("starboard board", Outline.of([(-400, 0), (0, 0), (75, 100), (-400, 100)]))
    findings = run(making.frame([port, starboard]))
    assert [f.measured for f in findings] == pytest.approx([125, 125], abs=0.05)


@pytest.mark.parametrize("frames", [1, 2])
def test_gussets_all_on_one_face_are_their_designers_way_if_several_frames_have_them_so(frames):
    gone = "port chine gusset, aft", "starboard chine gusset, aft"
    many = [without(*gone, number=str(5 + n), station=1000.0 + 500 * n) for n in range(frames)]
    found = list(BARE.run(making.assembly(many)))
    assert len(found) == 2 * frames
    assert {finding.level for finding in found} == {Level.ERROR if frames == 1 else Level.NOTE}
