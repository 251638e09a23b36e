"""The first chapter: the boat, its sizes, what to buy; and the cautions."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.board import board_of
from scrieve.model.sequence.measurements.purchases import purchases
from scrieve.model.sequence.steps.words import weight
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY

from ...reports.style import count
from .markup import Markup, bullets, chapter, element, figure, table
from .profile import bounds_of, profile


def boat_chapter(assembly: Assembly) -> Markup:
    """The boat and what to buy."""
    bounds = bounds_of(assembly)
    weighs = weight(assembly.parts())
    over = [f"{size:.0f}" for size in bounds[3:] - bounds[:3]]
    said = [
        f"{count(len(assembly.frames), 'frame')}, {count(len(assembly.battens), 'batten')}; built {assembly.build}.",
        f"Frames and battens measure {over[0]} mm fore and aft, {over[1]} mm across, {over[2]} mm in height.",
        *([f"Plywood of the frames: {weighs}."] if weighs else []),
    ]
    return chapter(
        "boat",
        "The boat",
        figure(profile(assembly), "Seen from starboard: frames, battens and rails."),
        bullets(said),
        element("h3", "What to buy"),
        *_to_buy(assembly),
    )


def _to_buy(assembly: Assembly) -> Iterator[Markup]:
    wanted, rails = purchases(assembly), assembly.strongback
    rows = [(f"screws, {size.name}, countersunk", str(number), "") for size, number in wanted.screws]
    for diameter, number in wanted.dowels:
        more = f"and up to {wanted.dowel_stands:g} mm more"
        rows.append((f"dowels, {diameter:g} mm", str(number), f"as long as the assembly board is thick, {more}"))
    if wanted.dowels:
        board = board_of(assembly)
        size = f"{2 * board.half:.0f} x {board.high - board.low:.0f} mm"
        rows.append((f"assembly board, {size}", "1", "flat, thick enough to hold dowels upright"))
    for sheet in wanted.sheets:
        size = f", {sheet.size[0]:g} x {sheet.size[1]:g} mm" if sheet.size else ""
        full = f", {100 * sheet.full:.0f} % full" if sheet.full is not None else ""
        kg = f", {sheet.mass:.1f} kg" if sheet.mass > 0.05 else ""
        drawn = str(sheet.sheets) if sheet.sheets else "not drawn"
        rows.append(
            (f"sheets, {sheet.name}, {sheet.thickness:g} mm{size}", drawn,
             f"{count(sheet.parts, 'part')}, {sheet.area:.2f} m²{full}{kg}")
        )  # fmt: skip
    for batten in wanted.battens:
        plies = f" in {batten.layers} layers" if batten.layers > 1 else ""
        long, short = batten.section
        rows.append(
            (f"batten, {batten.kind}, {long:g} x {short:g} mm{plies}", str(batten.count),
             f"{batten.length:.0f} mm long, allowance and all")
        )  # fmt: skip
    if rails is not None:
        rows.append((f"rails, {rails.width:g} x {rails.depth:g} mm", "2", f"{rails.end - rails.start:.0f} mm long"))
    yield table(("what", "how many", "more"), rows)
    yield element(
        "p",
        "Glue, filler, film, tape, weights, clamps, strips, braces, what holds legs and battens, and planking are not "
        "counted here.",
        class_="quiet",
    )
    yield element(
        "p",
        "Parts are cut as the cut sheets show them, and known by their labels. Measure the stock first: last chapter.",
    )


def cautions_chapter() -> Markup:
    """What can hurt, and what this book is not."""
    cards = [
        element("div", element("p", element("b", f"{each.topic.capitalize()}. "), each.text), class_="card caution")
        for each in CAUTIONS.values()
    ]
    return chapter("cautions", "Cautions", *cards, element("p", DEFER), element("p", FIT_ONLY, class_="rule"))
