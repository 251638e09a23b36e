"""Signs: what is drawn of a finding besides the bodies that it names."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .body import Mesh
from .triple import Triple

Ends = tuple[Triple, Triple]
Points = NDArray[np.float64]


def _nowhere() -> Points:
    return np.empty((0, 3))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Signs:
    """Hull axes, mm. `arrows` are lines (n, 3) from tail to head, `strokes` lines that nothing hides, `inked` too,
    but of what is drawn and not of what is wrong.

    `ghosts` are solids that are not there, `shared` solids that two things want. `ends` is what the finding
    measures, where that does not lie between two points of its frame. `about` (n, 3) has to be in sight,
    `also` are names of bodies that are seen as well. `words` are what stands beside a place. `toward` the eye,
    where the finding has a side from which it shows, and `up` in that picture; `faint` lets one see through wood.
    """

    arrows: tuple[Points, ...] = ()
    strokes: tuple[Points, ...] = ()
    inked: tuple[Points, ...] = ()
    ghosts: tuple[Mesh, ...] = ()
    shared: tuple[Mesh, ...] = ()
    ends: Ends | None = None
    about: Points = field(default_factory=_nowhere)
    also: frozenset[str] = frozenset()
    words: tuple[tuple[str, Triple], ...] = ()
    toward: Triple | None = None
    up: Triple = (0.0, 0.0, 1.0)
    faint: bool = False


NO_SIGNS = Signs()
