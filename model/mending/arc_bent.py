"""An arc whose ends are put elsewhere, and which turns as far as before."""

from __future__ import annotations

from cmath import exp, phase
from collections.abc import Mapping, Sequence
from math import degrees, pi, radians, tan

from scrieve.shared.edits import Spot


def bent(arc: Sequence[float], moved: Mapping[Spot, Spot], near: float) -> tuple[tuple[float, ...], frozenset[Spot]]:
    """The arc with its ends where they are `moved`, and which of these places they were at, to within `near`.

    An arc is the centre's u and v, radius, start and end in degrees, counter-clockwise.
    """
    centre, radius, (start, end) = complex(*arc[:2]), arc[2], (radians(arc[3]), radians(arc[4]))
    ends = [centre + radius * exp(1j * angle) for angle in (start, end)]
    met = {}
    for n, at in enumerate(ends):
        for place, to in moved.items():
            if abs(at - complex(*place)) <= near:
                met[place] = complex(*to)
                ends[n] = met[place]
    bulge = tan(((end - start) % (2 * pi)) / 4)
    if not met or not bulge:  # a whole turn has no corners
        return tuple(arc), frozenset()
    chord = ends[1] - ends[0]
    centre = (ends[0] + ends[1]) / 2 + 1j * chord * (1 - bulge * bulge) / (4 * bulge)
    first, last = (degrees(phase(at - centre)) % 360.0 for at in ends)
    return (centre.real, centre.imag, abs(ends[0] - centre), first, last), frozenset(met)
