"""The text report, at fixed width and without colour unless that is the point."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import making
import pytest

from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Finding, Level, Source, Subject
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.wording import mm, place, plain, several
from scrieve.viewer.reports.fold import FEWEST, folded, in_a_line
from scrieve.viewer.reports.report import Report
from scrieve.viewer.reports.style import Style
from scrieve.viewer.reports.text_report import text_report

PIPE = Style()
COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def finding(message: str, **more: object) -> Finding:
    return making.finding(**{"frame": "5", "message": message, **more})


def note(frame: str, message: str, **more: object) -> Finding:
    return finding(message, level=Level.NOTE, frame=frame, check="screw-bite", **more)


def part(name: str) -> Subject:
    return Subject(kind="part", name=name)


def short(by: float) -> Sentence:
    return Sentence.of("{by} short", by=Quantity.of(by, f"{by} mm"))


def report(*findings: Finding, **more: object) -> Report:
    given = {"plan": "hulls/burdock", "boat": "Burdock", "frames": ("1", "2", "5", "10"), "ran": ("foul", "dowel")}
    return Report(**{**given, "parts": 84, "screws": 212, "battens": 6, "findings": findings, **more})


def told(*findings: Finding, style: Style = PIPE, **more: object) -> str:
    return text_report([report(*findings, **more)], style)


def test_a_report_reads_like_this():
    findings = (
        finding(
            Sentence.of(
                "{one} and {other} foul: axes {gap} apart, want {want}",
                one=Name("F5 aft screw 2"),
                other=Name("F5 forward screw 3"),
                gap=mm(2.1),
                want=mm(5.166),
            ),
            check="screw-foul",
            parts=("F5 aft screw 2", "F5 forward screw 3"),
            at=(2300.0, -612.34, 148.0),
            measured=2.1,
            limit=5.166,
            unit="mm",
            cure="move F5 aft screw 2 at least 3.1 mm away",
            source=Source(file="frames/5.dxf", handle="2F"),
        ),
        finding("F2 beam is not on the cut sheets", check="cut-sheet", frame="", source=Source(file="p.toml", line=41)),
        finding(
            "F2 leg stands off", check="leg-side", frame="2", level=Level.WARNING, measured=0.7, limit=0.5, unit="mm"
        ),
        finding("F2 screw 4 is near the edge", check="screw-edge", frame="2", waived="pulled after the glue sets"),
    )
    assert told(*findings) == (
        "Burdock (hulls/burdock): 4 frames, 84 parts, 212 screws, 6 battens\n"
        "\n"
        "Whole boat\n"
        "  error    F2 beam is not on the cut sheets\n"
        "           cut-sheet; p.toml:41\n"
        "\n"
        "F2\n"
        "  warning  F2 leg stands off\n"
        "           leg-side; measured 0.7 mm, limit 0.5 mm\n"
        "  waived   F2 screw 4 is near the edge\n"
        "           accepted: pulled after the glue sets\n"
        "           screw-edge (error)\n"
        "\n"
        "F5\n"
        "  error    F5 aft screw 2 and F5 forward screw 3 foul: axes 2.10 mm apart, want 5.17 mm\n"
        "           cure: move F5 aft screw 2 at least 3.1 mm away\n"
        "           screw-foul at x 2300, y -612.3, z 148; frames/5.dxf, object 2F\n"
        "\n"
        "2 errors (whole boat, F5), 1 warning (F2), no notes, 1 waived.\n"
        "\n"
        f"{FIT_ONLY}\n"
    )


def test_a_clean_boat_is_called_clean_and_what_was_looked_at_is_said():
    text = told()
    assert "Nothing found wrong.\nLooked at: foul, dowel.\n" in text
    assert "error" not in text


def test_what_was_not_looked_at_is_said_whether_or_not_something_was_found():
    assert "Not looked at: bend, fair.\n" in told(left_out=("bend", "fair"))
    assert "Not looked at: bend, fair.\n" in told(finding("a foul"), left_out=("bend", "fair"))


def test_only_waived_findings_are_not_called_nothing():
    text = told(finding("F5 foul", waived="accepted"))
    assert "No errors, no warnings, no notes, 1 waived.\n" in text
    assert "Nothing found wrong" not in text


def test_frames_come_from_aft_forward_and_the_worst_first_in_each():
    findings = [
        finding("ten", frame="10"),
        finding("one mild", frame="1", level=Level.NOTE),
        finding("one", frame="1"),
        finding("unheard of", frame="99"),
        finding("all", frame=""),
    ]
    text = told(*findings)
    order = [text.index(words) for words in ("Whole boat", "\nF1\n", " one\n", "one mild", "\nF10\n", "\nF99\n")]
    assert order == sorted(order)


def test_numbers_the_sentence_says_are_not_said_again_however_it_rounds_them():
    past = Sentence.of("it stands {by} past", by=mm(-0.6213))
    whole = Sentence.of("{past}, of {limit}", past=past, limit=Quantity.of(0.3, "a third of 1 mm"))
    said = finding(whole, measured=0.6213, limit=0.3, unit="mm")
    assert "measured" not in told(said) and "limit" not in told(said)
    half = finding(past, measured=0.6213, limit=0.3, unit="mm")
    assert "foul; limit 0.3 mm\n" in told(half)


def test_a_number_in_a_name_is_not_taken_for_the_measured_one():
    loose = Sentence.of("{screw} is loose", screw=Name("F5 screw 4"))
    text = told(finding(loose, measured=4.0, limit=5.0, unit="mm"))
    assert "foul; measured 4 mm, limit 5 mm\n" in text


def test_notes_that_read_alike_are_folded_with_their_frames_listed():
    notes = [
        note(
            frame,
            Sentence.of(
                "{part}: {screws} hold {depth}",
                part=Name(f"F{frame} port gusset"),
                screws=several(["s"] * n, "screws"),
                depth=mm(n + 0.05),
            ),
            subjects=(part(f"F{frame} port gusset"),),
        )
        for frame, n in (("1", 8), ("2", 4), ("10", 6))
    ]
    text = told(*notes)
    assert text.count("screws hold") == 1
    assert (
        "Several frames\n"
        "  note     F1 port gusset: 4 to 8 screws hold 4.05 to 8.05 mm\n"
        "           3 of these: F1, F2, F10\n"
    ) in text
    assert "No errors, no warnings, 3 notes.\n" in text
    assert "--all lists each" in text


def test_many_alike_in_one_frame_stay_with_it_and_are_counted():
    text = told(*(note("5", short(n)) for n in range(4)), note("1", short(9)))
    assert "5 of these: F5 (4), F1 (1)" in text
    alone = told(*(note("5", short(n)) for n in range(4)))
    assert "\nF5\n  note     0 to 3 mm short\n           4 of these: F5 (4)\n" in alone


def test_fewer_than_the_least_number_of_notes_are_not_folded():
    notes = [note(str(n), short(n)) for n in range(FEWEST[Level.NOTE])]
    assert len(folded(notes[:-1])) == FEWEST[Level.NOTE] - 1
    assert len(folded(notes)) == 1


@pytest.mark.parametrize("level", [Level.ERROR, Level.WARNING])
def test_faults_of_one_form_fold_where_they_are_many_and_levels_apart(level):
    alike = [finding(short(n), frame=str(n), level=level, cure=f"take {n}") for n in range(FEWEST[level])]
    assert len(folded(alike)) == 1
    assert len(folded(alike[1:])) == FEWEST[level] - 1
    assert len(folded([*alike[1:], replace(alike[0], level=Level.NOTE)])) == FEWEST[level]
    text = told(*alike)
    assert f"0 to {FEWEST[level] - 1} mm short\n           cure of the first: take 0\n" in text
    assert f"{FEWEST[level]} {level}s" in text.replace("Error", "error")
    assert text_report([report(*alike)], Style(), every=True).count(" mm short") == FEWEST[level]


def test_what_is_waived_never_folds():
    for level in Level:
        assert len(folded([finding("it is short", frame=str(n), level=level, waived="so") for n in range(9)])) == 9


def test_notes_of_other_words_or_another_check_do_not_fold_together():
    a = [note(str(n), "short") for n in range(2)]
    b = [note(str(n), "long") for n in range(2)]
    c = [finding("short", level=Level.NOTE, check="bend")]
    assert len(folded(a + b + c)) == 5


def test_things_sides_and_numbers_make_no_difference_and_words_do():
    def leg(frame: str, side: str, ply: str, by: float) -> Finding:
        said = Sentence.of("{leg}, {ply}: {by} off the {side} rail", leg=Name(ply), ply=ply, by=mm(by), side=Name(side))
        return note(frame, said, subjects=(part(ply),))

    (fold,) = folded(
        [leg("3", "port", "inner", -0.5), leg("12", "starboard", "inner", 3), leg("5", "port", "inner", 1)]
    )
    assert fold.message == "inner, inner: -0.50 to 3.00 mm off the port or starboard rail"
    assert len(folded([leg("3", "port", ply, 1.0) for ply in ("inner", "outer", "middle")])) == 3


@pytest.mark.parametrize("values", [("F1", "F2", "F3"), ("port gusset",) * 3, ("the chine", "F2 sheer", "the chine")])
def test_of_what_each_is_about_the_first_is_named(values: tuple[str, ...]):
    notes = [
        note(str(n), Sentence.of("{thing} is bare", thing=Name(name)), subjects=(part(name), part(f"F{n} port gusset")))
        for n, name in enumerate(values, start=1)
    ]
    (fold,) = folded(notes)
    assert fold.message == f"{values[0]} is bare"


def test_other_names_stand_beside_one_another_and_no_range_is_made_of_them():
    def screws(*sizes: str) -> str:
        (fold,) = folded([note("", Sentence.of("screws ({size}) hold", size=Name(size))) for size in sizes])
        return fold.message

    assert screws("No. 8 x 1 in", "No. 6 x 1 in", "No. 8 x 1 in") == "screws (No. 8 x 1 in or No. 6 x 1 in) hold"
    assert screws("4", "5", "6", "7", "8") == "screws (4, 5, 6 or 2 more) hold"
    places = folded([note("", Sentence.of("at {place}", place=place(n, -n))) for n in (3, 6, 9)])
    assert [fold.message for fold in places] == ["at y 3.0, z -3.0, y 6.0, z -6.0 or y 9.0, z -9.0"]


def test_a_text_without_values_is_only_like_itself():
    messages = [f"{n} outlines on layer {n} mm" for n in (3, 6, 9)]
    assert [fold.message for fold in folded([note("", message) for message in messages])] == messages


def test_a_range_has_the_least_and_the_greatest_by_their_numbers():
    notes = [
        note("", Sentence.of("{joints}, {count} in all", joints=Quantity.of(n, f"its {n} joints"), count=plain(n)))
        for n in (9, 12, 10)
    ]
    (fold,) = folded(notes)
    assert fold.message == "its 9 to 12 joints, 9 to 12 in all"


def test_numbers_that_read_alike_at_both_ends_are_no_range():
    lengths = [mm(0.2), mm(0.2, 0.2001), mm(0.2)]
    assert len(set(lengths)) > 1
    (fold,) = folded([note("", Sentence.of("{by} off", by=by)) for by in lengths])
    assert fold.message == "0.20 mm off"


def test_a_fold_in_a_line_names_the_frame_that_all_are_of():
    def line(*frames: str) -> str:
        (fold,) = folded([note(frame, Sentence.of("{n} off", n=mm(1))) for frame in frames])
        return in_a_line(fold)

    assert line("2") == line("2", "2", "2").removesuffix(" (3 of these)")
    assert line("2", "3", "4") == line("", "", "")
    assert line("2", "2", "2").startswith("F2 ")


def test_a_limit_is_told_that_only_a_name_seems_to_hold():
    text = told(
        finding(Sentence.of("a screw ({size}) is off", size=Name("4 x 3 mm")), measured=4.0, limit=3.0, unit="mm")
    )
    assert "measured 4 mm, limit 3 mm" in text


def test_a_cure_is_kept_in_a_fold_only_if_it_is_the_same_for_all():
    same = [note(str(n), "short", cure="take longer ones") for n in range(3)]
    assert "cure: take longer ones" in told(*same)
    differ = [note(str(n), "short", cure=f"take {n}") for n in range(3)]
    assert "cure" not in told(*differ)


def test_in_a_pipe_a_sentence_is_one_line_however_long():
    long = "very " * 80 + "long"
    assert f"  error    {long}\n" in told(finding(long, cure=long))


def test_at_sixty_columns_nothing_is_wider_and_further_lines_hang():
    long = finding("F5 aft screw 2 " + "runs beside another one " * 8, cure="move it " * 20, at=(1.0, 2.0, 3.0))
    lines = told(long, boat="Burdock the Second " * 4, style=Style(width=60)).splitlines()
    assert max(map(len, lines)) <= 60
    start = next(n for n, line in enumerate(lines) if line.startswith("  error"))
    assert all(line.startswith(" " * 11) for line in lines[start + 1 : start + 4])


def test_wrapping_changes_no_word():
    findings = [finding("F5 aft screw 2 " + "runs beside another one " * 8, cure="move it " * 20)]
    assert told(*findings, style=Style(width=60)).split() == told(*findings).split()


def test_colour_changes_no_letter_and_is_off_unless_asked_for():
    findings = [finding("a"), finding("b", level=Level.WARNING), note("5", "c"), finding("d", waived="so")]
    plain, painted = told(*findings), told(*findings, style=Style(colour=True))
    assert not COLOUR.search(plain)
    assert COLOUR.search(painted)
    assert COLOUR.sub("", painted) == plain


def test_what_looks_like_markup_is_left_alone():
    assert "  error    [F1] and [bold]F2[/bold] foul\n" in told(finding("[F1] and [bold]F2[/bold] foul"))


def test_control_characters_of_a_drawing_reach_no_terminal():
    hostile = "label \x1b[2J\x07 and\nnew line \u202e turned"
    text = told(finding(hostile, cure=hostile, waived=""), boat=hostile, plan=hostile)
    assert not {c for c in text if not c.isprintable()} - {"\n"}
    assert "  error    label \\x1b[2J\\x07 and new line \\u202e turned\n" in text


def test_several_plans_follow_one_another_and_the_caution_stands_once():
    text = text_report([report(plan="a"), report(finding("x"), plan="b")], PIPE)
    assert text.index("Burdock (a)") < text.index("Burdock (b)")
    assert text.count(FIT_ONLY) == 1


def test_minus_nought_is_nought():
    assert "x 0, y 0, z 0" in told(finding("x", at=(-0.0, -0.01, 0.0)))


def test_no_line_ends_in_a_space_and_no_two_lines_in_a_row_are_empty():
    text = told(finding("x", frame=""), finding("y"), *(note(str(n), "z") for n in range(5)))
    lines = text.splitlines()
    assert all(line == line.rstrip() for line in lines)
    assert not any(a == b == "" for a, b in pairwise(lines))


def test_the_level_that_fails_counts_worse_levels_and_leaves_out_waived_ones():
    warned = report(finding("x", level=Level.WARNING), finding("y", waived="so"))
    assert [warned.fails(level) for level in (Level.ERROR, Level.WARNING, Level.NOTE, None)] == [
        False,
        True,
        True,
        False,
    ]
