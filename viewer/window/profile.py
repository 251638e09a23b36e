"""The boat's profile as the station strip paints it: lines in x and z, found out once a boat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame

_ALONG = 60
"""places along a batten."""

Line = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tick:
    """A frame: its `line` (2, 2) from foot to head of its core, where it stands and what it is called; mm."""

    number: str
    name: str
    kind: str
    station: float
    line: Line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """`ticks` from aft forward as the plan has them, `battens` (n, 2) each; x and z, hull axes, mm.

    `span` is the least and greatest x and the least and greatest z of it all; z 0 is in it.
    """

    ticks: tuple[Tick, ...]
    battens: tuple[Line, ...]
    span: tuple[float, float, float, float]


def profile_of(assembly: Assembly) -> Profile:
    """The profile from port: battens to starboard are behind the others and left out."""
    ticks = tuple(_tick(frame) for frame in assembly.frames)
    battens = []
    for batten in assembly.battens:
        if batten.side != "starboard":
            x = np.linspace(batten.centres[0, 0], batten.centres[-1, 0], _ALONG)
            battens.append(batten.centre(x)[:, [0, 2]])
    lines = [*battens, *(tick.line for tick in ticks), np.array([(tick.station, 0.0) for tick in ticks]).reshape(-1, 2)]
    points = np.concatenate(lines) if any(len(line) for line in lines) else np.zeros((1, 2))
    (x0, z0), (x1, z1) = points.min(axis=0), points.max(axis=0)
    return Profile(
        ticks=ticks, battens=tuple(battens), span=(float(x0), float(x1), min(0.0, float(z0)), max(1.0, float(z1)))
    )


def _tick(frame: Frame) -> Tick:
    reach = [v for part in frame.core for v in (part.shape.bounds[1], part.shape.bounds[3])] or [0.0]
    line = [frame.placement.point(0.0, v) for v in (min(reach), max(reach))]
    return Tick(
        number=frame.number,
        name=frame.name,
        kind=frame.kind,
        station=frame.placement.station,
        line=np.array([(x, z) for x, _, z in line]),
    )
