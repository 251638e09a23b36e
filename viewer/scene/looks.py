"""How things look: colours, and what tells them apart where colours do not.

Kinds differ in lightness as well as in hue, so that they stay apart for eyes that see few hues and in
black and white. Findings have the one strong colour and a form of their own: a ring that nothing hides.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from .body import Kind

PAPER = "#f5f1e8"
PAPER_BELOW = "#e9e3d6"
INK = "#3a342c"
"""Drawn edges and words."""

STRONG = "#d3260f"
"""Findings, and nothing else."""

CHOSEN = "#1f6fb2"
"""The edges of what was picked."""

WATER = "#8fa3a6"
"""The datum plane."""

BOARD = "#d3cdc0"
"""The assembly board."""

COMING = "#1f6fb2"
"""The way of what comes to its place."""

_COLOURS: dict[Kind, str] = {
    "core": "#ecd0a0",
    "gusset": "#bd8a4c",
    "plate": "#d5aa6b",
    "leg": "#a3b19f",
    "screw": "#45413d",
    "dowel": "#7d6a4c",
    "batten": "#944f2e",
    "rail": "#8f8a80",
}
COLOURS: Mapping[Kind, str] = MappingProxyType(_COLOURS)

FADED = 0.07
"""Opacity of what is faded."""

FADED_LINES = 0.16
"""Opacity of its edges, by which it is still made out."""

LIGHTS = (((-0.6, 0.9, 1.0), 0.72), ((1.0, 0.3, 0.7), 0.36), ((0.0, -1.0, 0.4), 0.22))
"""Where lights stand, with the eye (right, up, out of the picture), and how strong they are."""

AMBIENT, DIFFUSE = 0.53, 0.57
"""How much of its colour a face shows without light, and how much more with it."""
