"""Whether a cure is in proportion to what it cures.

Past that no hand slipped: a neighbour is missing, was not read or lies in a wrong place, and good wood would be spoilt
to reach what happens to be nearest.
"""

from __future__ import annotations

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
_USUAL = 0.5  # of the frames built of several parts; what as many have is looked for in the others


def can_be_recut(part: Part, way: ArrayLike, by: float) -> bool:
    """Whether an edge of a part may be meant to lie `by` mm further along `way` (y, v), of any length."""
    direction = np.asarray(way, dtype=np.float64)
    along = shapely.get_coordinates(part.shape) @ direction
    return bool(abs(by) * np.hypot(*direction) <= _RECUT * np.ptp(along))


def can_be_moved(across: float, by: float) -> bool:
    """Whether what is `across` mm wide may be meant to lie `by` mm from where it is drawn."""
    return by <= _MOVED * across


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
