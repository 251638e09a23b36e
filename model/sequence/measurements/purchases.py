"""What a boat takes: screws, dowels, sheets, battens and rails, counted and measured."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from scrieve.shared.screw_table import ScrewSize

from ...boat.assembly import Assembly
from .batten_runs import batten_runs
from .resting import dowel_stands


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStock:
    """A sheet stock: `thickness` in mm, how many `sheets` are drawn (None: none are), how `full` they are, 0 to 1.

    `area` is that of the parts, m2, `mass` theirs, kg, 0 without a density; `size` that of a sheet, mm, if it is known.
    """

    name: str
    thickness: float
    parts: int
    area: float
    mass: float
    size: tuple[float, float] | None
    sheets: int | None
    full: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BattenStock:
    """Battens of one kind: `count` pieces of `section` (long, short), mm, cut to `length`, allowance and all."""

    kind: str
    count: int
    section: tuple[float, float]
    layers: int
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchases:
    """All that is to be had before the work begins. `dowels` by diameter; `dowel_stands` is how high they may, mm."""

    screws: tuple[tuple[ScrewSize, int], ...]
    dowels: tuple[tuple[float, int], ...]
    dowel_stands: float
    sheets: tuple[SheetStock, ...]
    battens: tuple[BattenStock, ...]


def purchases(assembly: Assembly) -> Purchases:
    """What a boat takes."""
    screws = Counter(screw.size for frame in assembly.frames for screw in frame.screws)
    dowels = Counter(round(dowel.diameter, 2) for frame in assembly.frames for dowel in frame.dowels)
    kinds = sorted({batten.kind for batten in assembly.battens})
    return Purchases(
        screws=tuple(sorted(screws.items(), key=lambda item: item[0].name)),
        dowels=tuple(sorted(dowels.items())),
        dowel_stands=dowel_stands(assembly),
        sheets=tuple(_sheets(name, assembly) for name in sorted({part.stock for part in assembly.parts()})),
        battens=tuple(_battens(kind, assembly) for kind in kinds),
    )


def _sheets(name: str, assembly: Assembly) -> SheetStock:
    parts = [part for part in assembly.parts() if part.stock == name]
    drawn = [sheet for sheet in assembly.sheets if sheet.stock == name]
    area = sum(float(part.shape.area) for part in parts)
    sizes = [sheet.size for sheet in drawn if sheet.size is not None]
    full = area / sum(float(np.prod(size)) for size in sizes) if drawn and len(sizes) == len(drawn) else None
    return SheetStock(
        name=name,
        thickness=parts[0].thickness,
        parts=len(parts),
        area=area / 1e6,
        mass=sum(part.mass for part in parts),
        size=sizes[0] if sizes else None,
        sheets=len(drawn) or None,
        full=full,
    )


def _battens(kind: str, assembly: Assembly) -> BattenStock:
    same = [batten for batten in assembly.battens if batten.kind == kind]
    return BattenStock(
        kind=kind,
        count=len(same),
        section=(same[0].long, same[0].short),
        layers=same[0].layers,
        length=max(batten_runs(assembly)[batten.name].cut for batten in same),
    )
