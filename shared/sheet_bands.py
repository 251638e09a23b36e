"""How thick plywood sold under a standard may be, by the thickness that it is called by."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

INCH = 25.4

_NEAR = 0.02  # mm; a thickness written to a hundredth of a mm or a thousandth of an inch is as near to its 32nd

# nominal, over, under, mm; for 25 mm what is told is no band
_BS_1088 = (
    (4.0, 0.02, 0.60),
    (6.5, 0.04, 0.65),
    (9.0, 0.06, 0.75),
    (12.0, 0.09, 0.82),
    (15.0, 0.10, 0.90),
    (18.5, 0.12, 0.98),
    (22.0, 0.16, 1.08),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStandard:
    """A standard: `over` and `under` give by how much a sheet of a thickness may be thicker and thinner, mm."""

    name: str
    origin: str
    over: Callable[[float], float]
    under: Callable[[float], float]

    def band(self, thickness: float) -> tuple[float, float]:
        """The least and the greatest thickness of a sheet that is called so thick, mm."""
        return thickness - self.under(thickness), thickness + self.over(thickness)


def _bs_1088(thickness: float) -> tuple[float, float, float]:
    """The row of the table for a thickness: the first that is not thinner by more than rounding, else the last."""
    return next((row for row in _BS_1088 if row[0] > thickness - 0.05), _BS_1088[-1])


def _ps_1_unsanded(thickness: float) -> float:
    return INCH / 32 if thickness <= 13 / 16 * INCH + _NEAR else 0.05 * thickness


def _ps_1_sanded(thickness: float) -> float:
    return INCH / 64 if thickness <= 3 / 4 * INCH + _NEAR else 0.03 * thickness


_TABLE = (
    SheetStandard(
        name="EN 315",
        origin="EN 315, sanded, t in mm: +(0.2 + 0.03 t), -(0.4 + 0.03 t), as restated; from 3 mm up from memory",
        over=lambda t: 0.2 + 0.03 * t,
        under=lambda t: 0.4 + 0.03 * t,
    ),
    SheetStandard(
        name="BS 1088",
        origin="BS 1088, marine plywood, edition before 2018, table of thickness as dealers restate it",
        over=lambda t: _bs_1088(t)[1],
        under=lambda t: _bs_1088(t)[2],
    ),
    SheetStandard(
        name="PS 1",
        origin="US PS 1, unsanded, touch sanded and overlaid: 1/32 in up to 13/16 in, 5 % above, APA's table",
        over=_ps_1_unsanded,
        under=_ps_1_unsanded,
    ),
    SheetStandard(
        name="PS 1 sanded",
        origin="US PS 1, sanded: 1/64 in up to 3/4 in, 3 % above, as the trade's press restates it",
        over=_ps_1_sanded,
        under=_ps_1_sanded,
    ),
)

SHEET_STANDARDS: Mapping[str, SheetStandard] = MappingProxyType({each.name: each for each in _TABLE})


def usual_standard(thickness: float) -> SheetStandard:
    """The standard of a sheet of which nothing but its thickness is known, mm: PS 1 for a 32nd of an inch, else EN 315.

    Of the two bands of PS 1 it is the wider. A whole or half millimetre is metric.
    """
    in_inches = abs(thickness - round(thickness * 32 / INCH) * INCH / 32) <= _NEAR
    return SHEET_STANDARDS["PS 1" if in_inches and (2 * thickness) % 1 else "EN 315"]
