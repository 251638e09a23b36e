"""What shows in which unit the numbers of a drawing, or of a plan, are: the sizes of what is known otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from math import hypot, log

import numpy as np

from scrieve.shared.units import MM_PER_UNIT, PLAN_UNITS

from ...drawing import Drawing
from ...geometry.outline import Outline
from ...plan.plan import Plan
from ...sheets.scale import drawn_factor
from ...sheets.stack import Stack
from ..battens.batten_sections import sides_of

_ALIKE = 0.02
"""share by which the sides of a drawn section may differ from the plan's, rounded in another unit as they may be."""

_TIMES = sorted({MM_PER_UNIT[one] / MM_PER_UNIT[other] for one in PLAN_UNITS for other in PLAN_UNITS if one != other})

_BESIDE = 3.0
"""times; frames that stand side by side differ less in size, bows and transoms included. Common practice, no source."""

_USUAL: Mapping[str, tuple[float, float]] = {
    "ply": (1.5, 75.0),
    "sheets": (300.0, 8000.0),
    "battens": (6.0, 300.0),
    "length": (600.0, 60_000.0),
}
"""mm; how thick the sheet stock of a boat is, how long its sheets, how wide its battens, how far apart its end frames.

Common practice, no source, and with room to spare: they tell an inch from a millimetre, never good from bad.
"""


_PLACED: Mapping[str, tuple[float, float]] = {"stations": (0.2, 15.0), "rails": (0.08, 1.0)}
"""shares of the largest frame's size: how far apart the end frames of a boat stand, and her rails. As above."""


def times_drawn(drawing: Drawing, unit: str) -> float:
    """How many times too large a drawing is if its numbers are in `unit`."""
    return MM_PER_UNIT[drawing.unit] / MM_PER_UNIT[unit]


def section_times(plan: Plan, drawing: Drawing) -> Counter[float]:
    """How many closed outlines on the layers of battens are so many times as large as a section of the plan's.

    By how many times, which is 1 or goes from a unit to another.
    """
    wanted = [sorted(batten.section, reverse=True) for batten in plan.battens.values()]
    found: Counter[float] = Counter()
    for outline in _on_layers(plan, drawing, "batten"):
        long, short, _ = sides_of(outline)
        for times in (1.0, *_TIMES, times_drawn(drawing, plan.units)):
            if any(_is(long, times * w) and _is(short, times * n) for w, n in wanted):
                found[times] += 1
                break
    return found


def count_of_sections(plan: Plan, drawing: Drawing) -> int:
    """The closed outlines on the layers of battens."""
    return sum(1 for _ in _on_layers(plan, drawing, "batten"))


def size_of(plan: Plan, drawing: Drawing) -> float:
    """How far it is across all that is drawn on the layers of parts, mm; 0 where nothing is."""
    points = [outline.points for outline in _on_layers(plan, drawing, "part")]
    points += [np.array(chain.points) for chain in drawing.chains if _makes(plan, chain.layer) == "part"]
    return float(hypot(*np.ptp(np.concatenate(points), axis=0))) if points else 0.0


def beside(size: float, neighbours: Iterable[float], times: float) -> bool:
    """Whether a drawing of this size is like each neighbour only once it is `times` smaller; not without neighbours."""
    ratios = [log(size / other) for other in neighbours if size > 0 and other > 0]
    after = [abs(ratio - log(times)) for ratio in ratios]
    return bool(ratios) and max(after) < log(_BESIDE) and max(after) + log(2) < min(abs(ratio) for ratio in ratios)


def on_sheets(plan: Plan, drawing: Drawing, sheets: Iterable[Drawing], within: float) -> float:
    """How many times too large a drawing is beside the cut sheets; 1 where they do not tell."""
    parts = Stack(list(_on_layers(plan, drawing, "part")))
    cut = Stack([drawn.outline for sheet in sheets for drawn in sheet.outlines])
    return 1.0 / drawn_factor(parts, cut, within)


def unusual(plan: Plan, times: float = 1.0) -> list[str]:
    """Which of a plan's measures no boat has if the plan is `times` too large: names in `_USUAL`, sorted."""
    stations = [frame.station for frame in plan.frames]
    measures = {
        "ply": [stock.real_thickness for stock in plan.stock.values()],
        "sheets": [max(stock.size) for stock in plan.stock.values() if stock.size is not None],
        "battens": [max(batten.section) for batten in plan.battens.values()],
        "length": [max(stations) - min(stations)] if len(stations) > 1 else [],
    }
    out = []
    for name, found in sorted(measures.items()):
        least, most = _USUAL[name]
        if found and (max(found) / times < least or min(found) / times > most):
            out.append(name)
    return out


def misplaced(plan: Plan, size: float, times: float = 1.0, *, strict: bool = False) -> bool:
    """Whether no frames of this size, mm, are set up as in the plan, if its places are `times` too large.

    By the stations and the rails, both of them; with `strict` one is enough.
    """
    stations = [frame.station for frame in plan.frames]
    measures = {"stations": max(stations) - min(stations)} if len(stations) > 1 else {}
    if plan.strongback is not None:
        measures["rails"] = plan.strongback.inside_width
    out = [not _PLACED[n][0] <= length / times / size <= _PLACED[n][1] for n, length in measures.items()]
    return any(out) if strict else len(out) > 1 and all(out)


def _on_layers(plan: Plan, drawing: Drawing, makes: str) -> Iterator[Outline]:
    return (drawn.outline for drawn in drawing.outlines if _makes(plan, drawn.layer) == makes)


def _makes(plan: Plan, layer: str) -> str:
    named = plan.layers.get(layer)
    return "" if named is None else named.makes


def _is(length: float, wanted: float) -> bool:
    return abs(length - wanted) <= _ALIKE * wanted
