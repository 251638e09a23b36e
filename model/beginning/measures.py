"""Measures that the frames show: battens' sections, screws and dowels, how far apart the rails are, the cutter."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scrieve.shared.screw_table import gauge_diameter, gauges
from scrieve.shared.tolerances import RELIEF_RADIUS

from ..plan.label_reading import LabelReader
from ..plan.toml_fields import name_in_plan
from ..proposals.battens.batten_sections import sides_of
from .layer_evidence import FrameOutlines

_ALIKE = 0.05  # mm; sizes no further apart are one, rounded in a drawing
_ON_LINE = 1.0  # mm; a section whose middle lies this close to the centreline is on it
_LEAST = 3.0  # mm; a shorter edge of a leg is a chamfer
_NEAR_DATUM = 5.0  # mm; as far as a raked frame's legs are cut aslant
_FEW = 0.05  # share of all corners
_SQUARE = 0.05  # mm in 1; an edge is level or upright to that


@dataclass(frozen=True, kw_only=True)
class BattenGuess:
    """A batten: its `section` (long, short), mm, its `sides` as in a plan, why; whether its sections are `drawn`.

    `arris` is the radius to which the corners of these are drawn, mm, None where no corner is rounded.
    """

    name: str
    section: tuple[float, float]
    sides: str
    because: str
    drawn: bool = True
    arris: float | None = None


def battens(
    frames: Sequence[FrameOutlines], layers: Iterable[str], words: Mapping[str, str]
) -> tuple[list[BattenGuess], int]:
    """The battens whose sections are drawn on these layers, by name, and how many sections have no name.

    `words` are those of labels that mean a side.
    """
    wanted, nameless = set(layers), 0
    sizes: dict[str, dict[tuple[float, float], list[tuple[float, float]]]] = defaultdict(lambda: defaultdict(list))
    sides: dict[str, set[str]] = defaultdict(set)
    rounds: dict[str, list[float]] = defaultdict(list)
    reader = LabelReader(numbers=tuple(outlines.frame.number for outlines in frames), words=words)
    for outlines in frames:
        found = outlines.frame.found
        for n, layer in enumerate(outlines.layers):
            if layer not in wanted:
                continue
            said = outlines.texts[n][0] if outlines.texts[n] else ""
            name = name_in_plan(reader.alone(said, letters=True).what).casefold()
            if not name:
                nameless += 1
                continue
            box = outlines.regions[n].bounds
            long, short, _ = sides_of(found.content.outlines[outlines.places[n]])
            middle = (box[0] + box[2]) / 2
            if found.half and min(abs(box[0]), abs(box[2])) <= _ALIKE:
                long, short = sorted((2 * (box[2] - box[0]), box[3] - box[1]), reverse=True)
                middle = 0.0
            sizes[name][round(long, 1), round(short, 1)].append((long, short))
            rounds[name] += found.content.radii(int(outlines.places[n]), inward=False).tolist()
            sides[name].add("centre" if abs(middle) <= _ON_LINE else "left" if middle < 0 else "right")
            if found.half and middle:
                sides[name] |= {"left", "right"}
    out = []
    for name in sorted(sizes):
        _, alike = max(sizes[name].items(), key=lambda item: (len(item[1]), -item[0][0]))
        long, short = np.median(alike, axis=0).tolist()
        where = sides[name]
        side = "centre" if where == {"centre"} else "both" if {"left", "right"} <= where else min(where - {"centre"})
        why = f"as most of its {sum(map(len, sizes[name].values()))} sections are drawn"
        arris = usual(rounds[name])
        out.append(BattenGuess(name=name, section=(long, short), sides=side, because=why, arris=arris))
    return out, nameless


def gauge_of(diameter: float) -> int | None:
    """The gauge whose shank is so thick, mm; None where none is."""
    return next((gauge for gauge in gauges() if abs(gauge_diameter(gauge) - diameter) <= _ALIKE), None)


def usual(values: Iterable[float]) -> float | None:
    """The value that most of these have, to the hundredth; None of none."""
    counts = Counter(round(value, 2) for value in values)
    return max(sorted(counts), key=lambda value: counts[value]) if counts else None


def cutter(frames: Sequence[FrameOutlines], layers: Iterable[str]) -> float | None:
    """Twice the least radius to which inside corners on these layers are relieved, mm; None where none is.

    A radius that few corners have is a slip, or another thing.
    """
    wanted, radii = set(layers), Counter[float]()
    for outlines in frames:
        content = outlines.frame.found.content
        for place, layer in zip(outlines.places.tolist(), outlines.layers, strict=True):
            if layer in wanted:
                relieved = content.radii(place, inward=True).tolist()
                radii.update(round(radius, 4) for radius in relieved if radius <= RELIEF_RADIUS)
    least = min((radius for radius, many in radii.items() if many >= _FEW * radii.total()), default=None)
    return None if least is None else round(2 * least, 3)


def inside_width(frames: Sequence[FrameOutlines], legs: Iterable[str]) -> float | None:
    """How far apart the legs locate the rails' inner faces, mm; None where no leg shows it.

    A leg bears on the rail by its level edge on the datum line; the upright edge nearest to the inner end of that lies
    against the rail's inner face.
    """
    wanted = set(legs)
    tongues: list[float] = []
    plain: list[float] = []
    for outlines in frames:
        for region, layer in zip(outlines.regions, outlines.layers, strict=True):
            if layer not in wanted or region.geom_type != "Polygon":
                continue
            points = np.array(region.exterior.coords)
            starts, ends = points[:-1], points[1:]
            runs, middles = np.abs(ends - starts), (starts + ends) / 2
            long = np.hypot(*runs.T) > _LEAST
            level = long & (runs[:, 1] <= _SQUARE * runs[:, 0]) & (np.abs(middles[:, 1]) <= _NEAR_DATUM)
            upright = long & (runs[:, 0] <= _SQUARE * runs[:, 1])
            if not level.any() or not upright.any():
                continue
            inner = np.abs(np.concatenate([starts[level], ends[level]])[:, 0]).min()
            across = np.abs(middles[upright, 0])
            near = float(across[np.argmin(np.abs(across - inner))])
            hangs = points[:, 1].min() < -_NEAR_DATUM and points[:, 1].max() > _NEAR_DATUM
            (tongues if hangs else plain).append(near)
    found = usual(tongues or plain)
    return None if found is None else round(2 * found, 2)
