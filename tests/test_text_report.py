"""The text report, at fixed width and without colour unless that is the point."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Finding, Level, Source
from scrieve.viewer.reports.fold import FEWEST, folded, shape
from scrieve.viewer.reports.report import Report
from scrieve.viewer.reports.style import Style
from scrieve.viewer.reports.text_report import text_report

PIPE = Style()
COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def finding(message: str, **more: object) -> Finding:
    given = {"check": "foul", "level": Level.ERROR, "frame": "5", "message": message}
    return Finding(**{**given, **more})


def note(frame: str, message: str, **more: object) -> Finding:
    return finding(message, level=Level.NOTE, frame=frame, check="screw-bite", **more)


def report(*findings: Finding, **more: object) -> Report:
    given = {"plan": "hulls/burdock", "boat": "Burdock", "frames": ("1", "2", "5", "10"), "ran": ("foul", "dowel")}
    return Report(**{**given, "parts": 84, "screws": 212, "battens": 6, "findings": findings, **more})


def told(*findings: Finding, style: Style = PIPE, **more: object) -> str:
    return text_report([report(*findings, **more)], style)


def test_a_report_reads_like_this():
    findings = (
        finding(
            "F5 aft screw 2 and F5 forward screw 3 foul: axes 2.10 mm apart, want 5.17 mm",
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
    said = finding("it stands 0.62 mm past, of 0.3 mm", measured=0.6213, limit=0.3, unit="mm")
    assert "measured" not in told(said) and "limit" not in told(said)
    half = finding("it stands 0.62 mm past", measured=0.6213, limit=0.3, unit="mm")
    assert "foul; limit 0.3 mm\n" in told(half)


def test_a_number_in_a_name_is_not_taken_for_the_measured_one():
    text = told(finding("F5 screw 4 is loose", parts=("F5 screw 4",), measured=4.0, limit=5.0, unit="mm"))
    assert "foul; measured 4 mm, limit 5 mm\n" in text


def test_notes_that_read_alike_are_folded_with_their_frames_listed():
    notes = [
        note(frame, f"F{frame} port gusset: {n} screws hold {n}.05 mm", parts=(f"F{frame} port gusset",))
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
    assert "--format json lists each" in text


def test_many_alike_in_one_frame_stay_with_it_and_are_counted():
    text = told(*(note("5", f"{n} mm short") for n in range(4)), note("1", "9 mm short"))
    assert "5 of these: F5 (4), F1 (1)" in text
    alone = told(*(note("5", f"{n} mm short") for n in range(4)))
    assert "\nF5\n  note     0 to 3 mm short\n           4 of these: F5 (4)\n" in alone


def test_fewer_than_the_least_number_of_notes_are_not_folded():
    notes = [note(str(n), f"{n} mm short") for n in range(FEWEST)]
    assert len(folded(notes[:-1])) == FEWEST - 1
    assert len(folded(notes)) == 1


def test_errors_warnings_and_waived_notes_never_fold():
    for level, waived in ((Level.ERROR, ""), (Level.WARNING, ""), (Level.NOTE, "accepted")):
        alike = [finding("it is short", frame=str(n), level=level, waived=waived) for n in range(9)]
        assert len(folded(alike)) == 9


def test_notes_of_other_words_or_another_check_do_not_fold_together():
    a = [note(str(n), "short") for n in range(2)]
    b = [note(str(n), "long") for n in range(2)]
    c = [finding("short", level=Level.NOTE, check="bend")]
    assert len(folded(a + b + c)) == 5


def test_the_shape_of_a_message_leaves_out_names_sides_and_numbers():
    one = note("3", "F3 port leg, ply 2: 3.1 mm at frame 3", parts=("F3 port leg",))
    other = note("12", "F12 starboard leg, ply 2: -0.4 mm at frame 12", parts=("F12 starboard leg",))
    assert shape(one) == shape(other)


@pytest.mark.parametrize(
    "messages",
    [
        [f"16 screws (No. 8 x {length} in) hold 6.70 mm" for length in ("3/4", "5/8", "1-1/4")],
        [f"16 screws (No. {gauge} x 1 in) hold 6.70 mm" for gauge in (6, 8, 10)],
        [f"16 screws ({d} x {d * 4} mm) hold 6.70 mm" for d in (4, 5, 6)],
        [f"the waiver ran out on 2026-11-{day}: its finding counts again" for day in (10, 11, 30)],
        [f"{name} has no core part" for name in ("F5", "F5A", "F12B")],
        [f"screw {n} is short" for n in (2, 5, 7)],
        [f"2 outlines on layer {name} are taken for marks" for name in ("3 mm", "6 mm", "9")],
        [f"2 outlines of the cut sheet sheets/ply{n}-1.dxf" for n in (3, 6, 9)],
        [f'the text "SHEER {n} mm" names a batten' for n in (1, 2, 3)],
        [f"3 objects on layers that the plan does not name: ply {n} mm (3)" for n in (3, 6, 9)],
        [f"it stands at y {n}.0, z -{n}.5" for n in (3, 6, 9)],
    ],
)
def test_no_range_is_made_of_sizes_dates_names_and_places(messages: list[str]):
    folds = folded([note("", message) for message in messages])
    assert [fold.message for fold in folds] == messages


def test_what_is_measured_and_counted_has_its_range_though_it_is_negative_or_beside_a_size():
    notes = [
        note("", f"{n} screws (No. 8 x 3/4 in) stand {depth} mm off the {side} rail, on layer A ({n})")
        for n, depth, side in ((9, "-0.5", "port"), (12, "3.00", "starboard"), (10, "-2.25", "port"))
    ]
    (fold,) = folded(notes)
    assert fold.message == (
        "9 to 12 screws (No. 8 x 3/4 in) stand -2.25 to 3.00 mm off the port or starboard rail, on layer A (9 to 12)"
    )


def test_a_frame_is_not_found_in_the_name_of_another():
    notes = [note(n, f"F{n} and F50 and F5A lie 3 mm apart") for n in ("5", "6", "7")]
    (fold,) = folded(notes)
    assert fold.message == "F5 and F50 and F5A lie 3 mm apart"


def test_a_limit_is_told_that_only_a_fraction_seems_to_name():
    text = told(finding("a screw (No. 8 x 3/4 in) is off", measured=4.0, limit=3.0, unit="mm"))
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
