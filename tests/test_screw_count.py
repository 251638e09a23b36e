"""Check `screw-count`."""

import re
from dataclasses import replace

import gusseted
import making
import numpy as np
import pytest
from faults_of_joints import FAULTS
from gusseted import DEEP, HALF, INSIDE
from planted_joints import same_from_forward

from scrieve.model.checks import CHECKS
from scrieve.model.proposals.screws.moving import moves_in
from scrieve.model.proposals.screws.screw_added import moved_screws, places_for_more
from scrieve.shared.findings import Level

COUNT = CHECKS["screw-count"]
SIDE = [(HALF - 30, DEEP + 30.0), (HALF - 30, DEEP + 70.0)]
FLOOR = [(INSIDE - 30, 30.0), (INSIDE - 70, 30.0)]
SHORT = making.screw_of_gauge(8, 19.05)


def run(frame, limits=None):
    return list(COUNT.run(making.assembly([frame], limits=limits)))


def screwed(parts, places, *, kind="open", **more):
    """A frame of these parts with screws at the places for each face: {"forward": [...], "aft": [...]}."""
    screws = [
        making.screw(parts, at, name=f"screw {n}", driven_from=face, size=SHORT)
        for face, ats in places.items()
        for n, at in enumerate(ats, start=1)
    ]
    return making.frame(parts, screws=screws, kind=kind, **more)


def chine(face="forward"):
    """Floor and port side with a gusset on one face."""
    return [*gusseted.core(sides=(1,)), gusseted.corner_gusset(face=face, arm=90.0)]


@pytest.mark.parametrize("face", ["forward", "aft"])
def test_a_member_with_one_screw_is_found(face):
    (finding,) = run(screwed(chine(face), {face: [*SIDE, FLOOR[0]]}))
    assert (finding.check, finding.level, finding.frame) == ("screw-count", Level.ERROR, "5")
    assert (finding.measured, finding.limit) == (1.0, 2.0)
    assert finding.parts == ("F5 floor", "F5 port chine gusset")
    assert finding.message == "1 screw through F5 port chine gusset goes into F5 floor, want 2"
    assert finding.at[0] == (1027.0 if face == "forward" else 991.0)


@pytest.mark.parametrize("face", ["forward", "aft"])
def test_two_in_each_member_are_enough(face):
    assert run(screwed(chine(face), {face: [*SIDE, *FLOOR]})) == []


@pytest.mark.parametrize(("limit", "found"), [(1, 0), (2, 0), (2.5, 2), (3, 2)])
def test_the_limit_of_the_plan_counts(limit, found):
    # two screws: 1.25 times as many are wanted as there are, 0.8 times is less than there are
    frame = screwed(chine(), {"forward": [*SIDE, *FLOOR]})
    findings = run(frame, {"screw_count": limit})
    assert len(findings) == found
    assert all("add 1 screw into" in finding.cure for finding in findings)


def test_a_member_without_a_screw_is_told_so():
    (finding,) = run(screwed(chine(), {"forward": SIDE}))
    assert finding.message == "no screws through F5 port chine gusset go into F5 floor, want 2"
    assert finding.measured == 0.0


def test_a_gusset_without_a_screw_is_one_finding():
    parts = [*gusseted.core(), gusseted.corner_gusset(1, arm=90.0), gusseted.corner_gusset(-1, arm=90.0)]
    (finding,) = run(screwed(parts, {"forward": [*SIDE, *FLOOR]}))
    assert finding.message == (
        "no screw passes through F5 starboard chine gusset, want 2 into each of F5 floor and F5 starboard side"
    )
    assert finding.parts == ("F5 floor", "F5 starboard chine gusset", "F5 starboard side")
    assert "2 screws into F5 floor, e.g. at" in finding.cure
    assert "2 screws into F5 starboard side, e.g. at" in finding.cure


def test_a_face_without_a_screw_is_one_finding():
    parts = [*gusseted.core(), *gusseted.both_faces(1, arm=90.0), *gusseted.both_faces(-1, arm=90.0)]
    both_sides = [(sign * y, v) for y, v in (*SIDE, *FLOOR) for sign in (1, -1)]
    (finding,) = run(screwed(parts, {"forward": both_sides}))
    assert finding.message.startswith("no screw passes through any of the 2 gussets on the aft face of F5, want 2 into")
    assert len(finding.parts) == 2
    assert all(name.endswith(", aft") for name in finding.parts)


def test_where_no_screw_is_drawn_none_is_counted():
    assert run(making.frame(chine())) == []


@pytest.mark.parametrize("through", ["leg", "core", "pad"])
def test_screws_of_other_wood_than_gussets_say_nothing_of_these(through):
    """Gussets clamped and glued, legs or a pad screwed on: with one screw through a gusset they count."""
    leg = making.part("port leg", making.rectangle(100, -80, 180, 60), face="forward", role="leg", thickness=12)
    pad = making.part("pad", making.rectangle(100, 0, 180, 60), face="forward", role="plate", thickness=12)
    parts = [*chine(), *{"leg": [leg], "pad": [pad], "core": []}[through]]
    other = [(120.0, 20.0), (160.0, 40.0)]
    assert run(screwed(parts, {"forward": other})) == []
    assert len(run(screwed(parts, {"forward": [*other, SIDE[0]]}))) == 2


def test_nor_does_a_legs_screw_that_goes_on_into_a_gusset():
    parts = chine("aft")
    leg = making.part("port leg", making.rectangle(INSIDE - 80, 0, INSIDE, 60), face="forward", role="leg", thickness=6)
    long = making.screw_of_gauge(8, 40.0)
    ats = [(INSIDE - 30, 30.0), (INSIDE - 60, 30.0)]
    screws = [making.screw([*parts, leg], at, size=long, core=24.0, name=f"screw {n}") for n, at in enumerate(ats)]
    assert all({"leg", "gusset"} <= {ply.part.role for ply in screw.plies} for screw in screws)
    assert run(making.frame([*parts, leg], screws=screws)) == []


def test_screws_laid_out_by_computation_are_not_counted():
    drawn = screwed(chine(), {"forward": SIDE})
    proposed = [replace(screw, proposed=True) for screw in drawn.screws]
    assert run(making.frame(drawn.parts, screws=proposed)) == []
    assert len(run(making.frame(drawn.parts, screws=[*drawn.screws[:1], *proposed[1:]]))) > 0


def test_a_screw_from_the_other_face_counts_if_it_goes_half_through_the_gusset():
    # 18 mm of core: 9 mm of gusset less half is 4.5, so 22.5 mm of screw holds it and less does not
    for length, found in ((22.5, 0), (22.4, 1)):
        parts = chine()
        screws = [making.screw(parts, at, name=f"screw {n}") for n, at in enumerate(SIDE)]
        size = making.screw_of_gauge(8, length)
        screws += [making.screw(parts, at, name=f"s {n}", driven_from="aft", size=size) for n, at in enumerate(FLOOR)]
        assert len(run(making.frame(parts, screws=screws))) == found


def transom(places):
    board = making.part("transom", making.rectangle(-400, 0, 400, 600))
    plates = [gusseted.corner_gusset(side, arm=90.0) for side in (1, -1)]
    return screwed([board, *plates], {"forward": places}, kind="transom")


def test_on_a_board_the_board_is_the_one_member():
    enough = [SIDE[0], FLOOR[0]]
    assert run(transom([*enough, *((-y, v) for y, v in enough)])) == []
    (finding,) = run(transom([*enough, (-SIDE[0][0], SIDE[0][1])]))
    assert finding.parts == ("F5 starboard chine gusset", "F5 transom")
    (finding,) = run(transom(enough))
    assert "no screw passes through F5 starboard chine gusset, want 2 into F5 transom" in finding.message


def knee(places):
    """A plate of the role on the side, away from any joint, and the screws through it."""
    plate = making.part("port knee", making.rectangle(310, 300, 390, 400), face="forward", thickness=9.0)
    return screwed([*chine(), plate], {"forward": [*SIDE, *FLOOR, *places]})


def test_a_plate_away_from_the_joints_counts_once_it_is_screwed():
    assert run(knee([])) == []
    assert run(knee([(350, 320), (350, 380)])) == []
    (finding,) = run(knee([(350, 320)]))
    assert finding.parts == ("F5 port knee", "F5 port side")


def test_a_gusset_that_lies_on_nothing_has_nothing_to_count():
    plate = making.part("lost", making.rectangle(-50, 300, 50, 400), face="forward", thickness=9.0)
    assert run(screwed([*chine(), plate], {"forward": [*SIDE, *FLOOR]})) == []


def places_in(cure):
    return [(float(y), float(v)) for y, v in re.findall(r"y (-?[\d.]+), z (-?[\d.]+)", cure)]


@pytest.mark.parametrize("given", [[*SIDE, FLOOR[0]], SIDE, [SIDE[0], FLOOR[0]]])
def test_screws_added_at_the_places_named_satisfy_every_check_of_screws(given):
    frame = screwed(chine(), {"forward": given})
    findings = run(frame)
    more = [at for finding in findings for at in places_in(finding.cure)]
    assert len(more) == 4 - len(given)
    cured = screwed(list(frame.parts), {"forward": [*given, *more]})
    boat = making.assembly([cured])
    for slug in ("screw-count", "screw-edge", "screw-foul", "screw-bite", "driver", "foul"):
        assert [f for f in CHECKS[slug].run(boat) if f.level is not Level.NOTE] == [], slug


@pytest.mark.parametrize(("reach", "said"), [(18.0, "there is no room for any"), (24.0, "there is room for 1, at")])
def test_where_there_is_no_room_the_cure_says_so(reach, said):
    # hand-worked: No. 8 wants 2.5 x 4.17 = 10.4 mm to either edge, 20.8 mm of width, and as much to the next screw
    pieces = [making.part("port board", making.rectangle(0, 0, 400, 30))]
    pieces += [making.part("starboard board", making.rectangle(-400, 0, 0, 30))]
    strap = making.part("strap", making.rectangle(-90, 0, reach, 30), face="forward", thickness=9.0)
    (finding,) = run(screwed([*pieces, strap], {"forward": [(-20, 15), (-60, 15)]}))
    assert finding.parts == ("F5 port board", "F5 strap")
    assert f"2 screws into F5 port board ({said}" in finding.cure
    assert "widen the part or the gusset" in finding.cure


def test_mirrored_moved_raked_and_reordered_frames_give_the_same():
    given = [*SIDE, FLOOR[0]]
    (found,) = run(screwed(chine(), {"forward": given}))
    image = [*gusseted.core(sides=(-1,)), gusseted.corner_gusset(-1, arm=90.0)]
    (other,) = run(screwed(image, {"forward": [(-y, v) for y, v in given]}))
    assert other.measured == found.measured
    assert [(-y, v) for y, v in places_in(other.cure)] == places_in(found.cure)
    for more in ({"station": -2500.0}, {"rake": 0.4}):
        (moved,) = run(screwed(chine(), {"forward": given}, **more))
        assert (moved.message, moved.cure) == (found.message, found.cure)
    (again,) = run(screwed(chine()[::-1], {"forward": given[::-1]}))
    assert (again.message, again.cure) == (found.message, found.cure)


def test_a_fault_is_the_same_in_drawings_seen_from_forward(tmp_path):
    (fault,) = [fault for fault in FAULTS if fault.check == "screw-count"]
    same_from_forward(fault, tmp_path)


# ---- together with what else is proposed

SOUND = ("screw-edge", "screw-foul", "screw-bite", "foul")


def untidy(seed, faces):
    """The chine with a gusset on each of these faces and a few screws anyhow: too few, some too near an edge."""
    random = np.random.default_rng(seed)
    places = {}
    for face in faces:
        side = [(HALF - 30 + random.uniform(-24, 24), DEEP + v) for v in (25, 50, 75)[: random.integers(1, 3)]]
        floor = [(INSIDE - x, 30 + random.uniform(-24, 24)) for x in (25, 60)[: random.integers(0, 2)]]
        places |= dict.fromkeys((*side, *floor), face)
    parts = [*gusseted.core(sides=(1,)), *(gusseted.corner_gusset(face=face, arm=90.0) for face in faces)]
    screws = [
        making.screw(parts, at, name=f"screw {n}", driven_from=face, size=SHORT)
        for n, (at, face) in enumerate(places.items(), start=1)
    ]
    return making.frame(parts, screws=screws)


def proposed_for(frame):
    """Where each screw goes by the cures of the other checks, and what is added on which face."""
    boat = making.assembly([frame])
    added = [
        (next(part.face for part in frame.parts if part.role == "gusset" and part.name in finding.parts), at)
        for finding in COUNT.run(boat)
        for at in places_in(finding.cure)
    ]
    return {move.screw.name: move.at for move in moves_in(frame, boat).moves}, added


def with_added(frame, moves, added):
    """The frame with screws moved and added, and what is found wrong about those added."""
    parts = list(frame.parts)
    screws = [replace_at(parts, screw, moves.get(screw.name, screw.at)) for screw in frame.screws]
    screws += [
        making.screw(parts, at, name=f"added {n}", driven_from=face, size=SHORT) for n, (face, at) in enumerate(added)
    ]
    boat = making.assembly([making.frame(parts, screws=screws)])
    found = [finding for slug in SOUND for finding in CHECKS[slug].run(boat) if finding.level is not Level.NOTE]
    return [finding.message for finding in found if any("added" in name for name in finding.parts)]


def replace_at(parts, screw, at):
    return making.screw(parts, at, name=screw.name.split(" ", 2)[2], driven_from=screw.driven_from, size=screw.size)


@pytest.mark.parametrize("faces", [("forward",), ("aft",), ("forward", "aft")])
@pytest.mark.parametrize("seed", range(12))
def test_what_is_added_is_sound_with_and_without_what_the_other_cures_move(seed, faces):
    frame = untidy(seed, faces)
    moves, added = proposed_for(frame)
    assert added
    assert with_added(frame, {}, added) == []
    assert with_added(frame, moves, added) == []
    for name, at in moves.items():
        assert with_added(frame, {name: at}, added) == []


@pytest.mark.parametrize(("reach", "room"), [(30.0, False), (34.0, True), (36.0, True)])
def test_a_screw_is_not_added_where_another_goes(reach, room):
    # hand-worked: No. 8 wants 10.4 mm to either end and between two. The screw 5 mm from the butt goes to 10.5; from
    # there to the strap's end less 10.4 are 9.1 mm on a strap that reaches 30, and 13.1 on one that reaches 34
    pieces = [making.part("port board", making.rectangle(0, 0, 400, 30))]
    pieces += [making.part("starboard board", making.rectangle(-400, 0, 0, 30))]
    strap = making.part("strap", making.rectangle(-90, 0, reach, 30), face="forward", thickness=9.0)
    frame = screwed([*pieces, strap], {"forward": [(-20, 15), (-60, 15), (5, 15)]})
    moves, added = proposed_for(frame)
    assert list(moves) == ["F5 forward screw 3"]
    assert len(added) == room
    (finding,) = run(frame)
    assert ("there is no room for any" in finding.cure) is not room
    assert with_added(frame, moves, added) == [] == with_added(frame, {}, added)


def test_where_nothing_moves_the_places_are_as_ever():
    (finding,) = run(screwed(chine(), {"forward": [*SIDE, FLOOR[0]]}))
    frame = screwed(chine(), {"forward": [*SIDE, FLOOR[0]]})
    boat = making.assembly([frame])
    (gusset,) = (part for part in frame.parts if part.role == "gusset")
    floor = next(part for part in frame.core if part.name == "F5 floor")
    assert moved_screws(frame, boat) == []
    (alone,) = places_for_more(frame, boat, gusset, floor, 1)
    assert places_in(finding.cure) == [alone.at]
