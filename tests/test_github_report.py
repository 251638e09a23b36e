"""The report as GitHub's workflow commands, read back as its runner reads them."""

from __future__ import annotations

import re

from reported import BOAT, FOUL, HOSTILE, ROOT, STATION, UNREAD, WAIVED, finding, report

from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Level
from scrieve.shared.sentences import Sentence
from scrieve.shared.wording import several
from scrieve.viewer.reports.github_report import SHOWN, github_report

COMMAND = re.compile(r"::(\w+)(?: ([^:]*))?::(.*)")


def written(*reports, unread=None) -> str:
    return github_report(reports, unread=unread or {}, here=ROOT)


def commands(text: str) -> list[tuple[str, dict[str, str], str]]:
    """What the runner makes of the lines: name, properties, message; escapes undone as its manual says."""
    found = []
    for line in text.split("\n"):
        match = COMMAND.fullmatch(line.strip())
        if match:
            properties = dict(pair.split("=", 1) for pair in (match[2] or "").split(",") if pair)
            found.append((match[1], {k: undone(v) for k, v in properties.items()}, undone(match[3])))
    return found


def undone(text: str) -> str:
    for code, sign in (("%3A", ":"), ("%2C", ","), ("%0D", "\r"), ("%0A", "\n"), ("%25", "%")):
        text = text.replace(code, sign)
    return text


def test_a_report_is_this_to_the_byte():
    assert written(report(FOUL, STATION, WAIVED, BOAT)) == (
        "::error file=hulls/burdock/frames/5.dxf,title=F5 screw-foul::F5 aft screw 2 and F5 forward screw 3 foul"
        "%0ACure: move one%0AObject 2F of the drawing\n"
        "::warning file=hulls/burdock/plan.toml,line=41,title=F7 station::F7 is out of order%0ACure: number it anew\n"
        "::notice file=hulls/burdock/plan.toml,title=station::the plan has a strongback but no frame has legs\n"
        "waived error: F2 aft screw 1 stands 3.00 mm from an edge; accepted: pulled after the glue sets "
        "(hulls/burdock/frames/2.dxf)\n"
        "checked hulls/burdock (Burdock): 1 error (F5), 1 warning (F7), 1 note, 1 waived.\n"
        f"{FIT_ONLY}\n"
    )


def test_the_worst_come_first_over_all_plans():
    text = written(report(STATION, BOAT, plan="a"), report(FOUL, plan="b"))
    assert [name for name, _, _ in commands(text)] == ["error", "warning", "notice"]


def test_signs_that_mean_something_to_the_runner_are_escaped_and_come_back():
    odd = finding("100% of a,b:c", check="x:y,z", cure="50%0A")
    (command,) = commands(written(report(odd, plan="a,b:c%")))
    assert command == (
        "error",
        {"file": "a,b:c%/plan.toml", "title": "F5 x:y,z"},
        "100% of a,b:c\nCure: 50%0A",
    )


def test_no_label_makes_a_command_of_its_own():
    for waived in ("", HOSTILE):
        odd = finding(f"\n::add-mask::x\r\n::error::y {HOSTILE}", cure=HOSTILE, parts=(HOSTILE,), waived=waived)
        text = written(report(*[odd] * 12, boat="::warning::" + HOSTILE), unread={"::error::p": UNREAD["hulls/bad"]})
        assert {name for name, _, _ in commands(text)} <= {"error", "group", "endgroup"}
        assert all(line.startswith("::error ") for line in text.split("\n") if "##[" in line)
        assert not {c for c in text if not c.isprintable()} - {"\n"}


def test_up_to_the_number_that_is_shown_all_are_remarks():
    text = written(report(*(finding(str(n)) for n in range(SHOWN))))
    assert [message for _, _, message in commands(text)] == [str(n) for n in range(SHOWN)]


def test_more_than_are_shown_end_in_one_line_with_the_rest_which_stand_in_the_log():
    many = [finding(f"number {n}") for n in range(8)]
    text = written(report(*many, plan="a"), report(*many, STATION, plan="b"))
    shown = commands(text)
    errors = [message for name, _, message in shown if name == "error"]
    assert len(errors) == SHOWN
    assert errors[:9] == [f"number {n}" for n in (*range(8), 0)]
    assert errors[9] == "7 more errors, all told in the log of this step: 7 in b"
    begin, end = text.index("::group::7 more errors\n"), text.index("::endgroup::\n")
    folded = text[begin:end].splitlines()[1:]
    assert folded == [f"error: F5 foul: number {n} (b/plan.toml)" for n in range(1, 8)]
    assert [name for name, _, _ in shown][-1] == "warning"


def test_notes_that_read_alike_are_one_notice():
    notes = [
        finding(
            Sentence.of("{n} hold 6.70 mm", n=several("s" * n, "screws")),
            check="screw-bite",
            level=Level.NOTE,
            frame=str(n),
            cure="none",
        )
        for n in (2, 5, 7)
    ]
    ((name, properties, message),) = commands(written(report(*notes)))
    assert (name, properties["title"]) == ("notice", "screw-bite")
    assert message == "2 to 7 screws hold 6.70 mm\nCure: none\n3 of these: F2, F5, F7"


def test_a_plan_that_cannot_be_read_is_an_error_at_each_mistakes_line():
    assert commands(written(unread=UNREAD)) == [
        (
            "error",
            {"file": "hulls/bad/plan.toml", "line": "2", "title": "the plan cannot be read"},
            "no such key (got 3)",
        ),
        ("error", {"file": "hulls/bad/frames/1.dxf", "title": "the plan cannot be read"}, "no such file"),
    ]
