"""`[[order]]` of a plan: read, refused where it cannot be, and names that no drawing shows."""

from __future__ import annotations

from pathlib import Path

import making
import pytest
from bad_plans import GOOD, line_with, write_plan
from test_plan_reader import refused

from scrieve.model.plan.plan_order import Before, frame_of
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.order_refused import unknown
from scrieve.shared.findings import Source


def orders(*pairs: tuple[str, str]) -> str:
    return GOOD + "".join(f'\n[[order]]\nfirst = "{first}"\nthen = "{then}"\n' for first, then in pairs)


def line_of(text: str, number: int, key: str = "") -> int:
    """The line of the nth [[order]], or of a key in it."""
    lines = text.splitlines()
    tables = [n for n, line in enumerate(lines, start=1) if line == "[[order]]"]
    return tables[number] + {"": 0, "first": 1, "then": 2}[key]


def test_wishes_are_read_with_their_lines(tmp_path: Path):
    text = orders(("F5 port side", "F5 floor"), ("port chine", "F6"))
    plan = read_plan(write_plan(tmp_path, text))
    assert [(wish.first, wish.then, wish.frame) for wish in plan.order] == [
        ("F5 port side", "F5 floor", "5"),
        ("port chine", "F6", ""),
    ]
    assert [wish.source for wish in plan.order] == [
        Source(file="plan.toml", line=line_of(text, number)) for number in range(2)
    ]
    assert read_plan(write_plan(tmp_path, GOOD)).order == ()


@pytest.mark.parametrize(
    ("first", "then", "key", "says"),
    [
        ("F7", "F5", "first", 'there is no such frame, part or batten (got "F7")'),
        ("port chin", "F5", "first", 'did you mean "port chine"? (got "port chin")'),
        ("chine", "F5", "first", 'there is no such frame, part or batten; did you mean "port chine"? (got "chine")'),
        ("F5", "F9 floor", "then", 'a part of a frame that the plan has is wanted (got "F9 floor")'),
        ("F5 floor", "F6 floor", "then", "two parts of one frame, or two of the frames and battens, are wanted"),
        ("F5 floor", "F5", "then", 'are wanted (got "F5" after "F5 floor")'),
        ("port chine", "F5 floor", "then", "two parts of one frame"),
        ("F5", "F5", "then", 'something else than `first` is wanted (got "F5")'),
        ("", "F5", "first", "text that is not empty is wanted"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line(tmp_path: Path, first, then, key, says):
    text = orders((first, then))
    told = refused(tmp_path, text)
    assert [line for line, _ in told if says in _] == [line_of(text, 0, key)], told


def test_a_missing_key_and_an_unknown_one_are_mistakes_like_any_other(tmp_path: Path):
    (told,) = refused(tmp_path, GOOD + '\n[[order]]\nfirst = "F5"\nthan = "F6"\n')
    assert told[1] == 'order[0].than: no such key; did you mean "then"?'


def test_a_circle_is_told_once_with_the_lines_that_make_it(tmp_path: Path):
    text = orders(
        ("F5 a", "F5 b"), ("F6", "F5"), ("F5 b", "F5 c"), ("F5 x", "F5 y"), ("F5 c", "F5 a"), ("F5 y", "F5 x")
    )
    ((line, what),) = refused(tmp_path, text)
    assert line == line_of(text, 4)
    lines = f"{line_of(text, 0)}, {line_of(text, 2)}"
    assert what == (
        f'order[4]: with lines {lines} this runs in a circle: "F5 c" before "F5 a" before "F5 b" before "F5 c"'
    )


def test_the_same_wish_twice_is_no_circle(tmp_path: Path):
    assert len(read_plan(write_plan(tmp_path, orders(("F5", "F6"), ("F5", "F6")))).order) == 2


def test_a_file_of_nothing_but_orders_is_read_in_good_time(tmp_path: Path):
    text = orders(*((f"F5 {n}", f"F5 {n + 1}") for n in range(3000)))
    assert len(read_plan(write_plan(tmp_path, text)).order) == 3000
    told = refused(tmp_path, orders(*((f"F5 {n}", f"F5 {(n + 1) % 3000}") for n in range(3000))))
    assert [line for line, _ in told] == [line_of(text, 2999)]


def test_a_name_is_a_parts_if_it_begins_with_a_frames():
    assert [frame_of(name) for name in ("F5 floor", "F5", "port chine", "F10-A port side")] == ["5", "", "", "10-A"]


def test_names_that_no_drawing_shows_are_defects_with_the_nearest_that_one_does():
    frame = making.frame([making.part("floor", making.rectangle(0, 0, 10, 10))])
    source = Source(file="plan.toml", line=line_with(GOOD, "[[frames]]"))

    def told(first: str, then: str) -> list[str]:
        return [d.message for d in unknown([Before(first=first, then=then, source=source)], [frame], [])]

    assert told("F5 floor", "F5 floor") == told("F5", "F5") == []
    assert told("F5 floor", "F5 flor") == [
        '[[order]] names a part that the drawing of F5 does not show; did you mean "F5 floor"? (got "F5 flor")'
    ]
    assert told("keel", "F5") == ['[[order]] names a batten that the drawings do not show (got "keel")']
