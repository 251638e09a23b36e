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

_NAMED = "as its name says"
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
        for thickness, why in _thicknesses(case, name, stock).items():
            yield Hypothesis(
                says=Sentence.of(
                    "{stock} is {thick}, {why}, the plan says {said}",
                    stock=Name(name),
                    thick=_told(case, thickness),
                    why=why,
                    said=_told(case, stock.thickness),
                ),
                cure=Sentence.of("set thickness of {stock} to {thick}", stock=Name(name), thick=_told(case, thickness)),
                edits=case.plan.keys.set(("stock", name), "thickness", thickness),
                trace=trace,
                loose=why != _NAMED,
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


def _thicknesses(case: Case, name: str, stock: Stock) -> dict[float, str]:
    """The thicknesses, mm, that a stock may be of, each with why: as its name says, or as others of the plan are."""
    unit = MM_PER_UNIT[case.plan.units]
    numbers = re.findall(r"\d+(?:\.\d+)?", name)
    named = [float(numbers[0]) * each for each in (unit / 100.0, unit, 1.0)] if len(numbers) == 1 else []
    out = {each: _NAMED for each in named if _THIN <= each <= _THICK}
    if any(abs(each - stock.thickness) < COINCIDENT for each in out):
        return {}  # the name and the plan agree
    for other in case.plan.stock.values():
        out.setdefault(other.thickness, "as another stock is")
    return {each: why for each, why in out.items() if abs(each - stock.thickness) >= COINCIDENT}


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
