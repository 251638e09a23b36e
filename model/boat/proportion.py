"""Whether a cure is in proportion to what it cures.

Past that no hand slipped: a neighbour is missing, was not read or lies in a wrong place, and good wood would be spoilt
to reach what happens to be nearest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import ArrayLike

from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import joined

from .assembly import Assembly
from .frame import Frame
from .part import Part

_RECUT = 0.25
"""of a part's size that way: as much is cut off it, added to it or moved. Common practice, no source."""

_MOVED = 2.0
"""times its short side or diameter: as far a batten, a dowel or their wood is moved. Common practice, no source."""

_ACROSS = {"port": "starboard", "starboard": "port"}
_BEYOND = 1.5
"""bays past the other frames: as far one may be meant to stand from them. Common practice, no source."""

_FEWEST = 3  # other frames, of which the order and the bay are known
_USUAL = 0.5  # of the frames built of several parts; what as many have is looked for in the others


def can_be_recut(part: Part, way: ArrayLike, by: float) -> bool:
    """Whether an edge of a part may be meant to lie `by` mm further along `way` (y, v), of any length."""
    direction = np.asarray(way, dtype=np.float64)
    along = shapely.get_coordinates(part.shape) @ direction
    return bool(abs(by) * np.hypot(*direction) <= _RECUT * np.ptp(along))


def can_be_moved(across: float, by: float) -> bool:
    """Whether what is `across` mm wide may be meant to lie `by` mm from where it is drawn."""
    return by <= _MOVED * across


def can_stand_at(frame: Frame, station: float, frames: Sequence[Frame]) -> bool:
    """Whether a frame may be meant to stand at a station: its number no more out of order, not far off the boat."""
    others = sorted(each.placement.station for each in frames if each is not frame)
    if len(others) < _FEWEST:
        return True
    beyond = _BEYOND * float(np.median(np.diff(others)))
    moved = {each: station if each is frame else each.placement.station for each in frames}
    before = _out_of_order({each: each.placement.station for each in frames})
    return others[0] - beyond <= station <= others[-1] + beyond and _out_of_order(moved) <= before


def _out_of_order(stations: Mapping[Frame, float]) -> int:
    """How many pairs of numbered frames stand the other way round than most do."""
    numbered = [
        (int(each.number), x) for each, x in stations.items() if each.number.isascii() and each.number.isdigit()
    ]
    grows = [(a < b) == (x < y) for (a, x), (b, y) in combinations(numbered, 2)]
    return min(grows.count(True), grows.count(False))


def look_first(frame: Frame, assembly: Assembly) -> Sentence:
    """The cure where no other is in proportion."""
    lacking = _lacking(frame, assembly)
    return Sentence.of(
        "look first whether a part of {frame} is missing, was not read or lies in a wrong place{lacking}",
        frame=frame,
        lacking=Sentence.of(" (no {parts} of it was found)", parts=joined(lacking, " or ", ", ")) if lacking else "",
    )


def _lacking(frame: Frame, assembly: Assembly) -> list[Name]:
    """Which of its core parts have no counterpart, and what most other frames have: by what labels say."""
    own = {part.label.casefold() for part in frame.core}
    if len(frame.core) < 2:
        return []
    images = {image for label in own if (image := _image(label)) != label} - own
    others = [{_kind(part.label) for part in each.core} for each in assembly.frames if each is not frame]
    others = [kinds for kinds in others if len(kinds) > 1]
    usual = {kind for kinds in others for kind in kinds if not any(kind in label for label in own)}
    often = {kind for kind in usual if sum(kind in kinds for kinds in others) >= _USUAL * len(others)}
    return [Name(each) for each in sorted(images | often)]


def _image(label: str) -> str:
    side, _, what = label.partition(" ")
    return f"{_ACROSS.get(side, side)} {what}".strip()


def _kind(label: str) -> str:
    return label.casefold().removeprefix("port ").removeprefix("starboard ")
