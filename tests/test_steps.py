"""The build order: hand-made frames with known steps, and the demonstration boats."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from graphlib import CycleError

import making
import numpy as np
import pytest
import replanning
from ezdxf.math import Matrix44
from faults import HULLS
from legged import plies
from making import NO_8, frame, part, rectangle, screw, section, straight_batten
from stepped import (
    DEMOS,
    FLOOR,
    SIDES,
    boat,
    demo,
    gusset,
    gussets,
    kinds,
    legs,
    screws_in,
    whole,
)

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.measurements.label_faces import LabelFaces, label_faces
from scrieve.model.sequence.measurements.part_sizes import part_size
from scrieve.model.sequence.measurements.resting import Resting
from scrieve.model.sequence.steps import Step, steps_of
from scrieve.model.sequence.steps.build import ordered
from scrieve.model.sequence.steps.drilling import drivings, stop
from scrieve.model.sequence.steps.watching import LEG_LETTERS
from scrieve.shared.cautions import CAUTIONS
from scrieve.shared.screw_table import pilot_holes
from scrieve.viewer.reports.steps_json import steps_json


@pytest.fixture(scope="module", params=DEMOS)
def both(request) -> tuple[Assembly, tuple[Step, ...]]:
    made = demo(request.param)
    return made, steps_of(made)


# ---- the sequence of the trade


def test_a_frame_with_everything_goes_together_as_the_trade_has_it():
    steps = steps_of(boat(whole(), strongback=making.rails()))
    assert kinds(steps) == [
        *("dowels", "core", "core", "core", "plates", "turn", "plates", "apart", "wet out", "glue", "legs"),
        *("strongback", "frame"),
    ]
    assert [step.number for step in steps] == list(range(1, 14))
    assert [step.stage for step in steps] == ["bench"] * 11 + ["setting up"] * 2
    assert [step.names for step in steps if step.kind == "core"] == [
        ("F5 floor",),
        ("F5 port side",),
        ("F5 starboard side",),
    ]
    first, second = (step for step in steps if step.kind == "plates")
    assert first.names == ("F5 port gusset, aft", "F5 starboard gusset, aft")
    assert second.names == ("F5 port gusset, forward", "F5 starboard gusset, forward")
    assert [d.screws for d in first.screws] == [tuple(f"F5 aft screw {n}" for n in range(1, 5))]
    assert [d.driven_from for d in second.screws] == ["forward"]


def test_a_transom_with_gussets_on_its_forward_face_is_not_turned():
    board = part("transom", rectangle(-400, 200, 400, 500))
    plates = [gusset(sign, "forward") for sign in (1, -1)]
    made = frame([board, *plates], kind="transom", screws=screws_in([board, *plates], "forward"))
    steps = steps_of(boat(made))
    assert kinds(steps) == ["core", "plates", "apart", "wet out", "glue"]
    assert steps[0].watch[0].startswith("forward face up")
    assert steps[2].title == "Screws out, plates off"


def test_a_frame_of_one_board_needs_nothing_but_to_be_laid():
    assert kinds(steps_of(boat(frame([FLOOR])))) == ["core"]


def test_a_frame_without_gussets_is_glued_edge_to_edge():
    steps = steps_of(boat(frame([FLOOR, *SIDES])))
    assert kinds(steps) == ["core", "core", "core", "apart", "wet out", "glue"]
    assert steps[3].title == "Take the frame apart"
    assert "weights" not in steps[-1].cautions and "weights" not in steps[-1].title


def test_a_frame_without_screws_has_its_gussets_clamped():
    steps = steps_of(boat(whole(screwed=False, legged=False, dowelled=False)))
    assert kinds(steps) == ["core", "core", "core", "plates", "turn", "plates", "apart", "wet out", "glue"]
    assert all(not step.screws and "tools" not in step.cautions for step in steps)
    for step in steps:
        if step.kind == "plates":
            assert "no screws are drawn: clamp each, and mark where it lies" in step.watch
    assert any("no dowels are drawn" in watch for watch in steps[0].watch)
    assert "screws" not in steps[6].title and "screws home" not in steps[8].title


def test_no_strongback_and_no_battens():
    two = [whole(number="5"), whole(number="6", station=2000.0)]
    two = [replace(f, parts=tuple(replace(p, name=p.name.replace("F5", f.name)) for p in f.parts)) for f in two]
    made = boat(*[replace(f, screws=(), dowels=()) for f in two])
    assert kinds(steps_of(made))[-3:] == ["strongback", "frame", "frame"]
    assert steps_of(made)[-3].title == "Make a level base and mark the stations on it"
    assert kinds(steps_of(boat()))[-1:] == []


def test_a_frame_without_a_core_has_no_steps_on_the_bench():
    empty = frame([], number="6", station=2000.0)
    made = boat(frame([FLOOR]), empty)
    assert [(step.kind, step.frame) for step in steps_of(made)] == [
        ("core", "5"),
        ("strongback", ""),
        ("frame", "5"),
        ("frame", "6"),
    ]


def test_battens_come_after_all_frames_and_then_a_look_for_fair():
    frames = [
        replace(frame([replace(FLOOR, name=f"F{x} floor", frame=str(x))], number=str(x), station=float(x)))
        for x in (0, 1000, 2000)
    ]
    battens = [
        straight_batten(f"{name} chine", (sign * 200.0, 180.0)) for name, sign in (("port", 1), ("starboard", -1))
    ]
    steps = steps_of(boat(*frames, battens=battens, strongback=making.rails()))
    assert kinds(steps) == ["core"] * 3 + ["strongback"] + ["frame"] * 3 + ["batten", "fair"]
    assert [step.names for step in steps if step.kind == "batten"] == [("port chine", "starboard chine")]
    assert "2000 mm along its curve, cut to 2200" in steps[-2].watch[0]
    assert steps[-2].watch[1] == "begin at F1000, on outward to both ends"
    assert "port and starboard chine, in turn" in steps[-2].title


# ---- screws and their stop


def test_the_stop_is_the_screws_tip_or_leaves_the_wood_that_is_wanted():
    thin, thick = (
        part("gusset", rectangle(0, 0, 50, 50), face="forward", thickness=9),
        part("c", rectangle(0, 0, 50, 50)),
    )
    short = replace(thick, low=9.0)  # 9 + 9 mm of wood, 19.05 mm of screw
    assert stop(screw([thin, thick], (25, 25)), 1.0) == 19.0
    assert stop(screw([thin, short], (25, 25)), 1.0) == 17.0
    assert stop(screw([thin, short], (25, 25)), 30.0) == 0.0


def test_screws_drilled_for_alike_stand_together_with_the_tables_pilot_holes():
    parts = [FLOOR, *gussets("forward")]
    long = making.screw_of_gauge(8, making.INCH)
    metric = replace(NO_8, name="4 x 20 mm", gauge=None, diameter=4.0)
    sizes = (NO_8, long, NO_8, metric)
    driven = [screw(parts, (360, 220 + 10 * n), name=f"screw {n}", size=size) for n, size in enumerate(sizes)]
    found = drivings(driven, left=1.0)
    assert [d.screws for d in found] == [
        ("F5 forward screw 0", "F5 forward screw 2"), ("F5 forward screw 1",), ("F5 forward screw 3",)
    ]  # fmt: skip
    # NDS Commentary: 70 % and 90 % of the root, 0.131 in for No. 8 (NDS-2018, Table L3)
    assert found[0].pilot == pytest.approx((0.7 * 0.131 * 25.4, 0.9 * 0.131 * 25.4)) == pilot_holes(8)
    assert found[2].pilot is None
    assert [d.stop for d in found] == [19.0, 25.4, 19.0]


def test_every_screw_is_driven_once_and_with_what_it_passes(both):
    made, steps = both
    driven = Counter(name for step in steps for d in step.screws for name in d.screws)
    assert driven == Counter(s.name for f in made.frames for s in f.screws)
    screws = {s.name: s for f in made.frames for s in f.screws}
    for step in steps:
        for name in (name for d in step.screws for name in d.screws):
            assert screws[name].plies[0].part.name in step.names


def test_screws_of_the_core_alone_are_driven_before_the_plates():
    doubler = part("doubler", rectangle(-400, 200, 400, 260), face="core")
    low = replace(doubler, low=-18.0, high=0.0)
    made = frame([FLOOR, low, *gussets("forward")], screws=[screw([FLOOR, low], (0, 230)), *screws_in([FLOOR], "aft")])
    steps = steps_of(boat(made))
    assert kinds(steps)[:4] == ["core", "core", "screws", "plates"]
    assert steps[2].screws[0].screws == ("F5 forward screw 1",)
    turned = next(step for step in steps if step.kind == "turn")
    assert kinds(steps)[turned.number] == "screws"


def test_screws_of_the_legs_are_driven_with_the_legs():
    parts = [FLOOR, *legs()]
    outer = next(p for p in parts if p.label == "port leg outer")
    y, v = outer.shape.representative_point().coords[0]
    steps = steps_of(boat(frame(parts, screws=[screw(parts, (y, v))])))
    assert kinds(steps) == ["core", "legs"]
    assert steps[1].screws[0].screws == ("F5 forward screw 1",)
    assert steps[1].cautions == ("epoxy", "tools")


def test_a_screw_in_no_wood_is_left_out_and_said_to_be():
    steps = steps_of(boat(frame([FLOOR], screws=[screw([FLOOR], (3000, 3000))])))
    assert [(step.kind, step.title) for step in steps] == [
        ("core", steps[0].title),
        ("screws", "Left out: forward screw 1"),
    ]


# ---- what to watch


def test_which_face_is_up_and_where_port_is():
    steps = steps_of(boat(whole()))
    up = [watch for step in steps for watch in step.watch if "face up" in watch]
    assert up == [
        "aft face up: labels down, port on your left",
        "forward face up: labels up, port on your right",
    ]


def test_a_turned_frame_lies_clear_of_the_dowels_that_stay_in_the_board():
    made = whole()
    turn, glue = (next(step for step in steps_of(boat(made)) if step.kind == kind) for kind in ("turn", "glue"))
    # dowels stand as high as the core is thick, 18 mm; plates are 9 mm thick
    assert turn.rests == glue.rests == Resting(strips=19.0, packing=(10.0,), dowels=18.0)
    assert turn.watch[1] == (
        "on strips of 19 mm under the core, 10 mm under the plates, clear of the dowels, which stand 18 mm"
    )
    thick = replace(made, parts=tuple(replace(p, low=p.high - 25.0) if p.face == "aft" else p for p in made.parts))
    turn = next(step for step in steps_of(boat(thick)) if step.kind == "turn")
    assert turn.rests == Resting(strips=25.0, packing=(), dowels=18.0)
    turn = next(step for step in steps_of(boat(whole(dowelled=False))) if step.kind == "turn")
    assert turn.watch[1] == "on strips of 9 mm under the core"


def test_diagonals_are_measured_dry_before_anything_is_drilled_and_again_clamped():
    made = boat(whole(), limits={"notch_slack": 1.5})
    steps = steps_of(made)
    dry, again = (step for step in steps if step.diagonals)
    assert (dry.kind, again.kind) == ("core", "glue")
    assert dry.number < min(step.number for step in steps if step.screws)
    # corners of the sides and the floor as drawn: (460, 500) and (-460, 200)
    assert dry.diagonals[0].length == pytest.approx(np.hypot(920, 300)) and dry.diagonals[0].play == 1.5
    assert any(watch.startswith(f"diagonals {np.hypot(920, 300):.1f} ±1.5 mm: ") for watch in dry.watch)
    assert any(watch.startswith("diagonals again ") for watch in again.watch)


def test_a_frame_of_two_faces_is_turned_hard():
    (glue,) = (step for step in steps_of(boat(whole())) if step.kind == "glue")
    assert any(watch.startswith("turn it when the first face is hard, never wet") for watch in glue.watch)
    (glue,) = (step for step in steps_of(boat(whole(faces=("forward",)))) if step.kind == "glue")
    assert not any("turn it" in watch for watch in glue.watch)


def test_parts_are_told_by_how_large_they_are():
    sizes = {size.name: size for step in steps_of(boat(whole())) for size in step.sizes}
    assert {(round(s.length), round(s.breadth), s.thickness) for s in sizes.values() if "gusset" in s.name} == {
        (130, 130, 9)
    }
    assert (sizes["F5 floor"].length, sizes["F5 floor"].breadth) == pytest.approx((800, 70))
    turned = part("floor", Outline.of(making.turned([(-400, 190), (400, 190), (400, 260), (-400, 260)], 0.3)))
    assert (part_size(turned).length, part_size(turned).breadth) == pytest.approx((800, 70))


def test_labels_are_on_the_face_that_the_cut_sheets_show(tmp_path):
    assert label_faces(demo("skiff")) == LabelFaces(usual="aft", others=frozenset())

    def turned(document) -> None:
        """The labels' sheets as they are cut from the back."""
        for each in document.modelspace():
            each.transform(Matrix44.scale(-1, 1, 1))

    copy = replanning.copy_of(HULLS / "pram", tmp_path / "copy")
    replanning.change_drawings(copy / "sheets", turned)
    made = assemble(read_plan(copy))
    assert label_faces(made).usual == "forward"
    assert any("aft face up: labels down" in watch for step in steps_of(made) for watch in step.watch)


def test_joints_drawn_tight_or_open_are_told_when_the_second_part_is_laid():
    tight = part("port side", rectangle(399.7, 210, 460, 500))
    open_ = part("starboard side", rectangle(-460, 210, -400.4, 500))
    steps = steps_of(boat(frame([FLOOR, tight, open_])))
    assert "tight against the floor: drawn 0.30 mm over it, ease it until it goes in by hand" in steps[1].watch
    assert "open against the floor: drawn 0.40 mm off it, to be filled with glue" in steps[2].watch


def test_legs_are_told_by_their_length_from_the_rail():
    steps = steps_of(boat(whole(), strongback=making.rails()))
    legs_ = next(step for step in steps if step.kind == "legs")
    assert legs_.watch[:2] == ("inner: A 200.0, B 200.0, D 200.0 mm", "outer: A 200.0, B 200.0, D 200.0, E 10.0 mm")
    assert "F 280.0, G 340.0, H 280.0 mm" in legs_.watch and "outer on the forward face" in legs_.watch
    assert "J 190.0 mm" in legs_.watch and LEG_LETTERS in legs_.watch


@pytest.mark.parametrize("build", ["upright", "inverted"])
def test_how_legs_are_fastened_to_the_rails_is_said_and_that_no_plan_says_it(build):
    down = build == "inverted"
    legs_ = [leg for side in (1, -1) for leg in plies(side, kind="tongue", upside_down=down)]
    made = boat(frame([FLOOR, *legs_]), strongback=making.rails(build=build), build=build)
    (stand,) = (step for step in steps_of(made) if step.kind == "frame")
    said = next(watch for watch in stand.watch if watch.startswith("legs to rails: the plan does not say"))
    # the tongue is 40 mm broad, from y 240 to the rail at 280, and 25 mm of the screw are in the rail
    assert "two 65 mm screws through each tongue" in said and "common practice, no source" in said
    plain = boat(frame([FLOOR, *legs()]), strongback=making.rails())
    (stand,) = (step for step in steps_of(plain) if step.kind == "frame")
    assert any("a block screwed to each leg and its rail" in watch for watch in stand.watch)


def test_frames_are_told_by_their_marks_and_how_they_stand():
    raked = frame([FLOOR], number="5", station=1000.0, rake=0.2)
    plumb = frame([replace(FLOOR, name="F6 floor", frame="6")], number="6", station=1600.0)
    middle = replace(plumb, core_low=-9.0, core_high=9.0)
    steps = [s for s in steps_of(boat(raked, middle, strongback=making.rails())) if s.kind == "frame"]
    rails = making.rails()
    assert steps[0].watch[0] == f"aft face on the mark {1000.0 - rails.start:.1f} mm"
    assert steps[0].watch[1].startswith("upper end leaning aft 11.5°, 20.3 mm in 100 mm of height")
    over = steps_of(boat(raked, build="inverted", strongback=making.rails(build="inverted")))
    assert any(watch.startswith("upper end leaning forward 11.5°") for s in over for watch in s.watch)
    assert any("the boat stands upside down" in watch for s in over for watch in s.watch)
    clear = 600.0 - middle.core_thickness / 2 - raked.core_high / np.cos(0.2)
    assert steps[1].watch[:2] == (
        f"middle on the mark {1600.0 - rails.start:.1f} mm, aft face {clear:.1f} mm from F5's forward face",
        "plumb; lowest edge 190.0 mm up: of its core, above the rail tops",
    )


def test_the_notches_are_kept_free_of_glue():
    made = frame([FLOOR, *SIDES], sections=[section("keel", (0, 200)), section("port chine", (440, 200))])
    wet = next(step for step in steps_of(boat(made)) if step.kind == "wet out")
    assert wet.watch[1:] == ("no glue in the notches: keel, chine",)


def test_cautions_stand_where_they_belong_and_are_known(both):
    _, steps = both
    of_kind = {step.kind: step.cautions for step in steps}
    assert set(of_kind["wet out"]) >= {"epoxy", "pot"}
    assert "tools" in of_kind["plates"] and "weights" in of_kind["glue"]
    assert "lifting" in of_kind["frame"] and "epoxy" in of_kind["legs"]
    assert {key for step in steps for key in step.cautions} <= set(CAUTIONS)


def test_which_way_round_is_told_with_the_part(both):
    _, steps = both
    floors = [step for step in steps if step.names and step.names[0].endswith(" floor")]
    assert floors and all(step.turnings[0].either_way for step in floors)
    ports = [step for step in steps if step.names and step.names[0].endswith(" port side")]
    assert ports and all(step.turnings[0].twins == (step.names[0].replace("port", "starboard"),) for step in ports)


# ---- the graph


def test_the_graph_gives_the_least_by_rank_wherever_it_leaves_a_choice():
    before = {"a": ["d"], "b": [], "c": ["b"], "d": []}
    assert ordered(before, {"a": 0, "b": 2, "c": 1, "d": 3}) == ["b", "c", "d", "a"]
    for seed in range(5):
        names = list(before)
        random.Random(seed).shuffle(names)
        assert ordered({n: before[n] for n in names}, {"a": 0, "b": 2, "c": 1, "d": 3}) == ["b", "c", "d", "a"]
    with pytest.raises(CycleError):
        ordered({"a": ["b"], "b": ["a"]}, {"a": 0, "b": 1})


def test_every_step_comes_after_all_that_it_waits_for(both):
    made, steps = both
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert all(number < step.number for step in steps for number in step.after)
    added = Counter(name for step in steps for name in step.names if step.kind != "dowels")
    wanted = [*(p.name for p in made.parts()), *(f.name for f in made.frames), *(b.name for b in made.battens)]
    assert added == Counter(wanted)
    for stand in (step for step in steps if step.kind == "frame"):
        bench = max(step.number for step in steps if step.stage == "bench" and step.frame == stand.frame)
        assert bench in stand.after
    assert steps[-1].kind == "fair"


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("name", DEMOS)
def test_the_order_of_things_in_the_files_makes_no_difference(name, seed, tmp_path):
    copy = replanning.copy_of(HULLS / name, tmp_path / "copy")
    replanning.shuffled(copy, seed)
    assert steps_json(name, steps_of(assemble(read_plan(copy)))) == steps_json(name, steps_of(demo(name)))


@pytest.mark.parametrize("name", DEMOS)
def test_seen_from_the_other_side_it_is_the_same_boat(name, tmp_path):
    copy = replanning.copy_of(HULLS / name, tmp_path / "copy")
    replanning.seen_from_the_other_side(copy)
    assert steps_json(name, steps_of(assemble(read_plan(copy)))) == steps_json(name, steps_of(demo(name)))


def test_moved_along_only_the_marks_change(tmp_path):
    copy = replanning.copy_of(HULLS / "skiff", tmp_path / "copy")
    replanning.moved_along(copy, 500.0)
    for one, other in zip(steps_of(demo("skiff")), steps_of(assemble(read_plan(copy))), strict=True):
        assert replace(one, watch=()) == replace(other, watch=())
        if one.kind not in ("frame", "strongback"):
            assert one.watch == other.watch


def test_a_mirrored_frame_goes_together_the_other_way_round():
    def mirrored(p):
        outline: Outline = p.drawn.mirrored()
        swap = {"port": "starboard", "starboard": "port"}
        name = " ".join(swap.get(word, word) for word in p.name.split(" "))
        return replace(p, name=name, drawn=outline, shape=outline.polygon())

    lop = [FLOOR, SIDES[0], part("deck beam", rectangle(-400, 440, 400, 500))]
    one = steps_of(boat(frame(lop)))
    other = steps_of(boat(frame([mirrored(p) for p in lop])))
    assert kinds(one) == kinds(other)
    for a, b in zip(one, other, strict=True):
        assert [n.replace("starboard", "port") for n in b.names] == list(a.names)
        assert [(-x.toward[0], *x.toward[1:]) for x in b.adds] == [x.toward for x in a.adds]
