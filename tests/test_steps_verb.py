"""`scrieve steps`: how it is asked, how it ends, and what it writes."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import making
import pytest
import replanning
from faults import HULLS
from stepped import demo
from verbs_making import Terminal

from scrieve.model.sequence.measurements.screw_positions import ScrewPosition
from scrieve.model.sequence.steps import Adding, Driving, Step, steps_of
from scrieve.model.sequence.steps.cards import Cards, label_rule
from scrieve.model.sequence.turning import Turning
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY
from scrieve.viewer.reports.steps_json import steps_json
from scrieve.viewer.reports.steps_text import steps_text
from scrieve.viewer.reports.style import Style
from scrieve.viewer.verbs.commands import run

PRAM = str(HULLS / "pram")


def driving(**more) -> Driving:
    usual = {
        "screws": ("F5 forward screw 1", "F5 forward screw 2", "F5 forward screw 3", "F5 forward screw 7"),
        "size": "No. 8 x 3/4 in",
        "driven_from": "forward",
        "stop": 19.0,
        "pilot": (2.329, 2.995),
        "clearance": 4.1656,
    }
    return Driving(**{**usual, **more})


def step(number: int, *, stage: str = "bench", frame: str = "5", kind: str = "core", **more) -> Step:
    return Step(**{"number": number, "stage": stage, "frame": frame, "kind": kind, "title": f"Do {number}", **more})


BOAT = making.assembly([making.frame([making.part("floor", making.rectangle(0, 0, 10, 10))])])
STEPS = (
    step(
        1,
        adds=(Adding(names=("F5 floor",), way="straight down", toward=(0.0, 0.0, -1.0)),),
        watch=("port is on your left",),
        turnings=(Turning(part="F5 floor", either_way=True, twins=()),),
    ),
    step(2, kind="plates", screws=(driving(),), cautions=("tools", "epoxy"), after=(1,)),
    step(3, kind="legs", screws=(driving(pilot=None),), cautions=("epoxy",), after=(2,)),
    step(4, stage="setting up", frame="", kind="strongback", cautions=("tools", "epoxy")),
    step(5, stage="setting up", kind="frame", cautions=("lifting",), after=(3, 4)),
)


def text(steps=STEPS, style: Style | None = None, boat=BOAT) -> str:
    return steps_text("hulls/x", boat, steps, style or Style())


# ---- the text


def test_the_text_whole():
    tools, epoxy, lifting = (CAUTIONS[key].text for key in ("tools", "epoxy", "lifting"))
    screws = "forward screws 1 to 3 and 7"
    assert text() == (
        "Test boat (hulls/x): 5 steps, 1 frame\n"
        "\n"
        "On the bench\n"
        "  a frame at a time, flat on the assembly board; all of it dry before glue is mixed\n"
        "  parts go straight down where a step says nothing else\n"
        + "".join(f"  {said}\n" for said in label_rule(BOAT))
        + "\n"
        "Drilling\n"
        "  No. 8 x 3/4 in: clearance hole 4.2 mm through the plate, pilot hole 2.3 mm in the core (hard wood 3.0 mm); "
        "countersink until the head is flush\n"
        "  No. 8 x 3/4 in: clearance hole 4.2 mm through the plate, pilot hole as the screw's maker says; "
        "countersink until the head is flush\n"
        "  STOP: the drill's point below the plate's face\n"
        "  places are in mm, square to the two edges named, in their order; 1+8: alike\n"
        "\n"
        "Frame by frame on the bench\n"
        "\n"
        "F5, open: 1 part, no screws\n"
        "  1  Do 1.\n"
        "     - port is on your left\n"
        "  2  Do 2.\n"
        f"     - {screws}: STOP 19.0 mm\n"
        f"     ! Cutters and drills. {tools}\n"
        f"     ! Epoxy and hardener. {epoxy}\n"
        "  3  Do 3.\n"
        f"     - {screws}: STOP 19.0 mm\n"
        "\n"
        "Setting up on the strongback\n"
        "\n"
        "  ! cautions: step 2\n"
        "  4  Do 4.\n"
        "  5  Do 5.\n"
        f"     ! Lifting and tipping. {lifting}\n"
        "\n"
        f"{DEFER}\n"
        f"{FIT_ONLY}\n"
    )


def test_a_caution_stands_in_full_at_the_first_step_that_is_shown():
    assert CAUTIONS["epoxy"].text in text(STEPS[2:3])


def test_text_is_wrapped_to_its_width_and_coloured_only_where_asked():
    wrapped = text(style=Style(width=60))
    assert max(map(len, wrapped.splitlines())) <= 60
    assert " ".join(wrapped.split()) == " ".join(text().split())
    coloured = text(style=Style(colour=True))
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == text() != coloured


def test_nothing_in_a_drawing_can_talk_to_the_terminal():
    told = text((step(1, title="Lay the \x1b[31mfloor\nnow", watch=("a\x07b",)),))
    assert "\x1b" not in told and "\x07" not in told
    assert "Lay the \\x1b[31mfloor now." in told


def test_no_steps_at_all():
    assert text(()).startswith("Test boat (hulls/x): no steps, no frames\n")
    assert json.loads(steps_json("x", ()))["steps"] == []


# ---- the JSON


def test_the_json_has_every_step_with_all_its_keys():
    read = json.loads(steps_json("hulls/x", STEPS))
    assert list(read) == ["version", "plan", "steps", "cautions", "defer", "fit_only"]
    assert read["plan"] == "hulls/x" and read["defer"] == DEFER and read["fit_only"] == FIT_ONLY
    assert read["steps"][0] == {
        "number": 1,
        "stage": "bench",
        "frame": "5",
        "kind": "core",
        "title": "Do 1",
        "adds": [{"names": ["F5 floor"], "way": "straight down", "toward": [0.0, 0.0, -1.0]}],
        "screws": [],
        "watch": ["port is on your left"],
        "cautions": [],
        "turning": [{"part": "F5 floor", "either_way": True, "twins": []}],
        "after": [],
        "up": "",
        "sizes": [],
        "diagonals": [],
        "rests": None,
        "legs": [],
        "marks": [],
        "runs": [],
    }
    assert read["steps"][1]["screws"] == [
        {
            "screws": [f"F5 forward screw {n}" for n in (1, 2, 3, 7)],
            "size": "No. 8 x 3/4 in",
            "driven_from": "forward",
            "stop": 19.0,
            "pilot": [2.329, 2.995],
            "clearance": 4.1656,
            "places": [],
        }
    ]
    assert read["steps"][2]["screws"][0]["pilot"] is None
    assert read["steps"][4]["after"] == [3, 4]
    assert all(list(one) == list(read["steps"][0]) for one in read["steps"])
    named = {topic for one in read["steps"] for topic in one["cautions"]}
    assert named == set(read["cautions"]) == {"cutters and drills", "epoxy and hardener", "lifting and tipping"}


def test_the_json_is_a_step_a_line_in_ascii():
    lines = steps_json("Blåhval", STEPS).splitlines()
    assert sum(line.startswith('    {"number"') for line in lines) == len(STEPS)
    assert steps_json("Blåhval", STEPS).isascii()


# ---- the verb


@pytest.fixture(autouse=True)
def no_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    for variable in ("NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(variable, raising=False)


def test_both_formats_tell_of_the_same_steps(capsys):
    assert run(["steps", PRAM, "--format", "json"]) == 0
    read = json.loads(capsys.readouterr().out)
    assert run(["steps", PRAM]) == 0
    said = capsys.readouterr()
    assert said.err == "" and "\x1b" not in said.out
    assert read["plan"] == PRAM
    steps = steps_of(demo("pram"))
    cards = Cards(demo("pram"), steps)
    for one, step in zip(read["steps"], steps, strict=True):
        assert f"{one['number']:>3}  {one['title']}.\n" in said.out
        assert all(f"     - {watch}\n" in said.out for watch in cards.own(step))


def test_what_is_the_same_is_said_once_and_nothing_is_lost(capsys):
    boat = demo("pram")
    steps = steps_of(boat)
    cards = Cards(boat, steps)
    told = [line for card in cards.cards for line in card.lines]
    assert run(["steps", PRAM]) == 0
    out = capsys.readouterr().out
    for step in steps:
        own = list(cards.own(step))
        for watch in step.watch:
            said, _, meaning = watch.rpartition(": ")
            apart = f"F{step.frame}"
            stands = [line for line in told if line.partition(" (not ")[0] == watch]
            if watch in own:
                assert not stands or apart in stands[0], watch
            elif said in own:  # and what it means is explained
                assert any(line.endswith(f": {meaning}") for line in told), watch
            else:
                assert len(stands) == 1 and apart not in stands[0].partition(" (not ")[2], watch
    alone = Counter(line for card in cards.cards for line in card.lines)
    assert max(alone.values()) == 1 and all(out.count(f"  {line}\n") == 1 for line in alone)


def test_what_one_frame_alone_says_stays_with_its_step():
    boat = demo("pram")
    steps = [step for step in steps_of(boat) if step.frame == "3"]
    one = Cards(boat, [step for step in steps if step.kind == "glue"])
    (glue,) = (step for step in steps if step.kind == "glue")
    assert "hard is when a dab of the same mix on a scrap is; flat until then" in list(one.own(glue))


def test_sizes_and_wood_left_are_said_where_they_differ():
    places = [ScrewPosition(name="x", at=(0, 0), plate="g", into="c", edges=(), bite=1, left=by) for by in (1.9, 2.5)]
    two = [driving(size=size, places=(place,)) for size, place in zip(("No. 8", "No. 6"), places, strict=True)]
    cards = Cards(BOAT, [step(1, kind="plates", screws=tuple(two))])
    assert [cards.stops(each).partition(", ")[2] for each in two] == [
        "No. 8: STOP 19.0 mm, 1.9 mm left",
        "No. 6: STOP 19.0 mm, 2.5 mm left",
    ]


@pytest.mark.parametrize("number", ["3", "F3"])
def test_the_steps_of_one_frame_keep_their_numbers(number, capsys):
    run(["steps", PRAM, "--format", "json"])
    whole = json.loads(capsys.readouterr().out)["steps"]
    assert run(["steps", PRAM, "--format", "json", "--frame", number]) == 0
    mine = json.loads(capsys.readouterr().out)["steps"]
    assert mine == [one for one in whole if one["frame"] == "3"]
    assert {one["stage"] for one in mine} == {"bench", "setting up"}


def test_the_same_plan_gives_the_same_bytes(capsys):
    for form in ("text", "json"):
        run(["steps", PRAM, "--format", form])
        first = capsys.readouterr().out
        run(["steps", PRAM, "--format", form])
        assert capsys.readouterr().out == first


def test_output_goes_to_the_file_and_never_over_another_without_leave(tmp_path: Path, capsys):
    target = tmp_path / "steps.txt"
    assert run(["steps", PRAM, "--output", str(target)]) == 0
    assert capsys.readouterr() == ("", f"wrote {target}\n")
    written = target.read_bytes()
    assert b"\x1b" not in written
    assert run(["steps", PRAM, "--output", str(target)]) == 2
    assert capsys.readouterr().err == f"{target}: is there already; --replace writes over it\n"
    target.write_text("old")
    assert run(["steps", PRAM, "--output", str(target), "--replace"]) == 0
    assert target.read_bytes() == written


def test_a_file_is_plain_even_if_the_terminal_is_not(tmp_path: Path, monkeypatch):
    monkeypatch.setattr("sys.stdout", Terminal())
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert run(["steps", PRAM, "--output", str(tmp_path / "steps.txt")]) == 0
    assert b"\x1b" not in (tmp_path / "steps.txt").read_bytes()


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["steps"], "scrieve steps: PLAN is missing"),
        (["steps", PRAM, PRAM], f'scrieve steps: one word too many (got "{PRAM}" besides what was asked for)'),
        (["steps", PRAM, "--frame", "44"], 'scrieve steps: --frame must name a frame (got "44"'),
        (["steps", PRAM, "--format", "xml"], "scrieve steps: --format must be one of text, json (got "),
        (["steps", "no such folder"], "no such folder: no such file"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_ends_two(words, line, capsys):
    assert run(words) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.startswith(line) and said.err.count("\n") == 1


def test_an_order_that_cannot_be_kept_is_a_line_with_its_place_in_the_plan(tmp_path: Path, capsys):
    copy = replanning.copy_of(HULLS / "pram", tmp_path / "copy")
    order = [
        {"first": "F3 port chine gusset, aft", "then": "F3 floor"},
        {"first": "F3 port side", "then": "F3 flor"},
    ]
    replanning.change_plan(copy, lambda plan: plan.update(order=order[:1]))
    (place,) = (n for n, line in enumerate((copy / "plan.toml").read_text().splitlines(), 1) if line == "[[order]]")
    assert run(["steps", str(copy)]) == 2
    assert capsys.readouterr() == (
        "",
        f'{copy}/plan.toml:{place}: "F3 port chine gusset, aft" cannot go on before "F3 floor": '
        "the core goes together before any plate lies on it\n",
    )
    replanning.change_plan(copy, lambda plan: plan.update(order=order[1:]))
    assert run(["steps", str(copy)]) == 2
    assert 'did you mean "F3 floor"? (got "F3 flor")' in capsys.readouterr().err
    assert run(["check", str(copy), "--only", "outline"]) == 1
    assert "[[order]] names a part that the drawing of F3 does not show" in capsys.readouterr().out
