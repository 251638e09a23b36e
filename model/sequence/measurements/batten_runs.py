"""Battens as they are cut and let in: length, where to begin, and their bevel in the notch of every frame."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.kept import kept

from ...boat.assembly import Assembly
from ...boat.batten import Batten
from ...boat.frame import Frame

ALLOWANCE = 100.0
"""mm that a batten is left longer at each end. Common practice, no source."""

SCARF = 8.0
"""times its thickness that a scarf is long. Common practice, no source."""

_PLACES = 6  # decimals of mm; what is finer differs with where along the boat one counts from


@dataclass(frozen=True, slots=True, kw_only=True)
class Bevel:
    """How a batten runs through the core of a frame: `floor` and `walls` in radians, both off square to the ply.

    `floor` is that of the side on which the notch is deep (its short side's way), positive where the batten goes away
    from the boat's middle going forward; `walls` that of the sides of the notch, which lean both `walls_way` going
    forward: "inboard", "outboard", "top", "bottom", "port", "starboard", empty where they do not. `floor_over` and
    `walls_over` are the same in mm over the thickness of the core.
    """

    frame: str
    floor: float
    walls: float
    floor_over: float
    walls_over: float
    walls_way: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BattenRun:
    """A batten: `length` along its curve between its end frames and `cut` with what is left over at both ends, mm.

    `begin` is the frame next to the middle of its run; `scarf` the length of a scarf and `scarf_between` the two
    frames between which the batten is bent least, where one does least harm.
    """

    name: str
    length: float
    cut: float
    begin: str
    scarf: float
    scarf_between: tuple[str, str]
    bevels: tuple[Bevel, ...]


@kept
def batten_runs(assembly: Assembly) -> Mapping[str, BattenRun]:
    """What is measured of the battens of a boat, by name, in their order."""
    return {batten.name: _run(batten, assembly) for batten in assembly.battens}


def _run(batten: Batten, assembly: Assembly) -> BattenRun:
    numbers = {section.frame for section in batten.sections}
    passed = [frame for frame in assembly.frames if frame.core and frame.number in numbers]
    x = batten.centres[:, 0]
    middle = (x[0] + x[-1]) / 2
    length = batten_length(batten)
    bent = np.linalg.norm(np.diff(batten.tangent(x), axis=0), axis=1) / np.diff(x)
    bay = int(np.argmin(np.round(bent, 9)))
    return BattenRun(
        name=batten.name,
        length=round(length, _PLACES),
        cut=float(np.ceil((length + 2 * ALLOWANCE) / 10) * 10),
        begin=f"F{batten.sections[int(np.argmin(np.round(np.abs(x - middle), 6)))].frame}",
        scarf=SCARF * batten.short / batten.layers,
        scarf_between=(f"F{batten.sections[bay].frame}", f"F{batten.sections[bay + 1].frame}"),
        bevels=tuple(_bevel(batten, frame) for frame in passed),
    )


def batten_length(batten: Batten) -> float:
    """mm along the batten's centre line, from its aftmost section to its foremost."""
    return batten.length_between(float(batten.centres[0, 0]), float(batten.centres[-1, 0]))


def _bevel(batten: Batten, frame: Frame) -> Bevel:
    cuts = batten.cuts([frame.placement, frame.placement], [frame.core_low, frame.core_high])
    run = cuts.centre[1] - cuts.centre[0]
    thickness = frame.core_thickness
    long = cuts.long.mean(axis=0)
    long = long / np.hypot(*long)
    out = np.array([-long[1], long[0]])  # across the long side, away from the boat's middle
    middle = _middle(frame)
    out = out if float((cuts.centre[0] - middle) @ out) >= 0.0 else -out
    floor, aslant = round(float(run @ out), _PLACES), round(float(run @ long), _PLACES)
    walls = abs(aslant)
    return Bevel(
        frame=frame.name,
        floor=float(np.arctan2(floor, thickness)),
        walls=float(np.arctan2(walls, thickness)),
        floor_over=floor,
        walls_over=walls,
        walls_way=_facing(long * np.sign(aslant), batten) if aslant else "",
    )


def _facing(way: NDArray[np.float64], batten: Batten) -> str:
    """Where a way in a frame's plane leads, in a word."""
    y, v = float(way[0]), float(way[1])
    if abs(v) > abs(y):
        return "top" if v > 0 else "bottom"
    outboard = {"port": 1.0, "starboard": -1.0}.get(batten.side)
    if outboard is None:
        return "port" if y > 0 else "starboard"
    return "outboard" if y * outboard > 0 else "inboard"


def _middle(frame: Frame) -> NDArray[np.float64]:
    """The middle of the box about the core, (y, v)."""
    bounds = np.array([part.shape.bounds for part in frame.core])
    return np.array(
        [
            (bounds[:, 0].min() + bounds[:, 2].max()) / 2,
            (bounds[:, 1].min() + bounds[:, 3].max()) / 2,
        ]
    )
