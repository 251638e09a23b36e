"""Check `gusset-lap`."""

from dataclasses import replace

import gusseted
import making
import numpy as np
import pytest
import shapely
from faults_of_joints import FAULTS
from gusseted import DEEP, HALF, HIGH, INSIDE, LIMIT
from planted_joints import HULLS, same_from_forward

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.placement import Placement
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.relations.joints.joint import joints
from scrieve.shared.findings import Level

LAP = CHECKS["gusset-lap"]


def run(frame, limits=None):
    return list(LAP.run(making.assembly([frame], limits=limits)))


def strap(starboard=80.0, port=80.0, *, corners=None, angle=0.0, deep=100.0, slant=0.0):
    """A board in two that butts at y = 0 (or leaning by `slant` at the top), and a plate so far past it both ways."""
    boards = [
        [(0, 0), (400, 0), (400, deep), (slant, deep)],
        [(-400, 0), (0, 0), (slant, deep), (-400, deep)],
    ]
    plate = corners or [(-starboard, 0), (port, 0), (port, deep), (-starboard, deep)]
    parts = [
        making.part(label, Outline.of(making.turned(points, angle)))
        for label, points in zip(("port board", "starboard board"), boards, strict=True)
    ]
    outline = Outline.of(making.turned(plate, angle))
    return making.frame([*parts, *gusseted.faces_of(making.part("strap", outline, face="forward", thickness=9.0))])


@pytest.mark.parametrize("reach", [1.0, 0.8 * LIMIT, LIMIT - 0.01])
def test_a_gusset_that_reaches_less_past_a_square_joint_is_found(reach):
    # hand-worked: the core is 18 mm thick, four times that is 72 mm
    (finding,) = run(strap(port=reach))
    assert (finding.check, finding.level, finding.frame, finding.unit) == ("gusset-lap", Level.ERROR, "5", "mm")
    assert finding.measured == pytest.approx(reach, abs=1e-6)
    assert finding.limit == pytest.approx(72.0)
    assert finding.parts == ("F5 port board", "F5 strap, aft", "F5 strap, forward")
    assert finding.at[1] == pytest.approx(reach)
    assert "over F5 port board past its joint with F5 starboard board" in finding.message


@pytest.mark.parametrize("missing", [True, False])
def test_a_gusset_cut_out_for_a_batten_falls_not_short_where_the_part_lacks_the_notch(missing):
    """That is told of the notch; without the batten the gusset ends 30 mm past the joint."""
    frame = strap(corners=[(-80, 0), (30, 0), (30, 60), (62, 60), (62, 0), (80, 0), (80, 100), (-80, 100)])
    others = [replace(strap(), number=number, placement=Placement(station=x, rake=0.0))
              for number, x in (("4", 0.0), ("6", 2000.0))]  # fmt: skip
    frames = [others[0], frame, others[1]]
    sections = [
        making.section("port keelson", (46.0 if missing else 200.0, 30.0), angle=np.pi / 2, frame=each.number)
        for each in frames
    ]
    batten = making.batten(
        "port keelson", sections, [each.placement for each in frames], long=60.0, short=32.0, arris=0.0
    )
    found = [finding.measured for finding in LAP.run(making.assembly(frames, battens=[batten])) if finding.frame == "5"]
    assert found == ([] if missing else pytest.approx([30.0]))


@pytest.mark.parametrize("reach", [LIMIT, LIMIT + 0.01, 1.25 * LIMIT])
def test_a_gusset_that_reaches_far_enough_is_not(reach):
    assert run(strap(port=reach, starboard=reach)) == []


def test_each_side_is_told_by_itself_and_its_length_in_the_cure():
    to_port, to_starboard = run(strap(port=60.0, starboard=50.0))
    assert to_port.cure == "lengthen F5 strap on both faces by 12.0 mm along F5 port board"
    assert to_starboard.cure == "lengthen F5 strap on both faces by 22.0 mm along F5 starboard board"


def test_plates_drawn_for_each_face_are_told_for_each():
    whole = strap(port=60.0)
    plates = [
        making.part(f"{face} strap", making.rectangle(-80, 0, 60, 100), face=face, thickness=9.0)
        for face in ("forward", "aft")
    ]
    forward, aft = run(making.frame([*whole.core, *plates]))
    assert {*forward.parts, *aft.parts} == {"F5 forward strap", "F5 aft strap", "F5 port board"}
    assert (forward.at[0], aft.at[0]) == (1018.0, 1000.0)


def test_the_limit_is_in_thicknesses_of_the_core():
    frame = strap(port=60.0)
    assert run(frame, {"gusset_lap": 3}) == []
    (finding,) = run(frame, {"gusset_lap": 3.5})
    assert finding.limit == pytest.approx(63.0)


@pytest.mark.parametrize("angle", [0.3, 1.2, 2.9, 4.0])
def test_the_reach_is_the_same_whichever_way_the_boards_lie(angle):
    (finding,) = run(strap(port=60.0, angle=angle))
    assert finding.measured == pytest.approx(60.0, abs=1e-6)


@pytest.mark.parametrize("arm", [57.6, 71.0, 71.99])
@pytest.mark.parametrize("low", [True, False])
def test_past_a_mitre_it_counts_from_the_inner_end_along_the_part(arm, low):
    plates = {"low": low, "arm": arm, "along": 80.0}
    frame = gusseted.frame([*gusseted.core(kind="ring"), *gusseted.both_faces(1, **plates)], kind="ring")
    (finding,) = run(frame)
    assert finding.measured == pytest.approx(arm, abs=1e-6)
    end = DEEP + arm if low else HIGH - DEEP - arm
    assert finding.at == pytest.approx((1018.0, INSIDE, end))
    assert "F5 port side" in finding.parts


@pytest.mark.parametrize("arm", [72.0, 90.0])
def test_past_a_mitre_far_enough(arm):
    assert run(gusseted.full(port={"arm": arm})) == []


@pytest.mark.parametrize("slant", [-60.0, -20.0, 20.0, 60.0])
def test_past_a_slanting_joint_it_counts_from_its_nearer_end(slant):
    # the end of the plate is square to the board: hand-worked, its distance from the end of the joint nearer to it
    (finding,) = run(strap(port=60.0 + max(slant, 0.0), starboard=90.0 + max(-slant, 0.0), slant=slant))
    assert finding.measured == pytest.approx(60.0, abs=1e-6)


@pytest.mark.parametrize(
    ("what", "corners"),
    [
        ("tapered arms", [(-80, 16), (0, 0), (80, 16), (80, 84), (0, 100), (-80, 84)]),
        ("back from an edge", [(-80, 10), (80, 10), (80, 100), (-80, 100)]),
        ("cut off corners", [(-80, 20), (-60, 0), (60, 0), (80, 20), (80, 80), (60, 100), (-60, 100), (-80, 80)]),
        ("past the inner edge", [(-80, 0), (80, 0), (80, 100), (0, 180), (-80, 100)]),
        ("let in for a batten", [(-80, 0), (-20, 0), (-20, 20), (20, 20), (20, 0), (80, 0), (80, 100), (-80, 100)]),
    ],
)
def test_what_is_bare_beside_a_gusset_does_not_count(what, corners):
    assert run(strap(corners=corners)) == []


def test_rounded_corners_do_not_count():
    # arcs of 20 mm radius at an end exactly at the limit
    end, r, bulge = LIMIT, 20.0, np.tan(np.pi / 8)
    points = [(-80, 0), (end - r, 0), (end, r), (end, 100 - r), (end - r, 100), (-80, 100)]
    outline = Outline.of(points, [0, bulge, 0, bulge, 0, 0])
    plate = making.part("strap", outline, face="forward", thickness=9.0)
    assert run(making.frame([*strap().core, *gusseted.faces_of(plate)])) == []


def test_a_gusset_with_a_big_hole_reaches_to_the_hole():
    whole = strap(port=200.0)
    hole = making.rectangle(40, 30, 80, 70)
    plates = [part for part in whole.parts if part.face != "core"]
    shape = plates[0].shape.difference(hole.polygon())
    with_hole = [replace(plate, shape=shape, holes=(hole,)) for plate in plates]
    (finding,) = run(making.frame([*whole.core, *with_hole]))
    assert finding.measured == pytest.approx(40.0, abs=1e-6)


def standing(up=80.0, down=100.0, inboard=0.0):
    """A side that stands on the floor, and a plate over the joint: up the side, and down over the floor's depth."""
    plate = making.rectangle(INSIDE - inboard, DEEP - down, HALF, DEEP + up)
    strap = making.part("port strap", plate, face="forward", thickness=9.0)
    return making.frame([*gusseted.core(mitred=False, sides=(1,)), *gusseted.faces_of(strap)])


def test_where_a_part_runs_on_past_the_joint_only_what_is_in_front_of_it_counts():
    assert run(standing()) == []
    assert run(standing(inboard=80.0)) == []
    (finding,) = run(standing(down=50.0))
    assert finding.measured == pytest.approx(50.0, abs=1e-6)
    assert "F5 floor" in finding.parts
    (finding,) = run(standing(up=50.0))
    assert finding.measured == pytest.approx(50.0, abs=1e-6)
    assert "F5 port side" in finding.parts


def test_a_part_that_ends_sooner_is_covered_to_its_end():
    short = making.part("port board", making.rectangle(0, 0, 30, 100))
    parts = [part for part in strap().parts if part.label != "port board"]
    assert run(making.frame([*parts, short])) == []


def test_what_does_not_lie_over_a_joint_is_not_judged():
    transom = making.part("transom", making.rectangle(-400, 0, 400, 600))
    assert run(making.frame([transom, *gusseted.both_faces(1, arm=20.0)], kind="transom")) == []


def test_a_joint_that_is_mostly_bare_is_left_to_joint_bare():
    frame = strap(corners=[(-20, 0), (20, 0), (20, 50), (-20, 50)])
    assert run(frame) == []
    assert len(list(CHECKS["joint-bare"].run(making.assembly([frame])))) == 2


def test_mirrored_moved_raked_and_reordered_frames_give_the_same():
    plain = gusseted.full(port={"arm": 60.0, "along": 80.0})
    (found,) = run(plain)
    (other,) = run(gusseted.mirrored(plain))
    assert other.measured == pytest.approx(found.measured, abs=1e-6)
    assert other.at == pytest.approx((found.at[0], -found.at[1], found.at[2]), abs=1e-6)
    for more in ({"station": -2500.0}, {"rake": 0.4}):
        (moved,) = run(gusseted.full(port={"arm": 60.0, "along": 80.0}, **more))
        assert (moved.measured, moved.message, moved.cure) == (found.measured, found.message, found.cure)
    (again,) = run(making.frame(plain.parts[::-1]))
    assert again == found


def test_a_fault_is_the_same_in_drawings_seen_from_forward(tmp_path):
    (fault,) = [fault for fault in FAULTS if fault.check == "gusset-lap"]
    same_from_forward(fault, tmp_path)


def mitre(corner, arms, deep, angle):
    """Two members `deep` wide that meet at `corner` radians on their mitre, a plate whose ends are square to them.

    The first lies along +y from the outer corner at the origin, all of it then turned by `angle`.
    """
    inner = np.array([deep / np.tan(corner / 2), deep])
    ways = [np.array([1.0, 0.0]), np.array([np.cos(corner), np.sin(corner)])]
    members, plates = [], []
    for way, arm in zip(ways, arms, strict=True):
        reach = float(inner @ way)
        members.append([(0, 0), way * 900, inner + way * (900 - reach), inner])
        plates.append([(0, 0), way * (reach + arm), inner + way * arm, inner])
    names = ("port", "starboard")
    parts = [
        making.part(f"{name} board", Outline.of(making.turned(points, angle)))
        for name, points in zip(names, members, strict=True)
    ]
    (low, high) = (Outline.of(making.turned(points, angle)).polygon() for points in plates)
    whole = low.union(high).buffer(1e-7, join_style="mitre")
    plate = making.part("knee", Outline.of(list(whole.exterior.coords)[:-1]), face="forward", thickness=9.0)
    return making.frame([*parts, *gusseted.faces_of(plate)])


@pytest.mark.parametrize("seed", range(40))
def test_the_reach_past_any_mitre_is_the_length_of_the_arm(seed):
    random = np.random.default_rng(seed)
    corner, angle = random.uniform(1.0, 2.9), random.uniform(0, 2 * np.pi)
    arms, deep = random.uniform(0.3 * LIMIT, 1.6 * LIMIT, 2), random.uniform(60, 150)
    found = sorted(finding.measured for finding in run(mitre(corner, arms, deep, angle)))
    assert found == pytest.approx(sorted(arm for arm in arms if arm < LIMIT), abs=1e-4)


def shortened(gusset, end, by):
    """The outline of the gusset with `by` mm cut off square to the straight edge after corner `end`."""
    points = gusset.drawn.points
    a, b = points[end], points[(end + 1) % len(points)]
    along = (b - a) / np.hypot(*(b - a))
    inward = np.array([-along[1], along[0]]) * (1 if shapely.is_ccw(gusset.drawn.polygon().exterior) else -1)
    a, b = a - 60 * along, b + 60 * along  # past the arm, not as far as the other one
    off = shapely.Polygon([a - 5 * inward, b - 5 * inward, b + by * inward, a + by * inward])
    left = max(shapely.get_parts(gusset.shape.difference(off)), key=lambda piece: piece.area)
    return Outline.of(list(left.exterior.coords)[:-1])


def arm_ends(gusset, core):
    """The straight edges of a gusset that run across a member: the middle lies well inside it."""
    corners = gusset.drawn.points
    following = np.roll(corners, -1, axis=0)
    lines = shapely.boundary([part.shape for part in core])
    for n, (a, b) in enumerate(zip(corners, following, strict=True)):
        middle = shapely.Point((a + b) / 2)
        straight = gusset.drawn.bulges[n] == 0.0 and np.hypot(*(b - a)) > 40
        if straight and shapely.distance(lines, middle).min() > 15:
            yield n


def least_off(gusset, end, frame):
    """How far the straight edge after corner `end` lies from the nearest joint that the gusset is over, mm."""
    points = gusset.drawn.points
    edge = shapely.LineString([points[end], points[(end + 1) % len(points)]])
    return min(joint.line.distance(edge) for joint in joints(frame) if joint.line.intersects(gusset.shape))


def check_with(frame, assembly, gusset, drawn):
    """What is found with the gusset drawn like that on both faces."""
    shape = drawn.polygon()
    parts = [replace(p, drawn=drawn, shape=shape) if p.label == gusset.label else p for p in frame.parts]
    changed = replace(frame, parts=tuple(parts))
    return list(LAP.on_frame(changed, assembly))


@pytest.mark.parametrize("boat", ["skiff", "pram"])
def test_every_arm_of_every_drafted_gusset_is_found_just_when_it_is_too_short(boat):
    assembly = assemble(read_plan(HULLS / boat))
    tried = 0
    for whole in assembly.frames:
        limit = 4 * whole.core_thickness
        for gusset in (part for part in whole.parts if part.role == "gusset" and part.face == "forward"):
            if whole.kind == "transom":
                continue
            for end in arm_ends(gusset, whole.core):
                drawn = least_off(gusset, end, whole)
                for share, found in ((1.25, 0), (1.01, 0), (0.99, 1), (0.8, 1)):
                    shape = shortened(gusset, end, drawn - share * limit)
                    findings = check_with(whole, assembly, gusset, shape)
                    assert len(findings) == found, (whole.name, gusset.name, share)
                    for finding in findings:
                        assert finding.measured == pytest.approx(share * limit, abs=0.02)
                tried += 1
    assert tried == {"skiff": 36, "pram": 8}[boat]


@pytest.mark.parametrize(("reach", "told"), [(77.0, 0), (73.0, 0), (60.0, 2)])
def test_a_level_gusset_on_rising_floors_ends_where_it_ends_and_not_along_their_tops(reach, told):
    """At 72 mm 16.4 mm of the tops are bare, from 75 mm on more than a quarter of the joint, 17 mm."""
    high = 68 + 400 * 0.234
    boards = [[(0, 0), (400, 0), (400, high), (0, 68)], [(-400, 0), (0, 0), (0, 68), (-400, high)]]
    parts = [
        making.part(label, Outline.of(points)) for label, points in zip(("port", "starboard"), boards, strict=True)
    ]
    plate = Outline.of([(-reach, 0), (reach, 0), (reach, 68), (-reach, 68)])
    frame = making.frame([*parts, *gusseted.faces_of(making.part("strap", plate, face="forward", thickness=9.0))])
    assert len(run(frame)) == told
