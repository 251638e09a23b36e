"""Screws laid out for gussets that are drawn without: what is proposed agrees with what was drawn, or is better."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import making
import numpy as np
import pytest
from replanning import change_drawings, change_plan, copy_of, half_drawn

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.proposals.screws.screws_proposed import are_screwed, bare_gussets, kinds, proposal, with_screws
from scrieve.shared.findings import Level

HULLS = Path(__file__).parents[1] / "hulls"
SCREW_CHECKS = ("screw-foul", "screw-edge", "screw-bite", "screw-count", "driver", "foul")
LAYERS = ("SCREWS FWD", "SCREWS AFT")


def without_screws(plan: Path, *layers: str) -> Path:
    """The plan, the objects of these layers (or of both) taken out of its frame drawings."""

    def clear(document) -> None:
        space = document.modelspace()
        for entity in list(space):
            if entity.dxf.layer in (layers or LAYERS):
                space.delete_entity(entity)

    change_drawings(plan / "frames", clear)
    return plan


def boat(plan: Path) -> Assembly:
    return assemble(read_plan(plan))


def held(assembly: Assembly) -> Counter:
    """How many screws pass each part from each face."""
    screws = (screw for frame in assembly.frames for screw in frame.screws)
    return Counter((ply.part.name, screw.driven_from) for screw in screws for ply in screw.plies)


def found(assembly: Assembly) -> list[str]:
    return [
        f"{f.check}: {f.message}"
        for slug in SCREW_CHECKS
        for f in CHECKS[slug].run(assembly)
        if f.level is not Level.NOTE
    ]


@pytest.mark.parametrize("name", ["pram", "skiff"])
def test_what_is_proposed_for_a_demonstration_boat_is_as_good_as_what_was_drawn(name, tmp_path):
    drawn, bare = boat(HULLS / name), boat(without_screws(copy_of(HULLS / name, tmp_path / name)))
    assert found(bare) == []
    before, now = held(drawn), held(bare)
    assert before.keys() == now.keys()
    assert {key: (before[key], now[key]) for key in before if now[key] < before[key]} == {}
    screws = [screw for frame in bare.frames for screw in frame.screws]
    assert all(screw.proposed for screw in screws)
    (note,) = [defect for defect in bare.defects if "laid out there by computation" in defect.message]
    assert note.level is Level.NOTE
    assert f": {len(screws)} of " in note.message
    assert not any("nothing about them was checked" in defect.message for defect in bare.defects)


@pytest.mark.parametrize("name", ["pram", "skiff"])
def test_port_and_starboard_are_laid_out_alike(name, tmp_path):
    for frame in boat(without_screws(copy_of(HULLS / name, tmp_path / name))).frames:
        at = np.array(sorted(screw.at for screw in frame.screws))
        image = np.array(sorted((-y, v) for y, v in at.tolist()))
        np.testing.assert_allclose(at, image, atol=0.02)  # drawings are rounded, and corners cut by chords


def test_where_screws_are_drawn_nothing_is_proposed():
    for frame in boat(HULLS / "skiff").frames:
        assert not any(screw.proposed for screw in frame.screws)
        assert bare_gussets(frame) == ()


def test_nothing_is_proposed_where_it_is_in_doubt_which_screw(tmp_path):
    plan = without_screws(copy_of(HULLS / "pram", tmp_path / "pram"))
    other = {"gauge": 8, "length": "3/4 in"}

    def two_kinds(content) -> None:
        content["screws"]["other"] = other
        content["layers"]["SCREWS AFT"]["screw"] = "other"

    change_plan(plan, two_kinds)
    assert [kind.name for kind in kinds(read_plan(plan), ())] == ["gusset", "other"]
    assembly = boat(plan)
    assert not any(frame.screws for frame in assembly.frames)
    message = "no screws are drawn through gussets in F1, F2, F3, F4: nothing about them was checked there"
    assert message in [defect.message for defect in assembly.defects]


def test_a_second_kind_that_no_layer_names_is_no_doubt(tmp_path):
    plan = without_screws(copy_of(HULLS / "pram", tmp_path / "pram"))
    change_plan(plan, lambda content: content["screws"].update(planking={"gauge": 8, "length": "3/4 in"}))
    assert {screw.size.gauge for frame in boat(plan).frames for screw in frame.screws} == {6}


def test_nothing_is_proposed_without_a_kind_of_screw(tmp_path):
    plan = without_screws(copy_of(HULLS / "pram", tmp_path / "pram"))

    def none(content) -> None:
        del content["screws"]
        for layer in LAYERS:
            del content["layers"][layer]

    change_plan(plan, none)
    assembly = boat(plan)
    assert not any(frame.screws for frame in assembly.frames)
    assert any("nothing about them was checked there" in defect.message for defect in assembly.defects)


def test_a_half_drawing_gets_both_halves(tmp_path):
    plan = copy_of(HULLS / "pram", tmp_path / "pram")
    half_drawn(plan)
    whole = held(boat(without_screws(copy_of(HULLS / "pram", tmp_path / "whole"))))
    assert held(boat(without_screws(plan))) == whole


# ---- one frame by itself


def joint(depth=80.0, gusset=9.0, core=18.0):
    """A floor and a side that butt at y = 500, with gussets of both faces 120 mm to each side."""
    plates = [
        making.part(
            f"chine gusset, {face}", making.rectangle(380, 0, 620, depth), face=face, thickness=gusset, core=core
        )
        for face in ("forward", "aft")
    ]
    boards = [
        making.part("floor", making.rectangle(100, 0, 500, depth), thickness=core),
        making.part("side", making.rectangle(500, 0, 900, depth), thickness=core),
    ]
    return [*boards, *plates]


def proposed(met: Frame, battens=(), size=making.NO_8, **limits) -> tuple[Frame, object]:
    assembly = making.assembly([met], battens=battens, limits=limits)
    found = proposal(met, assembly, size)
    return replace(met, screws=(*met.screws, *found.screws)), found


def test_each_member_gets_at_least_two_from_each_face_and_no_check_finds_fault():
    met, laid = proposed(making.frame(joint()))
    assert laid.lacks == ()
    assert set(laid.gussets) == {"F5 chine gusset, forward", "F5 chine gusset, aft"}
    count = held(making.assembly([met]))
    assert min(count[f"F5 {member}", face] for member in ("floor", "side") for face in ("forward", "aft")) >= 2
    assert found(making.assembly([met])) == []


def test_the_face_without_screws_is_laid_out_clear_of_the_other():
    parts = joint()
    drawn = [
        making.screw(parts, (y, v), name=f"screw {n}", driven_from="aft")
        for n, (y, v) in enumerate([(400, 20), (450, 20), (550, 20), (600, 60)], start=1)
    ]
    met, laid = proposed(making.frame(parts, screws=drawn))
    assert laid.gussets == ("F5 chine gusset, forward",)
    assert {screw.driven_from for screw in laid.screws} == {"forward"}
    assert len(laid.screws) >= 4
    assert found(making.assembly([met])) == []


def test_a_batten_without_a_notch_is_kept_clear_of():
    batten = making.straight_batten("port chine", (440.0, 40.0), long=50.0, short=20.0, arris=0.0)
    _, laid = proposed(making.frame(joint()), [batten])
    reach = making.NO_8.diameter / 2
    for screw in laid.screws:
        y, v = screw.at
        assert not (415 - reach < y < 465 + reach and 30 - reach < v < 50 + reach)
    assert laid.screws


@pytest.mark.parametrize(("depth", "fits"), [(22.0, True), (21.7, False)])
def test_too_narrow_a_member_gets_none_and_is_measured(depth, fits):
    """No. 8 wants 2 x (2.5 D + 0.5) = 21.83 mm."""
    _, laid = proposed(making.frame(joint(depth)))
    assert bool(laid.screws) is fits
    if not fits:
        assert {(lack.gusset, lack.member) for lack in laid.lacks} == {
            (f"F5 chine gusset, {face}", f"F5 {member}") for face in ("forward", "aft") for member in ("floor", "side")
        }
        assert laid.lacks[0].why == "the wood that they share is 21.70 mm wide at most, one screw wants 21.83 mm"


def test_a_screw_that_comes_through_is_not_laid_out():
    """Gusset 9 and core 9: 18 mm, and the screw is 19.05."""
    parts = [part for part in joint(core=9.0) if "aft" not in part.name]
    _, laid = proposed(making.frame(parts, core=9.0))
    assert laid.screws == ()
    assert {lack.why for lack in laid.lacks} == {"No. 8 x 3/4 in comes 1.05 mm through, want 1.00 mm left"}


def test_a_screw_that_does_not_get_through_the_gusset_is_not_laid_out():
    _, laid = proposed(making.frame(joint(gusset=20.0)))
    assert laid.screws == ()
    assert {lack.why for lack in laid.lacks} == {
        "No. 8 x 3/4 in does not reach through the gusset into what is behind it"
    }


def test_limits_of_the_plan_are_kept():
    met, laid = proposed(making.frame(joint(120.0)), screw_count=3, screw_edge_warning=5.0)
    assert laid.lacks == ()
    count = held(making.assembly([met]))
    assert count["F5 floor", "forward"] >= 3
    limits = {"screw_count": 3, "screw_edge_warning": 5.0}
    assert list(CHECKS["screw-edge"].run(making.assembly([met], limits=limits))) == []


def test_gussets_of_frames_whose_legs_alone_are_screwed_get_them_as_well(tmp_path):
    """As in frames without any screw, clear of those of the legs."""
    plan = without_screws(copy_of(HULLS / "pram", tmp_path / "pram"))
    bare = boat(plan)
    change_plan(plan, lambda content: content["layers"].update(PEGS=content["layers"]["SCREWS FWD"]))
    for frame in bare.frames:
        foot = min((part.shape for part in frame.parts if part.role == "leg"), key=lambda shape: shape.bounds).bounds
        at = -(foot[0] + foot[2]) / 2, foot[1] + 20  # seen from aft
        change_drawings(
            plan,
            lambda document, at=at: document.modelspace().add_circle(at, 2, dxfattribs={"layer": "PEGS"}),
            f"frames/{frame.number}.dxf",
        )
    legged = boat(plan)
    assert [len(frame.screws) for frame in legged.frames] == [len(frame.screws) + 1 for frame in bare.frames]
    assert not any(are_screwed(frame) for frame in legged.frames)
    assert [line for line in found(legged) if line.startswith("screw-count")] == []
    gussets = {part.name for part in legged.parts() if part.role == "gusset"}
    assert {key: n for key, n in held(legged).items() if key[0] in gussets} == {
        key: n for key, n in held(bare).items() if key[0] in gussets
    }


def test_two_runs_give_the_same(tmp_path):
    plan = read_plan(without_screws(copy_of(HULLS / "pram", tmp_path / "pram")))
    one, other = ([(s.name, s.at) for frame in assemble(plan).frames for s in frame.screws] for _ in range(2))
    assert one == other
    assembly = assemble(plan)
    assert with_screws(plan, assembly) is assembly  # all frames have theirs now
