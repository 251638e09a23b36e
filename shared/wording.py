"""How numbers, ways and places are put into words, so that every finding says them alike."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from .names import plate_of
from .sentences import Name, Quantity, Sentence

USUAL = 2
"""Decimals of a length in mm, or of anything else that a finding measures."""

MOST = 7
"""Decimals; numbers that these do not tell apart are one (see `tolerances.COINCIDENT`)."""

_WAYS = (("forward", "aft"), ("to port", "to starboard"), ("up", "down"))
_SIDEWAYS = 0.26  # a part of a direction under a quarter of it (15 degrees) is not worth a word


def decimals(value: float, beside: float | None = None, *, least: int = USUAL) -> int:
    """The decimals, `least` or more, at which two numbers that stand beside one another are written differently.

    `least` where nothing stands beside it, and for two that are one number.
    """
    if beside is None:
        return least
    return next((n for n in range(least, MOST + 1) if written(value, n) != written(beside, n)), least)


def written(value: float, places: int) -> str:
    """The number with so many decimals, without a minus nought."""
    return f"{round(value, places) + 0.0:.{places}f}"


def mm(value: float, beside: float | None = None) -> Quantity:
    """A measured length: "0.62 mm"; with as many decimals more as tell it from the one it is told beside."""
    return Quantity.of(value, f"{formatted(value, beside)} mm")


def formatted(value: float, beside: float | None = None, *, least: int = USUAL) -> Quantity:
    """A number with `least` decimals, or with as many more as tell it from the one it is told beside.

    A limit is told beside what was measured and the other way about, so that the two never read alike.
    """
    return Quantity.of(value, written(value, decimals(value, beside, least=least)))


def trimmed(value: float, places: int = USUAL) -> str:
    """A number as one would write it into a plan, without needless zeros: "3150", "12.5"."""
    text = written(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def at_least(value: float) -> Quantity:
    """A length to go by, rounded up to the tenth: "3.4 mm"."""
    tenths = float(np.ceil(round(value * 10, 4)))
    return Quantity.of(tenths / 10, f"{tenths / 10:.1f} mm")


def at_most(value: float) -> Quantity:
    """A length not to go past, rounded down to the tenth, under one told to the hundredth: "2.5 mm"."""
    tenths = float(np.floor(round(value * 10, 4)))
    return Quantity.of(tenths / 10, f"{tenths / 10:.1f} mm") if tenths > 0 else mm(value)


def plain(value: float) -> Quantity:
    """A number as short as it is: "2", "2.5"."""
    return Quantity.of(value, f"{value:g}")


def ways(direction: ArrayLike) -> Name:
    """A direction in hull axes (3,): "to port and up"; its small components are left out."""
    vector = np.asarray(direction, dtype=np.float64)
    size = float(np.linalg.norm(vector))
    said = [
        names[0] if component > 0 else names[1]
        for names, component in zip(_WAYS, vector, strict=True)
        if abs(component) > _SIDEWAYS * size
    ]
    return Name(" and ".join(said))


def place(y: float, v: float) -> Name:
    """A place in a frame's drawing: "y 612.0, z 148.0"."""
    return Name(f"y {round(y, 1) + 0.0:.1f}, z {round(v, 1) + 0.0:.1f}")


def listed(names: Iterable[str]) -> Name | Sentence:
    """ "a", "a and b", "a, b and c", sorted."""
    return joined(sorted(names))


def joined(words: Sequence[str], last: str = " and ", between: str = ", ") -> Name | Sentence:
    """Names in their order as one name; a sentence where any of them is one, or a number."""
    if not any(isinstance(word, Sentence | Quantity) for word in words):
        return Name(last.join(part for part in (between.join(words[:-1]), *words[-1:]) if part))
    values = {f"word{n}": word for n, word in enumerate(words)}
    return Sentence.of(joined([f"{{{key}}}" for key in values], last, between), **values)


def one(noun: str) -> str:
    """ "a corner", "an edge"."""
    return f"{'an' if noun[:1].lower() in 'aeiou' else 'a'} {noun}"


def several(names: Sequence[str], what: str) -> Name | Quantity:
    """The name of one, or how many there are of many: "24 screws"."""
    return Name(names[0]) if len(names) == 1 else Quantity.of(len(names), f"{len(names)} {what}")


def plates(names: Iterable[str]) -> Name | Sentence:
    """The same as `listed`, but "F5 port chine gusset on both faces" for the two plates of one outline."""
    both: dict[str, list[str]] = {}
    for name in names:
        both.setdefault(plate_of(name), []).append(name)
    return listed(f"{name} on both faces" if len(same) > 1 else same[0] for name, same in both.items())
