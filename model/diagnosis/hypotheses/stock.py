"""A layer is cut from another stock than the plan says, or a stock is of the thickness that its name says."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from scrieve.shared.findings import Finding
from scrieve.shared.screw_table import inches
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import COINCIDENT
from scrieve.shared.units import MM_PER_UNIT
from scrieve.shared.wording import trimmed

from ...plan.plan import Stock
from ..case import Case, Hypothesis

_THIN, _THICK = 2.0, 60.0  # mm; sheets and sawn stock are of some such thickness


def propose(case: Case) -> Iterator[Hypothesis]:
    """Each other stock for each layer of parts complained of; the number in a stock's name as its thickness."""
    layer_of = {part.name: part.source.layer for part in case.boat.parts()}
    thick = ("joint-gap", "foul", "screw-bite", "cut-sheet", "leg-pair")
    for name, stock in case.plan.stock.items():
        if stock.measured is not None:
            continue
        layers = {layer for layer, use in case.plan.layers.items() if use.stock == name}
        trace = _about(case, {part for part, layer in layer_of.items() if layer in layers}, (*thick, "notch-foul"))
        for thickness in _thicknesses(case, name, stock):
            yield Hypothesis(
                says=Sentence.of(
                    "{stock} is {thick}, as its name says, the plan says {said}",
                    stock=Name(name),
                    thick=_told(case, thickness),
                    said=_told(case, stock.thickness),
                ),
                cure=Sentence.of("set thickness of {stock} to {thick}", stock=Name(name), thick=_told(case, thickness)),
                edits=case.plan.keys.set(("stock", name), "thickness", thickness),
                trace=trace,
                source=case.plan.source_of("stock", name, "thickness"),
            )
    for name, layer in case.plan.layers.items():
        if layer.makes != "part" or name not in layer_of.values():
            continue
        trace = _about(case, {part for part, layer in layer_of.items() if layer == name}, thick)
        now = case.plan.stock[layer.stock or ""].real_thickness
        for other, stock in case.plan.stock.items():
            if stock.real_thickness != now or (case.of("cut-sheet") and other != layer.stock):
                yield Hypothesis(
                    says=Sentence.of(
                        "the parts on layer {layer} are of {other}, the plan says {said}",
                        layer=Name(name),
                        other=Name(other),
                        said=Name(layer.stock),
                    ),
                    cure=Sentence.of('set stock = "{other}" of layer {layer}', other=Name(other), layer=Name(name)),
                    edits=case.plan.keys.set(("layers", name), "stock", other),
                    trace=trace,
                    source=case.plan.source_of("layers", name),
                )


def _thicknesses(case: Case, name: str, stock: Stock) -> list[float]:
    """The thicknesses, mm, that the number in a stock's name may mean; none where one of them is what the plan says."""
    unit, numbers = MM_PER_UNIT[case.plan.units], re.findall(r"\d+(?:\.\d+)?", name)
    # 12 is 12 mm, or of the plan's unit; 75 in a plan of inches is 3/4
    named = [float(numbers[0]) * each for each in (unit / 100.0, unit, 1.0)] if len(numbers) == 1 else []
    out = [each for each in dict.fromkeys(named) if _THIN <= each <= _THICK]
    return [] if any(abs(each - stock.thickness) < COINCIDENT for each in out) else out


def _told(case: Case, thickness: float) -> Quantity:
    """A thickness as the plan may say it."""
    if case.plan.units == "mm":
        return Quantity.of(thickness, f"{thickness:g} mm")
    return Quantity.of(thickness, inches(thickness) or f"{trimmed(thickness / MM_PER_UNIT['in'])} in")


def _about(case: Case, parts: set[str], checks: Sequence[str]) -> tuple[Finding, ...]:
    """The findings of these checks about such parts, or about screws through them."""
    screws = {name for name, screw in case.screws.items() if any(ply.part.name in parts for ply in screw.plies)}
    found = case.about(lambda each: each.name in parts or each.name in screws, *checks)
    # a sheet of another stock is told of the boat, a part that is on none of its frame
    return tuple(each for each in found if each.check != "cut-sheet" or not each.frame)
