"""Boats in styles that nobody here chose: sound ones are silent, and what is planted in them is told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
import styles
from styles import JOINTS, Style

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.findings import Finding, Level

SHAPED = sorted(set(JOINTS) - {"butt"})


def boat(folder: Path, style: Style) -> Assembly:
    return assemble(read_plan(styles.drawn(folder, style)))


def faults(found: Sequence[Finding]) -> list[tuple[str, str]]:
    return [(f.check, str(f.message)) for f in found if f.level is not Level.NOTE]


@pytest.mark.parametrize("joint", JOINTS)
def test_sound_boats_are_silent(joint, tmp_path):
    mine = [style for style in styles.sound() if style.joint == joint]
    for n, style in enumerate(mine):
        found = boat(tmp_path / str(n), style)
        assert len(found.battens) == 5, style.name
        assert faults(review(found)) == [], style.name


@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize(("relief", "gap"), [("dogbone", 0.8), ("tbone", 15.0), ("dogbone", -0.65)])
def test_a_joint_drawn_open_or_over_is_told_once(joint, relief, gap, tmp_path):
    style = Style(joint=joint, relief=relief, gap=gap, legs="", beams=())
    (told,) = review(boat(tmp_path, style), only=["joint-gap"])
    assert told.parts == ("F3 floor", "F3 port side")
    # the ends of a bevel and a birdsmouth lie askew to the way in which the floor is short
    share = {"bevel": 100 / (60**2 + 100**2) ** 0.5, "birdsmouth": 50 / (25**2 + 50**2) ** 0.5}
    assert told.measured == pytest.approx(abs(gap) * share.get(joint, 1.0), abs=0.01)


@pytest.mark.parametrize("joint", SHAPED)
def test_what_a_large_cutter_leaves_in_a_corner_is_no_joint(joint, tmp_path):
    style = Style(joint=joint, cutter=14.0, radius=5.0, legs="", beams=())
    assert review(boat(tmp_path, style), only=["joint-gap"]) == ()


def test_a_tenon_in_its_mortise_is_no_notch(tmp_path):
    style = Style(joint="tenon", sections=False, legs="")
    found = boat(tmp_path, style)
    drawn = boat(tmp_path / "drawn", replace(style, sections=True))
    for one, other in zip(found.battens, drawn.battens, strict=True):
        assert [s.centre for s in one.sections] == [pytest.approx(s.centre, abs=0.5) for s in other.sections]


@pytest.mark.parametrize("drawn", ["cross", "line", "insert"])
def test_screws_drawn_as_small_symbols_lie_at_their_centres(drawn, tmp_path):
    style = Style(screws="circle", legs="", beams=())
    circles, symbols = boat(tmp_path / "circles", style), boat(tmp_path / drawn, replace(style, screws=drawn))
    assert [[s.at for s in f.screws] for f in symbols.frames] == [
        [pytest.approx(s.at) for s in f.screws] for f in circles.frames
    ]
    assert faults(review(symbols)) == []


def test_a_layer_of_screws_that_gives_none_is_warned_of(tmp_path, monkeypatch):
    monkeypatch.setattr("scrieve.model.drawing.marks.SYMBOL", 5.0)
    told = faults(review(boat(tmp_path, Style(screws="line", legs="", beams=())), only=["outline"]))
    assert len(told) == 5 and all("8 lines on layer SCREWS AFT" in message for _, message in told)


@pytest.mark.parametrize(
    ("shy", "said"), [(0.0, "edges flush with"), (0.25, "edges flush with"), (3.0, "edges 3.0 mm in")]
)
def test_the_steps_say_by_how_much_gussets_stand_in(shy, said, tmp_path):
    steps = steps_of(boat(tmp_path, Style(shy=shy, legs="", beams=())))
    watched = [words for step in steps for words in step.watch if "outside of the frame" in words]
    assert watched and all(words.startswith(said) for words in watched)
