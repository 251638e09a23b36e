"""Reads a TOML file into a pydantic model, with every mistake of the file and its line.

bytes -> text -> places (`toml_places`) and values (standard library) -> model; what the model refuses
is put in our words here.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeAlias, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from scrieve.shared.errors import Mistake, PlanError
from scrieve.shared.nearest import did_you_mean, nearest
from scrieve.shared.regular_file import MIB, read_whole
from scrieve.shared.units import PLAN_UNITS, SPOKEN

from .toml_fields import FileContext, Table
from .toml_places import TomlPlaces, TomlTooMuchError
from .toml_words import dotted, quoted, shown

Loc: TypeAlias = tuple[str | int, ...]
Rules: TypeAlias = Callable[[Mapping[str, Any], TomlPlaces], Iterable[tuple[Loc, str]]]
Read = TypeVar("Read", bound=Table)

MOST_BYTES = 4 * MIB
"""A plan of 200 frames has some 50 kB."""

MOST_MISTAKES = 300
"""Mistakes that are told one by one; nobody reads more, and a hostile file could ask for a million."""

_KINDS = {
    "plan": ("a plan", "`scrieve draft` wants a lines file, with a table of offsets"),
    "boat": ("a lines file", "`scrieve draft` makes a plan of it"),
}
"""The table that each kind of file is known by, what it is called, and what is done with it."""

_BYTE_ORDER_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)")
_PLAIN = {
    "model_type": "a table is wanted",
    "dict_type": "a table is wanted",
    "tuple_type": "an array is wanted",
    "string_type": "text in quotes is wanted",
    "bool_type": "true or false is wanted",
}


def read_toml(
    path: Path, kind: type[Read], *, units_at: Loc, rules: Rules | None = None, text: str | None = None
) -> tuple[Read, TomlPlaces]:
    """The file, or the `text` that stands for it, as a `kind`, and the places of its keys.

    `units_at` is the key that names the units of its bare numbers. `rules` gives what is wrong
    between entries of the raw content: the key path, and what. Raises PlanError with all mistakes,
    sorted by line, each with `path` as it was given.
    """
    text = _text(path) if text is None else text
    try:
        places = TomlPlaces.of(text)
    except TomlTooMuchError as problem:
        raise PlanError.at(f"{problem.what}: not read any further", path=str(path), line=problem.line) from None
    try:
        content = tomllib.loads(text)
    except (ValueError, RecursionError) as problem:
        raise _not_toml(problem, path, text) from None

    if wrong := _another(content, units_at):
        raise PlanError.at(wrong, path=str(path), line=1)
    reading = FileContext(units=_units(content, units_at), content=content, folder=path.parent)
    refused: list[ErrorDetails] = []
    try:
        model = kind.model_validate(content, context=reading)
    except ValidationError as problem:
        refused = problem.errors(include_url=False)
    broken = [] if rules is None else list(rules(content, places))
    if refused or broken:
        raise PlanError(_mistakes(refused, broken, kind, content, path, places))
    return model, places


def _text(path: Path) -> str:
    content = read_whole(path, most=MOST_BYTES, error=PlanError)
    if content.startswith(_BYTE_ORDER_MARKS):
        utf8 = content.startswith(_BYTE_ORDER_MARKS[0])
        got = "a file that starts with one" if utf8 else "UTF-16 or UTF-32: save it as UTF-8"
        what = f"UTF-8 without a byte order mark is wanted (got {got})"
        raise PlanError.at(what, path=str(path), line=1)
    try:
        return content.decode()
    except UnicodeDecodeError as problem:
        line = content.count(b"\n", 0, problem.start) + 1
        what = f"UTF-8 text is wanted (got byte 0x{content[problem.start]:02x})"
        raise PlanError.at(what, path=str(path), line=line) from None


def _not_toml(problem: Exception, path: Path, text: str) -> PlanError:
    """The parser's refusal, with its own line taken out of its message."""
    said = str(problem) if isinstance(problem, tomllib.TOMLDecodeError) else "a value that cannot be read"
    place = _PLACE.search(said)
    line, column = (int(n) for n in place.groups()) if place and place[1] else (text.rstrip().count("\n") + 1, 0)
    what = _PLACE.sub("", said).rstrip(".") + (f", at column {column}" if column else ", at the end of the file")
    return PlanError([Mistake(path=str(path), line=line, what=f"not TOML: {what[:1].lower()}{what[1:]}")])


def _another(content: Mapping[str, Any], units_at: Loc) -> str:
    """What is wrong with a file that is whole, but of the other kind; empty for any other."""
    wanted = str(units_at[0])
    got = next((head for head in _KINDS if head in content), wanted)
    if wanted in content or got == wanted:
        return ""
    return f"{_KINDS[wanted][0]} is wanted, with a table [{wanted}] (got {_KINDS[got][0]}; {_KINDS[got][1]})"


def _units(content: Mapping[str, Any], units_at: Loc) -> str:
    """The units the file names; mm where it does not, which is a mistake that its own field reports."""
    value: Any = content
    for key in units_at:
        value = value.get(key) if isinstance(value, dict) else None
    return value if isinstance(value, str) and value in PLAN_UNITS else "mm"


def _mistakes(
    refused: Sequence[ErrorDetails],
    broken: Sequence[tuple[Loc, str]],
    kind: type[BaseModel],
    content: Mapping[str, Any],
    path: Path,
    places: TomlPlaces,
) -> Iterator[Mistake]:
    """The first `MOST_MISTAKES` by line, and how many more there are."""
    by_line = sorted(refused, key=lambda detail: places.line_of(*_path(detail["loc"])))
    told = [*_in_our_words(by_line[:MOST_MISTAKES], kind, content), *broken][:MOST_MISTAKES]
    for loc, what in told:
        yield Mistake(path=str(path), line=places.line_of(*loc), what=f"{dotted(loc)}: {what}")
    if (left := len(refused) + len(broken) - MOST_MISTAKES) > 0:
        last = max(places.line_of(*loc) for loc, _ in told)
        yield Mistake(path=str(path), line=last, what=f"… and {left} mistakes more")


def _in_our_words(
    refused: Sequence[ErrorDetails], kind: type[BaseModel], content: Mapping[str, Any]
) -> Iterator[tuple[Loc, str]]:
    """Each refusal of the model as a key path and a sentence.

    A key that is missing while an unknown one beside it looks like it is one mistake, not two.
    """
    meant: set[Loc] = set()
    left_out: list[tuple[Loc, tuple[str, ...], str]] = []
    for detail in refused:
        loc = _path(detail["loc"])
        key, table = loc[-1], loc[:-1]
        if detail["type"] == "missing":
            what = "missing" if _kind_at(kind, loc) is None else "this table is missing"
            left_out.append((loc, (str(key),), what))
        elif detail["type"] == "wrong" and detail["input"] is None:
            left_out.append((loc, detail["ctx"]["keys"] or (str(key),), detail["ctx"]["what"]))
        elif detail["input"] == "" and (blank := _blank(kind, loc, content)):
            yield loc, f"still blank: {blank}"
        elif detail["type"] == "extra_forbidden":
            keys = _keys(kind, table)
            absent = [name for name in keys if name not in _value_at(content, table)]
            meant.add((*table, nearest(str(key), absent) or ""))
            yield loc, f"no such key{_which(str(key), absent, keys)}"
        else:
            yield loc, f"{_wanted(detail)}{_got(detail['input'])}"
    for loc, keys_to_mend, what in left_out:
        if meant.isdisjoint((*loc[:-1], key) for key in keys_to_mend):
            yield loc, what


def _blank(kind: type[BaseModel], loc: Loc, content: Mapping[str, Any]) -> str:
    """What is wanted of a key that was left as "", where its field says so; what encloses it is named in that."""
    table = _kind_at(kind, loc[:-1])
    fields = table.model_fields if table is not None else {}
    field = next((field for name, field in fields.items() if str(loc[-1]) in (field.alias, name)), None)
    if field is None or not field.description:
        return ""
    around = _value_at(content, loc[:-1])
    number = around.get("number", "") if isinstance(around, dict) else ""
    units = _units(content, ("plan", "units"))
    return field.description.format(name=quoted(str(loc[-2])), number=quoted(str(number))[1:-1], units=SPOKEN[units])


def _path(loc: Loc) -> Loc:
    """The key path of a refusal; for a key that is itself refused, the path to it."""
    return loc[:-1] if loc and loc[-1] == "[key]" else loc


def _wanted(detail: ErrorDetails) -> str:
    got = detail["input"]
    if detail["type"] == "wrong":
        what, known = detail["ctx"]["what"], detail["ctx"]["known"]
    elif detail["type"] == "literal_error":
        known = re.findall(r"'([^']*)'", detail["ctx"]["expected"])
        what = f"{_either(known)} is wanted"
    else:
        return _PLAIN.get(detail["type"], "this cannot be taken")
    return f"{what}{did_you_mean(got, known)}" if isinstance(got, str) else str(what)


def _either(words: Sequence[str]) -> str:
    *others, last = (f'"{word}"' for word in words)
    return f"{', '.join(others)} or {last}" if others else last


def _got(value: object) -> str:
    """What was found; nothing for an array of tables that was left out."""
    return "" if value == () else f" (got {shown(value)})"


def _which(key: str, absent: Sequence[str], known: Sequence[str]) -> str:
    """The nearest key that could still be given, else the nearest at all, else all there are."""
    listed = ", ".join(sorted(known))
    return did_you_mean(key, absent) or did_you_mean(key, known) or (f"; known are {listed}" if listed else "")


def _value_at(content: Mapping[str, Any], loc: Loc) -> Any:
    value: Any = content
    for key in loc:
        value = value[key]
    return value


def _keys(kind: type[BaseModel], table: Loc) -> list[str]:
    """The keys that the table at this path may have; none where it is not a table of fixed keys."""
    at = _kind_at(kind, table)
    return [name if field.alias is None else field.alias for name, field in at.model_fields.items()] if at else []


def _kind_at(kind: type[BaseModel], loc: Loc) -> type[BaseModel] | None:
    """The model that reads the table at this path, None where there is none."""
    here: Any = kind
    for key in loc:
        model = _model_in(here)
        if model is not None:
            by_key = {field.alias or name: field.annotation for name, field in model.model_fields.items()}
            here = by_key.get(str(key))
        else:
            here = next((arg for arg in reversed(get_args(here)) if _holds_model(arg)), None)
    return _model_in(here)


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The model of `Model`, `Model | None` or `Annotated[Model, …]`; not that of a list or dict of them."""
    if isinstance(annotation, type) and get_origin(annotation) is None:
        return annotation if issubclass(annotation, BaseModel) else None
    if get_origin(annotation) in (dict, tuple):
        return None
    return next((model for arg in get_args(annotation) if (model := _model_in(arg)) is not None), None)


def _holds_model(annotation: Any) -> bool:
    return _model_in(annotation) is not None or any(_holds_model(arg) for arg in get_args(annotation))
