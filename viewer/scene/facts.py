"""What is known of a body, for its card: names and values in plain text, alike in the window and in a browser."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.batten import Batten
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Dowel, Screw
from scrieve.model.boat.strongback import Strongback
from scrieve.shared.wording import formatted, mm, place, trimmed

Fact = tuple[str, str]
"""A name and a value."""

PASSES = "passes"
"""The name of the fact of a screw or batten that says what it goes through."""

_FACES = {"core": "core", "forward": "forward face", "aft": "aft face"}


def facts_by_name(assembly: Assembly) -> dict[str, tuple[Fact, ...]]:
    """What is known of every body, by its name."""
    known: dict[str, tuple[Fact, ...]] = {}
    for frame in assembly.frames:
        known |= {part.name: tuple(_part(part, frame)) for part in frame.parts}
        known |= {screw.name: tuple(_screw(screw)) for screw in frame.screws}
        known |= {dowel.name: tuple(_dowel(dowel)) for dowel in frame.dowels}
    known |= {batten.name: tuple(_batten(batten)) for batten in assembly.battens}
    if assembly.strongback is not None:
        known |= dict.fromkeys(("port rail", "starboard rail"), tuple(_rail(assembly.strongback)))
    return known


def _part(part: Part, frame: Frame) -> Iterator[Fact]:
    if part.label:
        yield "label", part.label
    yield "stock", f"{part.stock}, {trimmed(part.thickness)} mm thick"
    yield "lies", f"{_FACES[part.face]} of {frame.name}, station {trimmed(frame.placement.station)} mm"
    if part.pockets:
        cut = sorted({(pocket.face, pocket.depth) for pocket in part.pockets})
        yield "pockets", ", ".join(f"{trimmed(depth)} mm deep in its {face} face" for face, depth in cut)
    left, low, right, high = part.shape.bounds
    yield "measures", f"{trimmed(right - left)} × {trimmed(high - low)} mm over all"
    yield "mass", f"{formatted(part.mass)} kg" if part.mass else "its stock has no density"
    yield "from", str(part.source)


def _screw(screw: Screw) -> Iterator[Fact]:
    size = screw.size
    yield "size", f"{size.name}, {mm(size.diameter)} by {mm(size.length)}"
    yield "driven", f"from {screw.driven_from}"
    yield "at", f"{place(*screw.at)} mm in the frame's plane"
    yield PASSES, ", ".join(f"{ply.part.name} {mm(ply.depth)}" for ply in screw.plies) or "no wood"
    if screw.plies:
        left = screw.left_beyond
        yield "leaves", f"{mm(left)} beyond its tip" if left >= 0 else f"its tip stands {mm(-left)} out"
    yield "from", "laid out by computation" if screw.proposed else str(screw.source)


def _dowel(dowel: Dowel) -> Iterator[Fact]:
    yield "diameter", f"{trimmed(dowel.diameter)} mm"
    yield "at", f"{place(*dowel.at)} mm in the frame's plane"


def _batten(batten: Batten) -> Iterator[Fact]:
    eased = f", edges eased {trimmed(batten.arris)} mm" if batten.arris else ""
    yield "section", f"{trimmed(batten.long)} × {trimmed(batten.short)} mm{eased}"
    if batten.layers > 1:
        yield "layers", f"{batten.layers}, glued together in place"
    yield PASSES, ", ".join(f"F{section.frame}" for section in batten.sections)
    first, last = batten.centres[0, 0], batten.centres[-1, 0]
    yield "reaches", f"from x {trimmed(first)} to {trimmed(last)} mm"


def _rail(rails: Strongback) -> Iterator[Fact]:
    yield "section", f"{trimmed(rails.width)} × {trimmed(rails.depth)} mm"
    yield "reaches", f"from x {trimmed(rails.start)} to {trimmed(rails.end)} mm"
    yield "apart", f"{trimmed(rails.inside_width)} mm between the inner faces"
