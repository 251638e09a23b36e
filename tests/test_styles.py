"""Boats in draughtsmen's habits: sound ones are silent, and what is planted in them is told."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from pathlib import Path

import drawings
import ezdxf
import pytest
from measure_styles import report, tried
from styles.faults import planted
from styles.frames import Frame, boat
from styles.habit import AS_THEY_ARE, JOINTS, Style, at_random
from styles.sheet import drawn

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.relations.joints.joint import joints
from scrieve.model.review import review
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.findings import Finding, Level

SHAPED = sorted(set(JOINTS) - {"butt", "standing"})
BARE = {"legs": "", "beams": "none"}


def assembled(folder: Path, style: Style, frames: Sequence[Frame] | None = None) -> Assembly:
    return assemble(read_plan(drawn(folder, style, frames)))


def faults(found: Sequence[Finding]) -> list[tuple[str, str]]:
    return [(f.check, str(f.message)) for f in found if f.level is not Level.NOTE]


@pytest.mark.parametrize("seed", range(1, 9))
def test_sound_boats_are_silent_and_what_is_planted_in_them_is_told(seed):
    outcomes = tried(seed, 2)
    assert len(outcomes) == 3
    assert [(o.again, o.invented) for o in outcomes if o.invented] == []
    assert [o.again for o in outcomes if o.due and not o.found] == []
    assert any(line.startswith("1 sound boats, 0 with") for line in report(outcomes))


def test_the_seeds_draw_every_habit():
    drawn = {habit.split("=")[0] for seed in range(1, 201) for habit in at_random(seed).habits}
    assert drawn == set(Style.__dataclass_fields__) - AS_THEY_ARE


@pytest.mark.parametrize("joint", [*SHAPED, "butt"])
@pytest.mark.parametrize(("relief", "gap"), [("dogbone", 0.8), ("tbone", 15.0), ("dogbone", -0.65)])
def test_a_joint_drawn_open_or_over_is_told_once(joint, relief, gap, tmp_path):
    style = Style(joint=joint, relief=relief, frames=3, **BARE)
    frames = boat(style)
    floor = frames[1].piece("floor")
    floor.move(lambda c: c.mark == "joint" and c.y > 0, (-gap, 0.0))
    (told,) = review(assembled(tmp_path, style, frames), only=["joint-gap"])
    assert told.parts == ("F2 floor", "F2 port side")
    # the ends of a bevel and a birdsmouth lie askew to the way in which the floor is short
    share = {"bevel": 100 / (60**2 + 100**2) ** 0.5, "birdsmouth": 50 / (25**2 + 50**2) ** 0.5}
    assert told.measured == pytest.approx(abs(gap) * share.get(joint, 1.0), abs=0.01)


@pytest.mark.parametrize("joint", SHAPED)
def test_what_a_large_cutter_leaves_in_a_corner_is_no_joint(joint, tmp_path):
    style = Style(joint=joint, cutter=14.0, radius=5.0, frames=3, **BARE)
    assert review(assembled(tmp_path, style), only=["joint-gap"]) == ()


@pytest.mark.parametrize("joint", ["tenon", "half-lap"])
def test_a_tenon_in_its_mortise_is_no_notch(joint, tmp_path):
    found = assembled(tmp_path, Style(joint=joint, sections=False, **BARE))
    shown = assembled(tmp_path / "drawn", Style(joint=joint, **BARE))
    assert len(shown.battens) == len(found.battens) == 5
    for one, other in zip(found.battens, shown.battens, strict=True):
        assert [s.centre for s in one.sections] == [pytest.approx(s.centre, abs=1.0) for s in other.sections]


@pytest.mark.parametrize("way", ["cross", "line", "insert"])
def test_screws_drawn_as_small_symbols_lie_at_their_centres(way, tmp_path):
    circles, symbols = (assembled(tmp_path / way, Style(screws=way, frames=3, **BARE)) for way in ("circle", way))
    assert [[s.at for s in f.screws] for f in symbols.frames] == [
        [pytest.approx(s.at) for s in f.screws] for f in circles.frames
    ]
    assert all(f.screws for f in symbols.frames)


def redrawn(folder: Path, layer: str, size: float) -> Assembly:
    """A boat whose circles on a layer are squares of this size instead, or texts where it is 0."""
    drawn(folder, Style(screws="circle", dowels=True, frames=3, **BARE))
    for file in (folder / "frames").iterdir():
        document = ezdxf.readfile(file)
        for circle in list(document.query(f'CIRCLE[layer=="{layer}"]')):
            u, v, _ = circle.dxf.center
            document.modelspace().delete_entity(circle)
            if size:
                drawings.rectangle(document.modelspace(), u, v, u + size, v + size, layer=layer)
            else:
                drawings.text(document.modelspace(), "+", (u, v), layer=layer)
        document.saveas(file)
    return assemble(read_plan(folder))


@pytest.mark.parametrize("layer", ["DOWELS", "SCREWS FWD"])
def test_small_outlines_on_layers_of_screws_and_dowels_are_such(layer, tmp_path):
    found = redrawn(tmp_path, layer, 20.0)
    assert all(frame.dowels and frame.screws and not frame.unread for frame in found.frames)
    assert not any(each.proposed for frame in found.frames for each in (*frame.dowels, *frame.screws))


@pytest.mark.parametrize("size", [60.0, 0.0])
@pytest.mark.parametrize("layer", ["DOWELS", "SCREWS FWD"])
def test_nothing_is_proposed_in_place_of_what_is_drawn_and_cannot_be_read(layer, size, tmp_path):
    found = redrawn(tmp_path, layer, size)
    assert not any(each.proposed for frame in found.frames for each in (*frame.dowels, *frame.screws))
    told = faults(review(found, only=["outline"]))
    what = "outlines" if size else "texts"
    assert len(told) == 3
    assert all(f"{what} on layer {layer}; none are proposed" in message for _, message in told)


@pytest.mark.parametrize(
    ("shy", "said"), [(0.0, "edges flush with"), (0.25, "edges flush with"), (3.0, "edges 3.0 mm in")]
)
def test_the_steps_say_by_how_much_gussets_stand_in(shy, said, tmp_path):
    steps = steps_of(assembled(tmp_path, Style(shy=shy, frames=3, **BARE)))
    watched = [words for step in steps for words in step.watch if "outside of the frame" in words]
    assert watched and all(words.startswith(said) for words in watched)


@pytest.mark.parametrize("joint", [*SHAPED, "butt"])
@pytest.mark.parametrize("relief", ["dogbone", "tbone"])
def test_parts_that_overlap_at_their_joint_by_less_than_its_limit_are_silent_in_the_reliefs_too(
    joint, relief, tmp_path
):
    style = Style(joint=joint, relief=relief, frames=3, **BARE)
    frames = boat(style)
    for side in (1, -1):
        frames[1].piece("floor").move(lambda c, side=side: c.mark == "joint" and c.y * side > 0, (0.4 * side, 0.0))
    assert faults(review(assembled(tmp_path, style, frames), only=["foul", "joint-gap", "corner"])) == []


@pytest.mark.parametrize("sections", [True, False])
def test_two_frames_at_one_station_are_told_as_that(sections, tmp_path):
    style = Style(sections=sections, **BARE)
    spoilt = planted("stations_alike", style, boat(style), 1)
    assert "station" in {check for check, _ in faults(review(assembled(tmp_path, style, spoilt.frames)))}


@pytest.mark.parametrize("shy", [2.0, 5.0])
@pytest.mark.parametrize("core", [12.0, 18.0])
def test_a_finger_joint_whose_flanks_the_reliefs_take_away_is_one_joint(shy, core, tmp_path):
    style = Style(joint="finger", shy=shy, core=core, beams="all", legs="", frames=5)
    found = assembled(tmp_path, style)
    assert faults(review(found, only=["gusset-lap", "joint-bare", "screw-count"])) == []
    assert [len(joints(frame)) for frame in found.frames] == [4] * 5


@pytest.mark.parametrize("along", [3.0, 6.0, 12.0, -6.0])
def test_a_dowels_cure_keeps_clear_of_the_holes_of_other_frames_or_shares_one(along, tmp_path):
    """The dowel along a side's edge in F2 is 9 mm off; in F4, the same frame, it stands so far along the edge."""
    style = Style(dowels=True, **BARE)
    frames = boat(style)
    for number, side in ((14, 1), (15, -1)):
        (y, v), (y4, v4) = frames[1].dowels[number], frames[3].dowels[number]
        frames[1].dowels[number], frames[3].dowels[number] = (y - side * 9, v), (y4, v4 + along)
    found = review(assembled(tmp_path, style, frames), only=["dowel"])
    assert len(found) == 2
    for finding in found:
        y, v = map(float, re.search(r"to y (-?[\d.]+), z ([\d.]+)", finding.cure).groups())
        off = min(math.hypot(y - at[0], v - at[1]) for f in (*frames[:1], *frames[2:]) for at in f.dowels)
        assert off < 0.1 or off > 2 * 10 - 0.1


@pytest.mark.parametrize(("side", "by"), [(0, -6), (0, -2), (0, 4), (1, -4), (1, 2), (1, 4)])
def test_a_section_unlike_the_corners_of_two_walls_that_it_lies_in_is_told(side, by, tmp_path):
    """The sheer of 45 x 16 mm in the corner that the top and the outer line leave open; no sections are drawn."""
    sides = [45, 16]
    sides[side] += by
    changes = {"section = [45, 16]": f"section = {sides}"}
    found = review(assembled(tmp_path, Style(sections=False, changes=changes, **BARE)), only=["notch-slack"])
    assert {(f.level, f.subjects[0].name) for f in found} == {
        (Level.WARNING if by > 0 else Level.NOTE, f"{hand} sheer") for hand in ("port", "starboard")
    }


@pytest.mark.parametrize("end", [0, -1])
@pytest.mark.parametrize("frames", ["", '\nframes = ["2", "4"]'])
def test_a_batten_without_a_notch_in_an_end_frame_is_told_unless_the_plan_ends_it_there(end, frames, tmp_path):
    own = "section = [40, 14]"
    style = Style(sections=False, changes={own: own + frames}, **BARE)
    drawn_ = boat(style)
    for piece in drawn_[end].pieces:
        piece.corners = [c for c in piece.corners if not c.mark.startswith("chine")]
    told = faults(review(assembled(tmp_path, style, drawn_), only=["outline", "notch-missing"]))
    assert len(told) == (0 if frames else 2)
    assert all("which has no notch for it" in words for _, words in told)


@pytest.mark.parametrize(
    "style",
    [
        Style(sawn=True, core=20.0, cut="block", sections=False, beams="all", flare=5.0, sheets=True),
        Style(sawn=True, core=20.0, cut="scarf", shy=5.0, relief="tbone", flare=9.0, unit="in"),
        Style(transoms=True, motor_board=True, doubler=True, sheets=True, unit="cm", unitless=True),
        Style(quoted=True, unit="in", core=12.7, cutter=6.35, sheets=True),
        Style(quoted=True, core=19.05, cutter=9.525, together=True, half=True, thickness=True, legs="one-ply"),
    ],
    ids=["butt blocks", "scarfs", "motor board", "quoted in inches", "quoted in mm"],
)
def test_sound_boats_with_habits_that_few_seeds_draw_are_silent(style, tmp_path):
    assert faults(review(assembled(tmp_path, style))) == []


def test_a_butt_block_that_is_missing_is_told(tmp_path):
    style = Style(sawn=True, core=20.0, cut="block", legs="")
    frames = boat(style)
    frames[1].pieces = [piece for piece in frames[1].pieces if piece.what != "butt block"]
    told = faults(review(assembled(tmp_path, style, frames), only=["joint-bare"]))
    assert len(told) == 4  # on both sides, on each face
