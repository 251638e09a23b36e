"""Where keys stand in a TOML text."""

from __future__ import annotations

import json
import random
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrieve.model.plan.toml_places import MOST_DEPTH, MOST_ENTRIES, MOST_KEYS, TomlPlaces, TomlTooMuchError

SHAPES: list[tuple[str, dict[tuple[str | int, ...], int]]] = [
    ("a = 1\nb = 2", {("a",): 1, ("b",): 2}),
    ("\n\n# note\n  a = 1 # = 2\n\tb=2\n", {("a",): 4, ("b",): 5}),
    ("a = 1\r\n\r\nb = 2\r\n", {("a",): 1, ("b",): 3}),
    ("[t]\na = 1\n\n[u]\nb = 2", {("t",): 1, ("t", "a"): 2, ("u",): 4, ("u", "b"): 5}),
    ("[ t . u ]\na = 1", {("t",): 1, ("t", "u"): 1, ("t", "u", "a"): 2}),
    ("[t.u]\na = 1\n[t]\nb = 1", {("t",): 3, ("t", "u"): 1, ("t", "u", "a"): 2, ("t", "b"): 4}),
    ('["a b"."c.d"]\n"e=f" = 1', {("a b",): 1, ("a b", "c.d"): 1, ("a b", "c.d", "e=f"): 2}),
    ("['a\\b']\n'#' = 1", {("a\\b",): 1, ("a\\b", "#"): 2}),
    ('"\\u00e9\\"x" = 1\n"" = 2', {('é"x',): 1, ("",): 2}),
    ("a.b.c = 1\na.d = 2", {("a",): 1, ("a", "b"): 1, ("a", "b", "c"): 1, ("a", "d"): 2}),
    ('a . "b c" = 1', {("a", "b c"): 1}),
    ("3.14 = 1\n-_- = 2", {("3", "14"): 1, ("-_-",): 2}),
    (
        "[[f]]\nn = 1\n[[f]]\nn = 2\n[f.g]\nh = 1\n[[f]]",
        {("f",): 1, ("f", 0): 1, ("f", 0, "n"): 2, ("f", 1, "n"): 4, ("f", 1, "g", "h"): 6, ("f", 2): 7},
    ),
    (
        "[[a]]\n[[a.b]]\n[[a.b]]\nx=1\n[[a]]\n[[a.b]]\nx=1",
        {("a", 0, "b", 0): 2, ("a", 0, "b", 1, "x"): 4, ("a", 1): 5, ("a", 1, "b", 0, "x"): 7},
    ),
    ("t = { a = 1, b.c = {d = 2} }\nu = {}", {("t", "a"): 1, ("t", "b", "c", "d"): 1, ("u",): 2}),
    (
        "a = [\n  1, # one\n  [2,\n   3],\n  {b = 4},\n]\nc = 5",
        {("a",): 1, ("a", 0): 2, ("a", 1): 3, ("a", 1, 1): 4, ("a", 2, "b"): 5, ("c",): 7},
    ),
    ("a = [ [\n] , [ ], # ]\n]\nb = 1", {("a", 1): 2, ("b",): 4}),
    ("f = [\n {n = 1},\n\n {n = 2}\n]", {("f", 0, "n"): 2, ("f", 1, "n"): 4}),
    ('a = """\nx\n[t]\ny = 1\n"""\nb = 1', {("a",): 1, ("b",): 6}),
    ('a = """x""\\""""""\nb = 1', {("b",): 2}),
    ('a = """"q""""\nb = 1', {("b",): 2}),
    ("a = '''\n''x\\'''\nb = 1", {("b",): 3}),
    ("a = '''x'''''\nb = 1", {("b",): 2}),
    ("a = \"\"\nb = ''\nc = \"\"\"\"\"\"\nd = ''''''\ne = 1", {("c",): 3, ("d",): 4, ("e",): 5}),
    ('a = "#]}\\"[\\\\"\nb = [ "],", \'}\' ]\nc = 1', {("b",): 2, ("c",): 3}),
    ("a = 1979-05-27 07:32:00Z\nb = -inf\nc = +1_0e-2\nd = true", {("b",): 2, ("c",): 3, ("d",): 4}),
    ("a = [1979-05-27 07:32:00, 08:00:00]\nb = 0xff", {("a", 1): 1, ("b",): 2}),
    ("[t] # [[u]]\na = 1 #\n[u]#", {("t",): 1, ("t", "a"): 2, ("u",): 3}),
]


@pytest.mark.parametrize(("text", "places"), SHAPES)
def test_every_shape_of_toml_has_its_lines(text: str, places: dict[tuple[str | int, ...], int]) -> None:
    tomllib.loads(text)  # the example itself has to be TOML
    found = TomlPlaces.of(text)
    assert {path: found.line_of(*path) for path in places} == places
    assert set(places) <= set(found.lines)


def test_what_is_not_there_has_the_line_of_what_encloses_it() -> None:
    places = TomlPlaces.of("a = 1\n\n[t]\nb = 1\n[[f]]\nc = 1\n[[f]]\nd = {e = 1}")
    assert places.line_of("t", "missing") == 3
    assert places.line_of("t", "b", 0, "deep") == 4
    assert places.line_of("f", 1, "missing") == 7
    assert places.line_of("f", 1, "d", "missing") == 8
    assert places.line_of("f", 9, "missing") == 5
    assert places.line_of("missing") == 1
    assert places.line_of() == 1
    assert TomlPlaces.of("").line_of("a") == 1


@pytest.mark.parametrize(
    "text",
    [
        "a = 1\nb = \nc = 3",
        "a = 1\n[b\nc = 1",
        "a = 1\n'b\nc = 1",
        'a = 1\nb = """',
        "a = 1\nb = [1 2]",
        'a = 1\n"\\q" = 1',
        "a = 1\nb = {c 1}",
        "a = 1\nb = 'x' y\nc = 1",
        "a = 1\n= 2",
        "a = 1\n[[b]\nc = 1",
        "a = 1\nb = {c = 1 d = 2}",
    ],
)
def test_what_is_no_toml_has_lines_up_to_there(text: str) -> None:
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(text)
    found = TomlPlaces.of(text)
    assert found.line_of("a") == 1
    assert max(found.lines.values()) <= 2


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("\na = " + "[" * (MOST_DEPTH + 1), 2, "within one another"),
        ("\na = " + "{b = " * (MOST_DEPTH + 1), 2, "within one another"),
        ("\n" + "a." * MOST_KEYS + "a = 1", 2, "dotted name"),
        ("\n[" + "a." * MOST_KEYS + "a]", 2, "dotted name"),
        ("\na = 1" + "0" * 200, 2, "without quotes"),
        ("a = [\n" + "1,\n" * MOST_ENTRIES + "]", MOST_ENTRIES + 1, "keys and array entries"),
        ("".join(f"k{i} = 1\n" for i in range(MOST_ENTRIES + 1)), MOST_ENTRIES + 1, "keys and array entries"),
    ],
)
def test_what_is_too_much_for_the_parser_is_refused_with_its_line(text: str, line: int, says: str) -> None:
    with pytest.raises(TomlTooMuchError, match=says) as caught:
        TomlPlaces.of(text)
    assert caught.value.line == line


def test_as_much_as_is_allowed_is_taken() -> None:
    depth = "a = " + "[" * MOST_DEPTH + "]" * MOST_DEPTH
    keys = ".".join("b" * MOST_KEYS) + " = 1"
    text = f"{depth}\n{keys}\nc = {'1' * 200}\nd = 2"
    tomllib.loads(text)
    assert TomlPlaces.of(text).line_of("d") == 4


class _Writer:
    """Writes data as TOML, one of many ways, and notes by itself on which line each key is put."""

    def __init__(self, choice: random.Random) -> None:
        self.choice = choice
        self.text = ""
        self.lines: dict[tuple[str | int, ...], int] = {}

    def put(self, text: str) -> None:
        self.text += text

    def note(self, path: tuple[str | int, ...]) -> None:
        self.lines.setdefault(path, self.text.count("\n") + 1)

    def noise(self) -> None:
        self.put(self.choice.choice(["", "", "\n", "# [x] = 'y\n", "  \t"]))

    def key(self, key: str) -> str:
        bare = key and key.isascii() and all(c.isalnum() or c in "-_" for c in key)
        return key if bare and self.choice.random() < 0.7 else json.dumps(key)

    def table(self, path: tuple[str | int, ...], head: list[str], data: dict[str, Any]) -> None:
        later = []
        for key, value in data.items():
            own_header = isinstance(value, dict) or (isinstance(value, list) and value and _all_tables(value))
            if own_header and self.choice.random() < 0.6:
                later.append(key)
                continue
            self.noise()
            self.note((*path, key))
            self.put(f"{self.key(key)} = ")
            self.value((*path, key), value)
            self.put(self.choice.choice(["\n", " # note\n", "\r\n"]))
        for key in later:
            names = [*head, self.key(key)]
            entries = data[key] if isinstance(data[key], list) else [data[key]]
            for index, entry in enumerate(entries):
                self.noise()
                self.note((*path, key))
                below: tuple[str | int, ...] = (*path, key)
                if isinstance(data[key], list):
                    below = (*below, index)
                    self.note(below)
                    self.put(f"[[{' . '.join(names)}]]\n")
                else:
                    self.put(f"[{'.'.join(names)}]\n")
                self.table(below, names, entry)

    def value(self, path: tuple[str | int, ...], value: Any) -> None:
        if isinstance(value, dict):
            self.put("{")
            for index, (key, entry) in enumerate(value.items()):
                self.put(", " if index else " ")
                self.note((*path, key))
                self.put(f"{self.key(key)} = ")
                self.value((*path, key), entry)
            self.put("}")
        elif isinstance(value, list):
            self.put("[")
            for index, entry in enumerate(value):
                self.put(self.choice.choice([" ", "\n", "# ] note\n  "]))
                self.note((*path, index))
                self.value((*path, index), entry)
                self.put(self.choice.choice([",", " ,"]))
            self.put("]")
        elif isinstance(value, str):
            self.string(value)
        else:
            self.put(json.dumps(value))

    def string(self, value: str) -> None:
        ways = [json.dumps(value)]
        printable = all(c.isprintable() or c == "\n" for c in value)
        if printable and "'" not in value:
            ways += [f"'''\n{value}'''"] + ([f"'{value}'"] if "\n" not in value else [])
        if printable and "\\" not in value and '"""' not in value and not value.endswith('"'):
            ways.append(f'"""\n{value}"""')
        self.put(self.choice.choice(ways))


def _all_tables(values: list[Any]) -> bool:
    return all(isinstance(value, dict) for value in values)


_KEYS = st.one_of(
    st.sampled_from(["a", "b", "c-d", "x y", "", 'q"', "é", "#", "0"]), st.text("ab.=[]#'\" é", max_size=3)
)
_LEAVES = st.one_of(st.integers(-99, 99), st.booleans(), st.text("ab\n\"'#]}[={,\\é", max_size=8))
_DATA = st.dictionaries(
    _KEYS,
    st.recursive(
        _LEAVES,
        lambda inner: st.one_of(
            st.lists(inner, max_size=3),
            st.dictionaries(_KEYS, inner, max_size=3),
            st.lists(st.dictionaries(_KEYS, inner, max_size=3), min_size=1, max_size=3),
        ),
        max_leaves=12,
    ),
    max_size=4,
)


@given(_DATA, st.randoms(use_true_random=False))
def test_the_places_are_where_a_writer_put_them(data: dict[str, Any], choice: random.Random) -> None:
    writer = _Writer(choice)
    writer.table((), [], data)
    assert tomllib.loads(writer.text) == data
    assert TomlPlaces.of(writer.text).lines == writer.lines


@given(st.text("ab01.=[]{}\"'#\\\n, ", max_size=60))
def test_any_text_has_places_or_is_too_much(text: str) -> None:
    try:
        places = TomlPlaces.of(text)
    except TomlTooMuchError as problem:
        assert 1 <= problem.line <= text.count("\n") + 1
        return
    assert all(1 <= line <= text.count("\n") + 1 for line in places.lines.values())
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert _paths(content) <= set(places.lines)


def _paths(value: Any, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """Every path in parsed TOML."""
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    below = {(*path, key): inner for key, inner in entries}
    return set(below).union(*(_paths(inner, at) for at, inner in below.items()))
