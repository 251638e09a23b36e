"""How the drawings look: lines, tones and signs that print in black and white as well. Millimetres of paper."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from scrieve.model.boat.part import Role

from ..marks.colours import QUIET, STRONG

__all__ = [
    "BATTEN", "CHAIN", "DASHES", "HATCHED", "HEADING", "HEAVY", "INK", "OUTLINE", "PAPER", "QUIET", "RAIL", "SHANKS",
    "SMALL", "STRONG", "THIN", "TITLE", "TONES", "WORDS",
]  # fmt: skip

INK = "#1d1a16"
"""Darker than on a screen: it is printed."""

PAPER = "#ffffff"

SHANKS = ("#b5b0a7", "#8a857d")
"""Screws cut along their axes; the second the darker."""

OUTLINE = 0.28
THIN = 0.13
HEAVY = 0.5
DASHES = "1.2 0.8"
CHAIN = "6 1.2 1 1.2"
"""Long and short by turns: centreline and datum line."""

WORDS = 2.5
SMALL = 2.1
HEADING = 3.4
TITLE = 5.0

TONES: Mapping[Role, str] = MappingProxyType(
    {"core": "#f5ead3", "gusset": "#e6cfa2", "plate": "#ecdcbc", "leg": "#dfe4dc"}
)
HATCHED: Mapping[Role, tuple[float, float]] = MappingProxyType({"gusset": (45.0, 1.3), "plate": (135.0, 1.3)})
"""Degrees and distance of the lines on plates of the face that is seen."""

BATTEN = "#8a5a3c"
RAIL = "#c9c4bb"
