"""Wood screws by gauge and by metric diameter: sizes, lengths, pilot holes, spacing, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from .errors import UseError

INCH = 25.4

# gauge: (root, greatest head diameter, greatest head height), inch.
# Root: ANSI/AWC NDS-2018 Appendix L, Table L3. Heads: ASME B18.6.1 flat head, as restated in trade tables.
_GAUGES = {
    4: (None, 0.225, 0.067),
    6: (0.113, 0.279, 0.083),
    7: (0.122, 0.305, 0.091),
    8: (0.131, 0.332, 0.100),
    9: (0.142, 0.358, 0.108),
    10: (0.152, 0.385, 0.116),
    12: (0.171, 0.438, 0.132),
    14: (0.196, 0.507, 0.153),
}

# nominal diameter: (greatest head diameter, head height), mm. Countersunk heads of the DIN 963/965 family.
_METRIC = {
    3.0: (5.6, 1.65),
    3.5: (6.5, 1.93),
    4.0: (7.5, 2.2),
    5.0: (9.2, 2.5),
    6.0: (11.0, 3.0),
}

# Lead hole for the thread, share of the root: NDS Commentary (1999/2004), part XI.
_PILOT_SOFTWOOD = 0.70
_PILOT_HARDWOOD = 0.90

# Tapered tip of a rolled thread: notes to NDS-2018 Appendix L, Table L3.
_TIP_DIAMETERS = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewSize:
    """A countersunk wood screw: all lengths mm, `length` over all, head included. `gauge` of inch screws only."""

    name: str
    diameter: float
    length: float
    head_diameter: float
    head_height: float
    gauge: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """A least distance between wood screws or to an edge, in diameters: holes not prebored, and prebored."""

    plain: float
    prebored: float


# Wood screws under 1/4 in, advisory: NDS Commentary (1999/2004), Table C12.1.5.7, as restated.
SPACINGS: Mapping[str, Spacing] = MappingProxyType(
    {
        "edge": Spacing(plain=2.5, prebored=2.5),
        "end, tension along grain": Spacing(plain=15.0, prebored=10.0),
        "end, compression": Spacing(plain=10.0, prebored=5.0),
        "in a row, along grain": Spacing(plain=15.0, prebored=10.0),
        "in a row, across grain": Spacing(plain=10.0, prebored=5.0),
        "between rows, in line": Spacing(plain=5.0, prebored=3.0),
        "between rows, staggered": Spacing(plain=2.5, prebored=2.5),
    }
)


def gauge_diameter(gauge: int) -> float:
    """Shank diameter of an inch gauge, mm: 0.060 + 0.013 N inch (ASME B18.6.1 series)."""
    return (0.060 + 0.013 * gauge) * INCH


def gauges() -> tuple[int, ...]:
    """The gauges in the table, smallest first."""
    return tuple(_GAUGES)


def screw_of_gauge(gauge: int, length: float) -> ScrewSize:
    """The screw of an inch gauge. Raises UseError for a gauge that is not in the table."""
    _, head, height = _row(gauge)
    return ScrewSize(
        name=f"No. {gauge} x {inches(length) or f'{length:g} mm'}",
        diameter=gauge_diameter(gauge),
        length=length,
        head_diameter=head * INCH,
        head_height=height * INCH,
        gauge=gauge,
    )


def screw_of_diameter(diameter: float, length: float) -> ScrewSize:
    """The screw of a shank diameter in mm; a head not in the table is scaled from the nearest row."""
    nearest = min(_METRIC, key=lambda d: (abs(d - diameter), d))
    head, height = _METRIC[nearest]
    scale = diameter / nearest
    return ScrewSize(
        name=f"{diameter:g} x {length:g} mm",
        diameter=diameter,
        length=length,
        head_diameter=head * scale,
        head_height=height * scale,
    )


def inch_lengths() -> tuple[float, ...]:
    """The lengths inch screws are sold in, mm, shortest first, from 1/4 in.

    By 1/8 in up to 1 in, by 1/4 in to 3 in, by 1/2 in to 6 in (US Navy training manual 14119).
    """
    eighths = [*range(2, 8), *range(8, 24, 2), *range(24, 49, 4)]
    return tuple(n * INCH / 8 for n in eighths)


def inches(length: float) -> str:
    """A length in mm as whole inches and eighths or quarters ("1-1/4 in"); empty where it is neither."""
    eighths = round(length / INCH * 8)
    if abs(eighths * INCH / 8 - length) > 1e-3:
        return ""
    whole, rest = divmod(eighths, 8)
    if not rest:
        return f"{whole} in"
    bottom = 8
    while rest % 2 == 0:
        rest, bottom = rest // 2, bottom // 2
    return f"{whole}-{rest}/{bottom} in" if whole else f"{rest}/{bottom} in"


def root_diameter(gauge: int) -> float | None:
    """Diameter at the root of the thread, mm; None where the source gives none."""
    root = _row(gauge)[0]
    return None if root is None else root * INCH


def pilot_holes(gauge: int) -> tuple[float, float] | None:
    """Lead hole for the thread in softwood and in hardwood, mm; None where the source gives no root."""
    root = root_diameter(gauge)
    return None if root is None else (_PILOT_SOFTWOOD * root, _PILOT_HARDWOOD * root)


def tip_length(size: ScrewSize) -> float:
    """Length of the tapered tip, mm: 2 D."""
    return _TIP_DIAMETERS * size.diameter


def _row(gauge: int) -> tuple[float | None, float, float]:
    if gauge not in _GAUGES:
        known = ", ".join(str(g) for g in _GAUGES)
        raise UseError.at(f"gauge must be one of {known} (got {gauge})")
    return _GAUGES[gauge]
