"""The common solution for screws that stand too close: each move good alone, all of them together, none needless."""

from __future__ import annotations

import itertools
from dataclasses import replace

import making
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.checks import CHECKS
from scrieve.model.proposals.screws import moving
from scrieve.model.proposals.screws.moves import Moves
from scrieve.model.proposals.screws.moving import moves_in
from scrieve.shared.findings import Level, Source

WIDE = 2.5 * making.NO_8.diameter  # NDS Commentary, Table C12.1.5.7: edges and staggered rows; No. 8 is 4.1656 mm
CURED = ("screw-foul", "screw-edge")


def joint(board=None):
    """A core board with a gusset on both faces, 400 x 100 unless said otherwise."""
    board = board or making.rectangle(300, 0, 700, 100)
    return [
        making.part("side", board, thickness=18),
        making.part("gusset, forward", board, face="forward", thickness=9),
        making.part("gusset, aft", board, face="aft", thickness=9),
    ]


STARBOARD = making.rectangle(-700, 0, -300, 100)


def frame(*screws, parts=None, **more) -> Frame:
    """A frame of that joint and screws given as (face, y, v)."""
    parts = parts or joint()
    driven = [
        making.screw(parts, (y, v), name=f"screw {n:02}", driven_from=face)
        for n, (face, y, v) in enumerate(screws, start=1)
    ]
    return making.frame(parts, screws=driven, **more)


def solved(met: Frame) -> tuple[Moves, Assembly]:
    boat = making.assembly([met])
    return moves_in(met, boat), boat


def after(met: Frame, moves, out=()) -> Frame:
    """The frame once these moves are made and these screws are left out."""
    there = {move.screw: move.at for move in moves}
    left = set(out)
    screws = [
        making.screw(met.parts, there.get(s, s.at), name=s.source.handle, driven_from=s.driven_from)
        for s in met.screws
        if s not in left
    ]
    return making.frame(met.parts, screws=screws)


def found(met: Frame, checks=CURED) -> set[tuple[str, tuple[str, ...]]]:
    boat = making.assembly([met])
    return {(f.check, f.parts) for slug in checks for f in CHECKS[slug].run(boat)}


def test_one_move_cures_all_that_a_screw_is_in():
    """A square of four with another in its middle, 7.4 mm from each: the middle one alone has to go."""
    corners = [("aft", 500 + y, 50 + v) for y, v in ((5.25, 5.25), (-5.25, 5.25), (-5.25, -5.25), (5.25, -5.25))]
    met = frame(("forward", 500, 50), *corners)
    assert len(found(met)) == 4
    moves, _ = solved(met)
    assert [move.screw.name for move in moves.moves] == ["F5 forward screw 01"]
    assert found(after(met, moves.moves)) == set()


def test_a_screw_near_an_edge_is_the_one_that_moves():
    """By hand: 4 mm off the lower edge, and another 8 mm above it; up past 2.5 D = 10.41 mm, and clear of the other."""
    met = frame(("forward", 500, 4), ("forward", 500, 12))
    moves, _ = solved(met)
    (move,) = moves.moves
    assert move.screw.name == "F5 forward screw 01"
    assert move.at[1] >= WIDE
    assert np.hypot(move.at[0] - 500, move.at[1] - 12) >= WIDE
    # the corner of what is free, where it clears both, is sqrt(10.414^2 - 1.586^2) = 10.29 mm to the side
    assert np.hypot(move.at[0] - 500, move.at[1] - 4) == pytest.approx(np.hypot(10.29, 6.414), abs=1.0)


def test_moves_do_not_meet_one_another():
    """Two pairs side by side in a strip: the obvious places of both are one and the same."""
    met = frame(("forward", 480, 50), ("aft", 484, 50), ("forward", 496, 50), ("aft", 500, 50))
    moves, _ = solved(met)
    assert found(after(met, moves.moves)) == set()


def test_where_there_is_no_place_one_of_the_two_is_left_out():
    narrow = joint(making.rectangle(490, 90, 515, 112))
    met = frame(("forward", 502, 101), ("aft", 503, 101), parts=narrow)
    moves, _ = solved(met)
    assert moves.moves == ()
    (screw,) = moves.out
    assert "leave F5 forward screw 01 out" in next(CHECKS["screw-foul"].run(making.assembly([met]))).cure
    assert screw.name == "F5 forward screw 01"
    assert found(after(met, (), moves.out)) == set()


def test_a_warning_without_a_place_stays_as_it_is():
    narrow = joint(making.rectangle(488, 90, 517, 111))
    met = frame(("forward", 498.5, 100.5), ("aft", 506.5, 100.5), parts=narrow)
    moves, _ = solved(met)
    assert not moves.moves and not moves.out


def test_a_place_that_another_leaves_is_taken_where_there_is_no_other():
    """A strip 22 mm wide holds one row. What is in the middle of three goes past the last; then there is room."""
    met = frame(
        ("forward", 494, 11), ("aft", 496, 11), ("forward", 504, 11), parts=joint(making.rectangle(480, 0, 535, 22))
    )
    moves, boat = solved(met)
    second, first = moves.moves
    assert (first.screw.name, first.after, second.after) == ("F5 forward screw 01", (second.screw,), ())
    assert found(after(met, moves.moves)) == set()
    assert found(after(met, [first])) != set()
    cures = [finding.cure for finding in CHECKS["screw-foul"].run(boat)]
    assert any(cure.endswith("once the other screws have moved") for cure in cures)


def test_what_is_drawn_as_one_moves_as_one():
    """Mirror images of one drawn screw: both sides have to have room, and the way of the image is turned about."""
    parts = [*joint(), *(replace(p, name=p.name + " 2") for p in joint(STARBOARD))]
    source = Source(file="frames/5.dxf", handle="2F")
    pair = [
        replace(
            making.screw(parts, (y, 4.0), name="screw", driven_from="forward"), name=name, source=source, image=image
        )
        for y, name, image in ((500.0, "F5 forward screw 1", False), (-500.0, "F5 forward screw 4", True))
    ]
    # to starboard the nearest place is taken, to port nothing is in the way
    other = making.screw(parts, (-500.0, 19.0), name="screw 3", driven_from="aft")
    met = making.frame(parts, screws=[*pair, other])
    moves, _ = solved(met)
    port, starboard = moves.moves
    assert port.at == pytest.approx((-starboard.at[0], starboard.at[1]))
    assert np.hypot(starboard.at[0] + 500, starboard.at[1] - 19) >= WIDE
    assert port.at[1] >= WIDE
    findings = [f for slug in CURED for f in CHECKS[slug].run(making.assembly([met]))]
    assert all("drawn as one with it, F5 forward screw" in f.cure for f in findings if f.check == "screw-edge")


def test_a_frame_drawn_twice_over_is_cured_for_both():
    """Two frames share one drawing; in the second a gusset's edge is in the way of the nearest place."""
    source = Source(file="frames/5.dxf", handle="2F")
    frames = []
    for number, right in (("5", 700.0), ("6", 512.0)):
        parts = [
            making.part("side", making.rectangle(300, 0, 700, 100), frame=number),
            making.part("gusset", making.rectangle(300, 0, right, 100), frame=number, face="forward", thickness=9),
        ]
        drawn = replace(making.screw(parts, (500.0, 4.0), frame=number), source=source)
        beside = making.screw(parts, (498.0, 14.0), name="screw 2", frame=number)
        frames.append(making.frame(parts, number=number, station=1000.0 * int(number), screws=[drawn, beside]))
    boat = making.assembly(frames)
    moves = moves_in(frames[0], boat)
    assert moves_in(frames[1], boat).moves[0].at == moves.moves[0].at
    assert {move.screw.frame for move in moves.moves if move.screw.source == source} == {"5", "6"}
    assert len({move.at for move in moves.moves if move.screw.source == source}) == 1


SCREWS = st.lists(
    st.tuples(st.sampled_from(["forward", "aft"]), st.integers(4500, 5500), st.integers(20, 980)),
    min_size=2,
    max_size=16,
).map(lambda places: [(face, y / 10, v / 10) for face, y, v in places])


@settings(max_examples=60)
@given(SCREWS, st.data())
def test_any_of_the_moves_alone_and_all_together_make_nothing_worse(screws, data):
    met = frame(*screws)
    moves, _ = solved(met)
    before = found(met)
    cured = {each.name for each in (*(move.screw for move in moves.moves), *moves.out)}
    assert found(after(met, moves.moves, moves.out)) == {what for what in before if cured.isdisjoint(what[1])}
    alone = [move for move in moves.moves if not move.after]
    some = data.draw(st.lists(st.sampled_from(alone), unique=True)) if alone else []
    assert found(after(met, some)) <= before
    faulty = {name for _, parts in before for name in parts}
    assert {move.screw.name for move in moves.moves} <= faulty


@settings(max_examples=30)
@given(SCREWS)
def test_the_mirror_image_is_solved_by_the_mirror_image(screws):
    there = {move.screw.source.handle: move.at for move in solved(frame(*screws))[0].moves}
    turned = frame(*((face, -y, v) for face, y, v in screws), parts=joint(STARBOARD))
    back = {move.screw.source.handle: (-move.at[0], move.at[1]) for move in solved(turned)[0].moves}
    assert there.keys() == back.keys()
    for name, at in there.items():
        assert back[name] == pytest.approx(at, abs=1e-6)


def test_the_order_of_screws_and_parts_makes_no_difference():
    screws = [("forward", 500, 50), ("aft", 503, 52), ("forward", 508, 47), ("aft", 500, 5), ("forward", 505, 9)]
    met = frame(*screws)
    wanted = {move.screw.name: move.at for move in solved(met)[0].moves}
    for order in itertools.islice(itertools.permutations(met.screws), 0, 120, 17):
        other = making.frame(met.parts[::-1], screws=order)
        assert {move.screw.name: move.at for move in solved(other)[0].moves} == wanted


def test_all_places_are_clear_by_hand():
    """The distances measured anew, without the checks."""
    met = frame(("forward", 500, 50), ("aft", 501, 51), ("forward", 502, 4), ("aft", 506, 9), ("forward", 498, 93))
    moves, _ = solved(met)
    at = {move.screw.name: move.at for move in moves.moves}
    stand = [(screw, at.get(screw.name, screw.at)) for screw in met.screws]
    board = shapely.box(300, 0, 700, 100).boundary
    for (_, one), (_, other) in itertools.combinations(stand, 2):
        assert np.hypot(*np.subtract(one, other)) >= WIDE - 1e-9
    for _, place in stand:
        assert board.distance(shapely.Point(place)) >= WIDE - 1e-9


def test_what_is_too_crowded_is_told_and_every_finding_stays(monkeypatch):
    """With a budget that some of the moves use up: the others say no place, and a note counts them."""
    rows = [("forward", 320 + 6 * n, 30 + 40 * m) for n in range(60) for m in range(2)]
    met = frame(*rows)
    whole, boat = solved(met)
    assert not whole.given_up
    before = found(met)
    monkeypatch.setattr(moving, "_MOST_STEPS", 20_000)
    again = frame(*rows)
    some, boat = solved(again)
    assert 0 < len(some.moves) < len(whole.moves)
    assert found(again) - before == {("screw-foul", ())}  # the note
    notes = [f for f in CHECKS["screw-foul"].run(boat) if f.level is Level.NOTE]
    assert [note.message for note in notes] == [
        f"places for {len(some.given_up)} screws of F5 that stand too close were not looked for: too crowded"
    ]
    assert not some.out
    assert found(after(again, some.moves)) < before | {("screw-foul", ())}
