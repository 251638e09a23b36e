"""How tightly dry wood may be bent: the published radii over the thickness, with their source."""

from __future__ import annotations

from bisect import bisect_left

SOURCE = (
    "FAA AC 43.13-1B, Table 1-2, column 90 degrees to the grain, bent dry at 10 % moisture on a cold mandrel, "
    "which the circular also takes for the laminations of curved wood"
)

BREAKS = 8500.0 / (2 * 59.0)
"""R/t at which clear dry softwood breaks, 72: its surface is strained by t / 2R, at rupture by MOR / MOE. Eastern white
pine at 12 % moisture, 59 MPa and 8.5 GPa: USDA Wood Handbook FPL-GTR-190, Table 5-3a, from memory."""

INCH = 25.4

# thickness, least radius, inch; plywood of 3 and 5 plies in the order of its thickness
_RADII = (
    (0.035, 2.0),
    (0.070, 5.2),
    (0.100, 8.6),
    (0.125, 12.0),
    (0.155, 16.0),
    (0.160, 17.0),
    (0.185, 20.0),
    (0.190, 21.0),
    (0.225, 27.0),
    (0.250, 31.0),
    (0.315, 43.0),
    (0.375, 54.0),
)

THICKEST = _RADII[-1][0] * INCH
"""mm; the table ends here. Thicker wood is held to the same R/t, though by the table's run it bears less."""

THICKEST_RATIO = _RADII[-1][1] / _RADII[-1][0]
"""R/t at the end of the table: 144."""


def least_ratio(thickness: float) -> float:
    """The least radius over the thickness (mm) that dry wood takes; between the table's rows in proportion."""
    inches = [t for t, _ in _RADII]
    ratios = [radius / t for t, radius in _RADII]
    at = thickness / INCH
    i = bisect_left(inches, at)
    if i == 0:
        return ratios[0]
    if i == len(inches):
        return ratios[-1]
    share = (at - inches[i - 1]) / (inches[i] - inches[i - 1])
    return ratios[i - 1] + share * (ratios[i] - ratios[i - 1])
