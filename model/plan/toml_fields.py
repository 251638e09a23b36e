"""The kinds of value a plan or lines file may hold: pydantic types that turn a TOML value into ours.

Lengths come out in millimetres. Each refuses in our own words, with a `wrong(...)` that names what is
wanted; what was found is added by `toml_reader`. All need a `FileContext` as the context of validation.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationInfo
from pydantic_core import PydanticCustomError

from scrieve.shared.units import LONGEST, in_mm, length

SHORTEST = 0.01
"""mm; what is measured on a solid thing has at least this. Less is a slip of the pen or of the units."""

MOST_NUMBER = 1e6
"""A bare number that is no length, of whatever it counts, is at most this."""

_LONGEST_TEXT = 1000
_LONGEST_NAME = 80
_MOST_NAMES = 1000

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True, kw_only=True)
class FileContext:
    """What a value has to know of its file: the units of bare numbers, the whole file's content, its folder."""

    units: str
    content: Mapping[str, Any]
    folder: Path


class Table(BaseModel):
    """A table of the file: every key known and typed, never changed once read."""

    # Only the outermost table validates; building a validator for each inner one as well costs 20 ms at import.
    model_config = ConfigDict(strict=True, frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


def wrong(what: str, *, known: Iterable[str] = (), keys: tuple[str, ...] = ()) -> PydanticCustomError:
    """The error to raise for a value that cannot be taken.

    `what` says what is wanted in its place; `known` are the words it could have been, of which the
    message names the nearest. Where a key was left out, `keys` are those of its table that would
    mend it, if others than itself.
    """
    return PydanticCustomError("wrong", "wrong", {"what": what, "known": known, "keys": keys})


def reading(info: ValidationInfo) -> FileContext:
    """The context of this validation."""
    if not isinstance(info.context, FileContext):
        raise TypeError("these fields are read with a FileContext as context")
    return info.context


def number_kind(what: str, *, least: float = -MOST_NUMBER, most: float = MOST_NUMBER) -> BeforeValidator:
    """Takes a finite bare number from `least` to `most`; `what` names it in the message."""

    def read(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise wrong(f"{what}, without quotes, is wanted")
        if not least <= value <= most:  # also refuses nan
            raise wrong(f"{what} is wanted")
        return float(value)

    return BeforeValidator(read)


def read_mm(value: object, units: str) -> float:
    """A length, mm: a bare number in `units`, or text with its unit. Raises the error of `wrong` for anything else."""
    if isinstance(value, str):
        try:
            mm = length(value)
        except ValueError as problem:
            raise wrong(str(problem)) from None
    elif isinstance(value, bool) or not isinstance(value, int | float):
        raise wrong("a length is wanted")
    elif not math.isfinite(value):
        raise wrong("a finite length is wanted")
    elif abs(value) > LONGEST:
        mm = math.inf
    else:
        mm = in_mm(value, units)
    if abs(mm) > LONGEST:
        raise wrong("a length of at most 1 km is wanted")
    return mm


def length_kind(*, zero: bool, negative: bool) -> BeforeValidator:
    """Takes a length: a bare number in the file's units, or text with its unit. Comes out in mm.

    Where `zero` is not allowed, nothing below `SHORTEST` is.
    """

    def read(value: object, info: ValidationInfo) -> float:
        mm = read_mm(value, reading(info).units)
        if mm < 0 and zero and not negative:
            raise wrong("a length of 0 or more is wanted")
        if mm <= 0 and not zero:
            raise wrong("a length greater than 0 is wanted")
        if mm < SHORTEST and not zero:
            raise wrong(f"a length of at least {SHORTEST:g} mm is wanted")
        return mm

    return BeforeValidator(read)


def list_of(count: int, what: str) -> BeforeValidator:
    """Takes an array of exactly `count` entries; `what` says what they are."""

    def read(value: object) -> object:
        if not isinstance(value, list):
            raise wrong(f"{what} are wanted, in brackets")
        if len(value) != count:
            raise wrong(f"{what} are wanted")
        return tuple(value)

    return BeforeValidator(read)


def tables(what: str, *, least: int = 0) -> BeforeValidator:
    """Takes an array of at least this many tables; `what` is how the file writes one."""

    def read(value: object) -> object:
        if not isinstance(value, list | tuple):
            raise wrong(f"an array of tables, {what} for each, is wanted")
        if len(value) < least:
            raise wrong(f"at least {least} table {what} is wanted")
        return tuple(value)

    return BeforeValidator(read)


def one_of(words: tuple[str, ...], kind: str) -> AfterValidator:
    """Takes one of many words, pointing to the nearest: for lists too long to print. `kind` names what they are."""

    def read(value: str) -> str:
        if value not in words:
            raise wrong(f"there is no such {kind}", known=words)
        return value

    return AfterValidator(read)


def named_in(table: str) -> AfterValidator:
    """Takes the name of a sub-table of `table`, which has to be in the same file."""

    def read(value: str, info: ValidationInfo) -> str:
        there = reading(info).content.get(table, {})
        if isinstance(there, dict) and value not in there:
            raise wrong(f"there is no such name in [{table}]", known=there)
        return value

    return AfterValidator(read)


def _text(most: int) -> AfterValidator:
    def read(value: str) -> str:
        if not value.strip():
            raise wrong("text that is not empty is wanted")
        if len(value) > most:
            raise wrong(f"text of at most {most} characters is wanted")
        if not all(c.isprintable() or c in "\t\r\n" for c in value):
            raise wrong("text without control characters is wanted")
        return value

    return AfterValidator(read)


def _name(value: str) -> str:
    if value != value.strip() or not value.isprintable():
        raise wrong("a name on one line, without blanks around it, is wanted")
    return value


def name_in_plan(text: str) -> str:
    """The text as a `Name` of a plan, white space single and cut short where long; "" where it can be none."""
    name = " ".join(text.split())[:_LONGEST_NAME].strip()
    return name if name.isprintable() else ""


def _date(value: object) -> object:
    if isinstance(value, datetime) or not isinstance(value, date):
        raise wrong("a date without quotes is wanted, such as 2027-06-30")
    return value


def _sorted(value: dict[str, Item]) -> dict[str, Item]:
    if len(value) > _MOST_NAMES:
        raise wrong(f"at most {_MOST_NAMES} names in one table are wanted")
    return dict(sorted(value.items()))


Length = Annotated[float, length_kind(zero=True, negative=True)]
"""Any length, mm."""

LengthFromZero = Annotated[float, length_kind(zero=True, negative=False)]
"""A length of 0 or more, mm."""

PositiveLength = Annotated[float, length_kind(zero=False, negative=False)]
"""A length of `SHORTEST` or more, mm."""

Text = Annotated[str, _text(_LONGEST_TEXT)]
"""Text that is not empty; may run over several lines."""

Name = Annotated[str, _text(_LONGEST_NAME), AfterValidator(_name)]
"""A name: short, on one line."""

Day = Annotated[date, BeforeValidator(_date)]
"""A TOML local date."""

Named = Annotated[dict[Name, Item], AfterValidator(_sorted)]
"""A thousand tables by name at most, sorted by it, so that their order in the file makes no difference."""
