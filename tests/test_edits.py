"""Edits of findings: each names what is there; carried out in a copy of the files it takes its finding away."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from carrying_out import carry_out
from replanning import change_drawings, change_plan, copy_of, drawn_in_inches, half_drawn, seen_from_the_other_side
from styles.faults import FAULTS, planted
from styles.frames import boat
from styles.habit import at_random
from styles.sheet import drawn

from scrieve.model import check, open_plan
from scrieve.model.boat.assembly import Assembly
from scrieve.model.diagnosis.examine import examine
from scrieve.shared.edits import Add, Edit, Move, Relabel, Remove, Reshape, SetKey
from scrieve.shared.findings import Finding, Level
from scrieve.shared.sentences import quantities
from scrieve.shared.wording import place

HULLS = Path(__file__).parents[1] / "hulls"
FAULTY = HULLS / "skiff-with-faults"
ELSEWHERE = {"cut-sheet", "mirror"}  # the other side and the sheets are as they were
NOT_ALL_OF_IT = {
    # the frame then stands on the line that is drawn, and its legs with it; a plate that is added wants its screws,
    # an outline that is closed its label; what is mirrored has the faults of what it is the image of
    "station", "joint-bare", "outline", "mirror",
}  # fmt: skip


@cache
def faults() -> tuple[Finding, ...]:
    return examine(open_plan(FAULTY))  # as checks give them, before they are tried


def told(findings: Iterable[Finding]) -> Counter[tuple[object, ...]]:
    """The findings that are no notes, by check, level and what they are about."""
    return Counter((f.check, f.level, f.frame, f.parts) for f in findings if f.level is not Level.NOTE)


def cured() -> list[Finding]:
    return [finding for finding in faults() if finding.edits]


def test_most_checks_give_edits_of_the_faults_and_all_kinds_are_among_them():
    assert {finding.check for finding in cured()} >= {
        "board", "cut-sheet", "dowel", "dowel-hold", "driver", "fair", "foul", "gusset-lap", "joint-bare", "joint-gap",
        "label", "leg-bottom", "leg-pair", "leg-side", "mirror", "notch-foul", "notch-slack", "outline", "proud",
        "screw-bite", "screw-count", "screw-edge", "screw-foul", "station",
    }  # fmt: skip
    assert {type(edit) for finding in cured() for edit in finding.edits} == {
        Move,
        Reshape,
        Remove,
        Add,
        Relabel,
        SetKey,
    }


def assert_named_things_exist(plan: Path, edits: Iterable[Edit]) -> None:
    lines = (plan / "plan.toml").read_text(encoding="utf-8").splitlines()
    drawings: dict[str, object] = {}
    for edit in edits:
        if isinstance(edit, SetKey):
            assert edit.file == "plan.toml"
            assert (1, 1) <= edit.start <= edit.end <= (len(lines) + 1, 1)
            if edit.start < edit.end and edit.value:
                assert str(edit.key[-1]) in lines[edit.start[0] - 1]
            continue
        file = edit.target.file
        document = drawings.setdefault(file, ezdxf.readfile(plan / file))
        drawn_on = {entity.dxf.layer for entity in document.entitydb.values() if entity.dxf.hasattr("layer")}
        assert edit.target.layer in drawn_on
        assert bool(edit.target.handles) != isinstance(edit, Add)
        for handle in edit.target.handles:
            assert document.entitydb[handle].dxf.owner == document.modelspace().layout_key


def test_each_edit_names_objects_of_its_drawing_or_a_place_in_the_plan():
    assert_named_things_exist(FAULTY, (edit for finding in faults() for edit in finding.edits))


def test_carried_out_the_sure_edits_of_all_findings_take_them_away_and_make_no_other(tmp_path):
    """Whatever is sure can be done all together."""
    plan = copy_of(FAULTY, tmp_path / "skiff")
    sure = [finding for finding in cured() if all(edit.sure for edit in finding.edits)]
    assert len(sure) > 12
    carry_out(plan, (edit for finding in sure for edit in finding.edits))
    before, after = told(faults()), told(check(open_plan(plan)))
    assert not [key for key in told(sure) if after[key] >= before[key]]
    assert {key[0] for key in after if after[key] > before[key]} <= ELSEWHERE


TURNS = 5


@cache
def turns() -> list[list[Finding]]:
    """The findings whose edits are not all sure, in as many turns as one frame has of them, none twice in a frame."""
    unsure = [finding for finding in cured() if not all(edit.sure for edit in finding.edits)]
    return [[f for f in unsure if [o for o in unsure if o.frame == f.frame].index(f) == n] for n in range(TURNS + 1)]


def test_every_finding_has_its_turn():
    assert all(turns()[:TURNS]) and not turns()[TURNS]


@pytest.mark.parametrize("turn", range(TURNS))
def test_carried_out_the_other_edits_of_findings_take_them_away(tmp_path, turn):
    """Those of one turn together: each is in a frame of its own."""
    plan = copy_of(FAULTY, tmp_path / "skiff")
    carry_out(plan, (edit for finding in turns()[turn] for edit in finding.edits))
    found = check(open_plan(plan))
    before, after = told(faults()), told(found)
    for finding in turns()[turn]:
        (own,) = told([finding])
        if finding.check == "outline":  # its frame's drawing has another
            assert finding.message not in {other.message for other in found}
        else:
            assert after[own] < before[own]
    part_of_it = {finding.frame for finding in turns()[turn] if finding.check in NOT_ALL_OF_IT}
    more = {(key[0], key[2]) for key in after if after[key] > before[key]}
    assert {check for check, frame in more if frame not in part_of_it} <= ELSEWHERE


# ---- the same boat drawn otherwise, and its mirror image

SOUND = {"cut-sheet", "station", "mirror", "label"}  # checks that what these do to drawings and plan disturbs


def as_places(boat: Assembly, finding: Finding) -> list[tuple[object, ...]]:
    """The edits of a finding in its frame's own (y, v), mm."""
    return [place for edit in finding.edits if not isinstance(edit, SetKey) for place in _places(boat, edit)]


def _places(boat: Assembly, edit) -> list[tuple[object, ...]]:
    view = next((frame.view for frame in boat.frames if frame.number == edit.target.frame), None)
    if view is None:
        return []
    spots = {
        Move: lambda: [edit.start, edit.end],
        Reshape: lambda: [spot for corner in edit.corners for spot in corner],
        Add: lambda: sorted(edit.points),
        Remove: lambda: [edit.at],
        Relabel: list,
    }[type(edit)]()
    return sorted((type(edit).__name__, edit.sure, *np.round(view.back(spot), 3) + 0.0) for spot in spots)


def assert_alike(ours: list[tuple[object, ...]], theirs: list[tuple[object, ...]]) -> None:
    assert [one[:2] for one in ours] == [other[:2] for other in theirs]
    assert np.array([one[2:] for one in ours]) == pytest.approx(np.array([other[2:] for other in theirs]), abs=2e-3)


@pytest.mark.parametrize("change", [seen_from_the_other_side, drawn_in_inches])
def test_however_a_boat_is_drawn_its_edits_come_to_the_same_places(tmp_path, change):
    plan = copy_of(FAULTY, tmp_path / "skiff")
    change(plan)
    boat = open_plan(plan)
    found = [finding for finding in check(boat) if finding.check not in SOUND]
    assert_named_things_exist(plan, (edit for finding in found for edit in finding.edits))
    first, wanted = open_plan(FAULTY), [finding for finding in faults() if finding.check not in SOUND]
    assert [f.message for f in found] == [f.message for f in wanted]
    alike = [(one, other) for one, other in zip(found, wanted, strict=True) if one.cure == other.cure]
    assert len(alike) > 0.95 * len(found)  # of two screws as near to a place either may move
    for one, other in alike:
        assert_alike(as_places(boat, one), as_places(first, other))
    carry_out(plan, (edit for finding in found if all(edit.sure for edit in finding.edits) for edit in finding.edits))
    left = told(check(open_plan(plan)))
    assert not {key for key in told(f for f in found if f.edits and all(e.sure for e in f.edits)) if left[key]}


def test_edits_mirror_with_their_findings(tmp_path):
    """Every drawing of a frame turned over and its labels exchanged: what was cured to port is cured to starboard."""
    plan = copy_of(FAULTY, tmp_path / "skiff")

    def turn(document) -> None:
        for entity in document.modelspace():
            entity.transform(ezdxf.math.Matrix44.scale(-1, 1, 1))
            if entity.dxftype() == "TEXT":
                swapped = entity.dxf.text.replace("port", "\0").replace("starboard", "port").replace("\0", "starboard")
                entity.dxf.text = swapped

    change_drawings(plan / "frames", turn)
    boat, first = open_plan(plan), open_plan(FAULTY)
    checks = ("proud", "notch-foul", "notch-slack", "gusset-lap", "leg-bottom", "leg-side", "joint-gap", "dowel")
    found, wanted = (
        sorted(check(each, only=checks), key=lambda f: (f.check, f.frame, abs(f.at[1]), f.at[2]))
        for each in (boat, first)
    )
    assert [(f.check, f.frame, bool(f.edits)) for f in found] == [(f.check, f.frame, bool(f.edits)) for f in wanted]
    ours = sorted(place for finding in found for place in as_places(boat, finding))
    theirs = sorted((kind, sure, -y + 0.0, v) for finding in wanted for kind, sure, y, v in as_places(first, finding))
    assert_alike(ours, theirs)


def test_in_a_half_drawing_what_is_to_starboard_is_changed_to_port(tmp_path):
    plan = copy_of(HULLS / "skiff", tmp_path / "skiff")

    def lengthen(document) -> None:
        for line in document.modelspace().query("LWPOLYLINE"):
            if line.dxf.layer.startswith("LEG"):
                line.set_points([(u, v - 3.0 if v < 1.0 else v, b) for u, v, b in line.get_points("xyb")], format="xyb")

    change_drawings(plan / "frames", lengthen)
    half_drawn(plan)
    boat = open_plan(plan)
    found = [finding for finding in check(boat, only=["leg-bottom"]) if finding.edits]
    assert len(found) > 4
    assert_named_things_exist(plan, (edit for finding in found for edit in finding.edits))
    carry_out(plan, (edit for finding in found for edit in finding.edits))
    assert check(open_plan(plan), only=["leg-bottom"]) == ()


# ---- keys of the plan, where a check tells of one


def test_a_wish_that_cannot_be_kept_is_taken_out_of_the_plan(tmp_path):
    plan = copy_of(HULLS / "skiff", tmp_path / "skiff")
    change_plan(
        plan, lambda content: content.update(order=[{"first": "F3 port chine gusset, forward", "then": "F3 floor"}])
    )
    (finding,) = (f for f in check(open_plan(plan)) if f.level is Level.ERROR)
    assert [edit.sure for edit in finding.edits] == [True]
    carry_out(plan, finding.edits)
    assert not [f for f in check(open_plan(plan)) if f.level is not Level.NOTE]


def test_a_frame_beside_the_centreline_has_its_origin_set(tmp_path):
    plan = copy_of(HULLS / "skiff", tmp_path / "skiff")
    change_plan(plan, lambda content: content["frames"][2].update(origin=[4.0, 0.0]))
    (finding,) = (f for f in check(open_plan(plan), only=["mirror"]) if f.edits)
    carry_out(plan, finding.edits)
    assert check(open_plan(plan), only=["mirror"]) == ()


@pytest.mark.parametrize("over", [False, True])
def test_a_part_is_copied_onto_its_sheet_anew_whichever_face_is_up(tmp_path, over):
    """A plate with a round end, whose corner is 3 mm off on the sheet."""
    plan = copy_of(HULLS / "skiff", tmp_path / "skiff")

    def spoil(document) -> None:
        if over:
            for entity in document.modelspace():
                entity.transform(ezdxf.math.Matrix44.scale(-1, 1, 1))
        rounded = [
            line for line in document.modelspace().query("LWPOLYLINE") if any(b for *_, b in line.get_points("xyb"))
        ]
        points = rounded[0].get_points("xyb")
        straight = next(n for n, (*_, b) in enumerate(points) if not b and not points[n - 1][2])
        u, v, b = points[straight]
        points[straight] = u + 3.0, v, b
        rounded[0].set_points(points, format="xyb")

    change_drawings(plan / "sheets", spoil)
    found = [f for f in check(open_plan(plan), only=["cut-sheet"]) if f.edits]
    assert found
    assert all({type(edit) for edit in finding.edits} == {Remove, Add} for finding in found)
    assert any(edit.bulges for finding in found for edit in finding.edits if isinstance(edit, Add))
    carry_out(plan, (edit for finding in found for edit in finding.edits))
    assert not [f for f in check(open_plan(plan), only=["cut-sheet"]) if f.level is not Level.NOTE]


# ---- numbers


def test_the_numbers_of_the_sentence_are_those_of_the_edit():
    told_of = {"notch-foul", "notch-slack", "leg-bottom", "leg-side", "proud"}
    for finding in (finding for finding in cured() if finding.check in told_of):
        by = list(quantities(finding.cure))
        for edit in finding.edits:
            far = [np.hypot(*np.subtract(end, start)) for start, end in edit.corners]
            assert any(step == pytest.approx(number, abs=1e-9) for step in far for number in by), finding.cure
    for finding in (
        f for f in cured() if f.check in {"screw-foul", "screw-edge", "dowel", "dowel-hold", "screw-count"}
    ):
        boat = open_plan(FAULTY)
        (view,) = (frame.view for frame in boat.frames if frame.number == finding.frame)
        for edit in finding.edits:
            at = view.back(edit.end if isinstance(edit, Move) else edit.points[0])
            assert place(*at) in finding.cure


# ---- boats in draughtsmen's habits


def known(findings: Iterable[Finding]) -> Counter[tuple[object, ...]]:
    """The findings that are no notes, by what holds when screws are numbered anew: check, level, frame and place."""
    told = [finding for finding in findings if finding.level is not Level.NOTE]
    return Counter((f.check, f.level, f.frame, f.at and tuple(round(c) for c in f.at)) for f in told)


@pytest.mark.parametrize("seed", range(1, 7))
def test_in_a_boat_drawn_in_any_habit_what_is_sure_takes_its_finding_away_and_makes_none(tmp_path, seed):
    style, pick = at_random(seed), random.Random(seed)
    frames = boat(style)
    names = list(FAULTS)
    pick.shuffle(names)
    tried = (planted(name, style, frames, seed, 1.25) for name in names)
    spoilt = next(one for one in tried if one is not None)
    plan = drawn(tmp_path / "boat", spoilt.style, spoilt.frames)
    found = check(open_plan(plan))
    for number, finding in enumerate(found):
        if not finding.edits or not all(edit.sure for edit in finding.edits):
            continue
        copy = copy_of(plan, tmp_path / str(number))
        assert_named_things_exist(copy, finding.edits)
        carry_out(copy, finding.edits)
        before, after = known(found), known(check(open_plan(copy)))
        (own,) = known([finding]) or [None]
        assert own is None or after[own] < before[own], finding.message
        assert {key[0] for key in after if after[key] > before[key]} <= ELSEWHERE, finding.message
