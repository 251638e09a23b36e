"""Dowels proposed where the drawing shows none: they hold, they are few, they leave room, they agree with the drawn."""

import shutil
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import dowelled
import ezdxf
import making
import numpy as np
import pytest

from scrieve.model.assemble import assemble
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.proposals.dowels import dowels_proposed
from scrieve.model.proposals.dowels.dowels_proposed import FIRM, dowel_notes, proposed, with_dowels
from scrieve.model.relations.dowels.contact import joint_pushes, standing_pushes
from scrieve.model.relations.dowels.holding import held_in_turn
from scrieve.model.review import review
from scrieve.shared.findings import Level, Source
from scrieve.shared.limits import Limits

HULLS = Path(__file__).parents[1] / "hulls"
GAP, D = 0.3, 10.0


def stripped(hull, folder):
    """A copy of a demonstration boat without its dowels."""
    shutil.copytree(HULLS / hull, folder)
    for drawing in sorted((folder / "frames").glob("*.dxf")):
        document = ezdxf.readfile(drawing)
        space = document.modelspace()
        for circle in [c for c in space.query("CIRCLE") if c.dxf.layer == "DOWELS"]:
            space.delete_entity(circle)
        document.saveas(drawing)
    return folder


def findings(boat):
    return review(boat, only=("dowel", "dowel-hold"))


@pytest.mark.parametrize("hull", ["skiff", "pram"])
def test_without_its_dowels_a_demo_gets_those_that_were_drawn(hull, tmp_path):
    drawn = assemble(read_plan(HULLS / hull))
    bare = assemble(read_plan(stripped(hull, tmp_path / hull)))
    assert sum(len(frame.dowels) for frame in drawn.frames) > 0
    for one, other in zip(drawn.frames, bare.frames, strict=True):
        assert not any(dowel.proposed for dowel in one.dowels)
        assert all(dowel.proposed for dowel in other.dowels)
        assert [d.name for d in one.dowels] == [d.name for d in other.dowels]
        places = [np.array([d.at for d in frame.dowels]) for frame in (one, other)]
        assert places[1] == pytest.approx(places[0], abs=1e-3)  # drawings are written to a ten-thousandth
    assert findings(drawn) == findings(bare) == ()


@pytest.mark.parametrize("hull", ["skiff", "pram"])
def test_the_report_says_how_many_are_proposed_where(hull, tmp_path):
    boat = assemble(read_plan(stripped(hull, tmp_path / hull)))
    given = [frame for frame in boat.frames if frame.dowels]
    notes = [d for d in boat.defects if "dowels" in d.message]
    assert [note.level for note in notes] == [Level.NOTE]
    count, size = sum(len(frame.dowels) for frame in given), given[0].dowels[0].diameter
    names = ", ".join(frame.name for frame in given)
    assert notes[0].message == (
        f"no dowels are drawn in {names}: {count} of {size:g} mm are proposed where they hold the parts"
    )


def test_a_plan_with_its_dowels_drawn_says_nothing_of_them():
    assert [d for d in assemble(read_plan(HULLS / "skiff")).defects if "dowel" in d.message] == []


@pytest.fixture(scope="module")
def skiff():
    """The skiff's frames without dowels, by number."""
    return {f.number: replace(f, dowels=()) for f in assemble(read_plan(HULLS / "skiff")).frames}


def firm(frame):
    """How firmly the part that is held least is held; 0 where one is not."""
    held = held_in_turn(frame.core, standing_pushes(frame, GAP), joint_pushes(frame))
    return min(held.values()) if len(held) == len(frame.core) else 0.0


@pytest.mark.parametrize("number", ["2", "3", "4", "5", "6", "7"])
def test_they_hold_well_and_none_of_them_could_be_left_out(skiff, number):
    (frame,), without, _ = with_dowels([skiff[number]], D, Limits())
    assert without == ()
    assert firm(frame) >= FIRM
    for dowel in frame.dowels:
        pair = [d for d in frame.dowels if abs(abs(d.at[0]) - abs(dowel.at[0])) < 0.1 and d.at[1] == dowel.at[1]]
        rest = tuple(d for d in frame.dowels if d not in pair)
        assert firm(replace(frame, dowels=rest)) < FIRM


@pytest.mark.parametrize("number", ["2", "4", "7"])
def test_a_frame_alike_on_both_sides_gets_dowels_alike_on_both_sides(skiff, number):
    (frame,), _, _ = with_dowels([skiff[number]], D, Limits())
    there = sorted((round(d.at[0], 2), round(d.at[1], 2)) for d in frame.dowels)
    assert there == sorted((round(-y, 2) + 0.0, v) for y, v in there)


def test_holes_of_all_frames_leave_a_diameter_of_board_between_them(skiff):
    frames, without, _ = with_dowels(list(skiff.values()), D, Limits())
    assert without == ()
    at = [(frame.number, dowel.at) for frame in frames for dowel in frame.dowels]
    for (_, a), (_, b) in combinations(at, 2):
        assert np.hypot(a[0] - b[0], a[1] - b[1]) >= 2 * D


def test_a_frame_moves_aside_for_holes_that_are_there_and_shares_those_that_are_the_same(skiff):
    frame = skiff["4"]
    places = [place.at for place in proposed(frame, D, Limits())]
    same = proposed(frame, D, Limits(), [making.dowel(at) for at in places])
    assert [place.at for place in same] == places
    beside = [making.dowel((y + 6.0, v)) for y, v in places]
    moved = [place.at for place in proposed(frame, D, Limits(), beside)]
    for y, v in moved:
        assert all(np.hypot(y - hole.at[0], v - hole.at[1]) >= 2 * D for hole in beside)
    assert firm(replace(frame, dowels=tuple(making.dowel(at, frame="4") for at in moved))) > 0


def test_frames_that_are_alike_share_their_holes():
    first, second = (dowelled.frame(at=[], number=n, station=s) for n, s in (("1", 0.0), ("2", 500.0)))
    taken = [place.at for place in proposed(first, D, Limits())]
    frames, without, _ = with_dowels([first, second], D, Limits())
    assert without == ()
    assert [d.at for d in frames[0].dowels] == [d.at for d in frames[1].dowels] == taken


def small_boards(number, long, high):
    """Two boards butted at y = 0, so small that few places on them go with those on another such frame."""
    halves = making.rectangle(0, 0, long, high), making.rectangle(-long, 0, 0, high)
    parts = [making.part(name, half, frame=number) for name, half in zip("ab", halves, strict=True)]
    return making.frame(parts, number=number, station=500.0 * int(number))


def test_a_frame_that_finds_no_room_chooses_first():
    first, second = small_boards("1", 90, 40), small_boards("2", 50, 25)
    taken = [making.dowel(place.at) for place in proposed(first, D, Limits())]
    assert proposed(second, D, Limits(), taken) is None
    frames, without, _ = with_dowels([first, second], D, Limits())
    assert without == ()
    assert findings(making.assembly(frames)) == ()
    for (_, a), (_, b) in combinations([(f.number, d.at) for f in frames for d in f.dowels], 2):
        assert np.hypot(a[0] - b[0], a[1] - b[1]) >= 2 * D or np.hypot(a[0] - b[0], a[1] - b[1]) < 0.01


def test_boards_that_only_hold_one_another_get_dowels():
    frame = dowelled.frame(at=[])
    (given,), without, _ = with_dowels([frame], D, Limits())
    assert without == ()
    assert findings(making.assembly([given])) == ()


def test_drawn_dowels_stay_as_they_are_and_a_board_in_one_piece_gets_none():
    drawn = dowelled.frame(at=[(50, -5)])
    single = dowelled.frame(dowelled.boards()[:1], at=[], number="6")
    empty = making.frame([], number="7")
    frames, without, _ = with_dowels([drawn, single, empty], D, Limits())
    assert [f.dowels for f in frames] == [drawn.dowels, (), ()]
    assert without == ()


def test_round_parts_can_be_held_by_nothing():
    """A surface of revolution is never in form closure (Lynch & Park, Modern Robotics, 2017, section 12.1.7)."""
    discs = [making.part(name, Outline.circle((y, 0.0), 100.0)) for name, y in (("port", 150.0), ("starboard", -150.0))]
    frame = making.frame(discs)
    doweled = with_dowels([frame], D, Limits())
    frames, without, _ = doweled
    assert frames == [frame]
    assert without == (frame,)
    (note,) = dowel_notes(doweled, Source(file="plan.toml"))
    assert note.level is Level.NOTE
    assert note.message == "no dowels are drawn in F5, and no places were found for any that hold all its parts"
    assert findings(making.assembly(frames)) == ()


def test_a_lopsided_frame_and_its_mirror_image_are_both_held():
    for side in (1, -1):
        port, starboard = making.rectangle(0, 0, 300, 100), making.rectangle(-180, 0, 0, 60)
        outlines = [port, starboard] if side > 0 else [port.mirrored(), starboard.mirrored()]
        frame = making.frame([making.part(name, o) for name, o in zip(("a", "b"), outlines, strict=True)])
        (given,), without, _ = with_dowels([frame], D, Limits())
        assert without == ()
        assert findings(making.assembly([given])) == ()


def test_a_frame_too_crowded_to_search_gets_no_dowels_and_a_note_and_the_others_theirs(skiff, monkeypatch):
    monkeypatch.setattr(dowels_proposed, "_MOST_STEPS", 100_000_000)
    row = [making.part(f"piece {n}", making.rectangle(60 * n, 0, 60 * n + 60, 100)) for n in range(12)]
    crowded = making.frame(row)
    doweled = with_dowels([crowded, *skiff.values()], D, Limits())
    assert (doweled.without, doweled.crowded) == ((), (crowded,))
    assert [len(frame.dowels) for frame in doweled.frames[1:]] == [
        len(frame.dowels) for frame in with_dowels(list(skiff.values()), D, Limits()).frames
    ]
    notes = dowel_notes(doweled, Source(file="plan.toml"))
    assert notes[-1].message == "no dowels are drawn in F5, and none are proposed: too crowded with parts or edges"
