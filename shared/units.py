"""Units of length, and lengths as people write them. Everything that comes out is in millimetres."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

_EXACT = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "dm": Fraction(100),
    "m": Fraction(1000),
    "km": Fraction(1_000_000),
    "um": Fraction(1, 1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "yd": Fraction(9144, 10),
    "mil": Fraction(254, 10_000),
}

MM_PER_UNIT: Mapping[str, float] = {unit: float(mm) for unit, mm in _EXACT.items()}
"""mm in one of each unit. Inch: 25.4 mm exactly, and foot 12 of them (international yard and pound agreement, 1959)."""

PLAN_UNITS = ("mm", "cm", "m", "in", "ft")
"""The units a plan's bare numbers may be in."""

STEPS: Mapping[str, float] = {"mm": 1.0, "cm": 1.0, "m": 1.0, "in": 25.4 / 8, "ft": 304.8 / 100}
"""mm; what a length that is only estimated is rounded to, so that it reads round in each of these units."""

INSUNITS: Mapping[int, str] = {
    1: "in",
    2: "ft",
    4: "mm",
    5: "cm",
    6: "m",
    7: "km",
    9: "mil",
    10: "yd",
    13: "um",
    14: "dm",
}
"""$INSUNITS of a DXF header -> unit, of the codes that a drawing could be in. 0 says nothing."""

UNIT_NAMES: Mapping[str, str] = {
    "mm": "millimetres",
    "cm": "centimetres",
    "dm": "decimetres",
    "m": "metres",
    "km": "kilometres",
    "um": "micrometres",
    "in": "inches",
    "ft": "feet",
    "yd": "yards",
    "mil": "thousandths of an inch",
}
"""How the units that a drawing can be in are called."""

SPOKEN: Mapping[str, str] = {unit: UNIT_NAMES[unit] if unit in ("in", "ft") else unit for unit in PLAN_UNITS}
"""A plan's units as they are said after a number's "in": inches and feet in words."""

LONGEST = 1e6
"""mm; a kilometre. A longer length is a slip of the pen or of the units."""

_WRITTEN = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "ft": "ft",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
    "′": "ft",
}
_SIGNS = str.maketrans(
    {"−": "-", "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
)
_LONGEST_TEXT = 40
_AMOUNT = r"(?:(?:([0-9]+)(?:\s*-\s*|\s+))?([0-9]+)\s*/\s*([0-9]+)|([0-9]+(?:\.[0-9]*)?|\.[0-9]+))"
_UNIT = r"([a-z]+|[\"'″′])"
_LENGTH = re.compile(rf"([-+]?)\s*{_AMOUNT}\s*{_UNIT}(?:\s*-?\s*{_AMOUNT}\s*{_UNIT})?")
_NO_UNIT = re.compile(rf"[-+]?\s*{_AMOUNT}")
_OFFSET = re.compile(r"([-+]?)([0-9]+)-([0-9]{1,2})-([0-9])([-+]?)")


def in_mm(value: float, unit: str) -> float:
    """A bare number of a unit, mm. The decimal is converted as written: 0.75 in is what "3/4 in" is."""
    return float(Fraction(repr(float(value))) * _EXACT[unit])


def length(text: str) -> float:
    """A length with its unit, mm: "18 mm", "3/4 in", "1-1/4 in", "2 ft 3-1/2 in", `0.75"`; a sign may lead.

    Raises ValueError, saying in plain words what is wanted.
    """
    clean = text.translate(_SIGNS).strip().lower()
    if len(text) > _LONGEST_TEXT:
        raise ValueError(f"a length in at most {_LONGEST_TEXT} characters is wanted")
    if _NO_UNIT.fullmatch(clean):
        raise ValueError("a length in quotes wants its unit (mm, cm, m, in or ft)")
    match = _LENGTH.fullmatch(clean)
    if match is None:
        comma = ", with a point for a decimal comma" if "," in clean else ""
        raise ValueError(f'a length such as "18 mm", "3/4 in" or "2 ft 3-1/2 in" is wanted{comma}')
    sign, *pieces = match.groups()
    first, unit = _amount(*pieces[:4]), _unit(pieces[4])
    total = first * _EXACT[unit]
    if pieces[9] is not None:
        more = _amount(*pieces[5:9])
        if unit != "ft" or _unit(pieces[9]) != "in" or first.denominator != 1 or more >= 12:
            raise ValueError("whole feet, then less than 12 inches, are wanted")
        total += more * _EXACT["in"]
    return float(-total if sign == "-" else total)


def feet_inches_eighths(text: str) -> float:
    """An entry of a table of offsets, mm: "4-7-3" is 4 ft 7 in and 3/8.

    A "+" after the eighths adds a sixteenth, a "-" takes one off (boatbuilding practice, from memory);
    a "-" before the feet makes the whole negative. Raises ValueError, saying what is wanted.
    """
    match = _OFFSET.fullmatch(text.translate(_SIGNS).strip()) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        raise ValueError('feet-inches-eighths such as "4-7-3" or "4-7-3+" are wanted')
    sign, feet, inches, eighths, tail = match.groups()
    if int(inches) >= 12 or int(eighths) >= 8:
        raise ValueError("less than 12 inches and less than 8 eighths are wanted")
    sixteenth = {"+": 1, "-": -1, "": 0}[tail]
    total = int(feet) * 12 + int(inches) + Fraction(int(eighths), 8) + Fraction(sixteenth, 16)
    return float((-total if sign == "-" else total) * _EXACT["in"])


def _amount(whole: str | None, over: str | None, under: str | None, decimal: str | None) -> Fraction:
    """The number of one piece: a decimal, or a fraction with or without a whole number before it."""
    if decimal is not None:
        return Fraction(decimal)
    if over is None or under is None or int(under) == 0:
        raise ValueError("a fraction over something else than 0 is wanted")
    fraction = Fraction(int(over), int(under))
    if whole is not None and fraction >= 1:
        raise ValueError("a fraction of less than 1 after the whole number is wanted")
    return fraction + int(whole or 0)


def _unit(written: str) -> str:
    if written not in _WRITTEN:
        raise ValueError("one of the units mm, cm, m, in, ft is wanted")
    return _WRITTEN[written]
