"""How things look: colours, and what tells them apart where colours do not. One table for scene, pictures and drawings.

Kinds that can touch differ in lightness by 8 L* or more and in hue too, so that they stay apart for eyes that see few
hues and in black and white. Findings have the one strong colour and forms of their own (see `marks`), on paper.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from .kinds import Kind

PAPER_BELOW = "#e9e3d6"
SHEET = "#fbf9f4"
"""The ground of lists and cards: paper a shade lighter than that under the boat."""

RULE = "#d8d0c0"
"""Thin lines between things."""

CHOSEN = "#1f6fb2"
"""The edges of what was picked."""

WATER = "#8fa3a6"
"""The datum plane."""

RULED = "#acb8b7"
"""What is ruled on it."""

BOARD = "#d3cdc0"
"""The assembly board."""

HOLE = "#6b6257"
"""A hole of the board, for a dowel of the frame that lies on it."""

STRIP = "#8d7f66"
"""Strips of scrap that a turned frame rests on."""

FILM = "#eef4f6"
"""Film under joints that are glued."""

WEIGHT = "#4d5057"
"""Weights on them."""

GLUE = "#c8892a"
"""Wood that is wetted out with glue."""

COMING = "#1f6fb2"
"""The way of what comes to its place."""

_COLOURS: dict[Kind, str] = {
    "core": "#f3dcb2",
    "plate": "#e3be85",
    "leg": "#a2b09f",
    "gusset": "#bc8c52",
    "rail": "#77787d",
    "dowel": "#5d5947",
    "batten": "#5b3d2b",
    "screw": "#26292e",
}
COLOURS: Mapping[Kind, str] = MappingProxyType(_COLOURS)
"""From light to dark; wood is warm, what is not part of the boat is not."""

_SECOND: dict[Kind, str] = {
    "core": "#cdae78",
    "plate": "#b4854a",
    "leg": "#728471",
    "gusset": "#855a2c",
    "rail": "#a6a7ab",
    "dowel": "#948f7a",
    "batten": "#95715a",
    "screw": "#6a6e75",
}
SECOND: Mapping[Kind, str] = MappingProxyType(_SECOND)
"""The tone of the second of two bodies of one kind, where a finding is about both."""

FADED = 0.07
"""Opacity of what is faded."""

GLASS = 0.6
"""Opacity of what is looked into."""

FAINT = 0.3
"""The same of wood through which screws are looked at."""

GHOST = 0.22
"""Opacity of what is not there but should be, or must find room."""

FADED_LINES = 0.16
"""Opacity of its edges, by which it is still made out."""

HALO = 2.0
"""points of paper to each side of a line that lies over wood."""

LIGHTS = (((-0.6, 0.9, 1.0), 0.72), ((1.0, 0.3, 0.7), 0.36), ((0.0, -1.0, 0.4), 0.22))
"""Where lights stand, with the eye (right, up, out of the picture), and how strong they are."""

AMBIENT, DIFFUSE = 0.53, 0.57
"""How much of its colour a face shows without light, and how much more with it."""
