"""How the drawings look: lines, tones and signs that print in black and white as well. Millimetres of paper."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from scrieve.model.part import Role

INK = "#1d1a16"
QUIET = "#6b645a"
"""Lines that help, and small words."""

STRONG = "#c4240c"
"""Findings, and nothing else; they have a form of their own besides."""

PAPER = "#ffffff"

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
