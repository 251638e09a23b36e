"""The last chapter: a table for what a caliper reads, and the command that checks the plan with it."""

from __future__ import annotations

from pathlib import PurePath

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.measurements.purchases import purchases

from .markup import Markup, chapter, element, table


def stock_chapter(assembly: Assembly, plan: str) -> Markup:
    """The table of measured stock; `plan` is the plan as the user named it."""
    blank = element("span", class_="blank")
    sheets = purchases(assembly).sheets
    rows = [(sheet.name, f"{sheet.thickness:g}", *[blank] * 5) for sheet in sheets]
    means = ",".join(f"{sheet.name}=..." for sheet in sheets)
    return chapter(
        "stock",
        "Measured stock",
        element("p", "Before a sheet is cut: read a caliper at four places of each sheet and write the mean down."),
        table(("stock", "planned, mm", "1", "2", "3", "4", "mean"), rows),
        element("p", "Check the plan with the means, and then write them into it under the stock, as measured:"),
        element("pre", f"scrieve check {PurePath(plan).name} --measured {means}"),
        element("p", "Go on when nothing new is found.", class_="go"),
    )
