"""What the card says of a body: of a part, a screw, a batten, a rail."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.batten import Batten
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Screw
from scrieve.model.sequence.steps.words import short
from scrieve.shared.findings import Finding
from scrieve.shared.wording import formatted, mm, place, trimmed

from .boat import LoadedBoat
from .words import link, points, quiet, rows, sign

_FACES = {"core": "core", "forward": "forward face", "aft": "aft face"}


def card_words(boat: LoadedBoat, name: str) -> tuple[str, str]:
    """What stands at the head of the card, and its text as HTML; links lead to findings, steps and bodies."""
    assembly = boat.assembly
    for frame in assembly.frames:
        for part in frame.parts:
            if part.name == name:
                return name, _text(boat, name, _part(part, frame), _screws_through(part, frame))
        for screw in frame.screws:
            if screw.name == name:
                return name, _text(boat, name, _screw(screw), "")
    for batten in assembly.battens:
        if batten.name == name:
            return name, _text(boat, name, _batten(batten), "")
    return name, _text(boat, name, _other(assembly, name), "")


def _text(boat: LoadedBoat, name: str, pairs: Iterator[tuple[str, str]], more: str) -> str:
    return rows(pairs) + more + _step(boat, name) + _findings(boat, name)


def _part(part: Part, frame: Frame) -> Iterator[tuple[str, str]]:
    if part.label:
        yield "label", escape(part.label)
    yield "stock", f"{escape(part.stock)}, {trimmed(part.thickness)} mm thick"
    yield "lies", f"{_FACES[part.face]} of {escape(frame.name)}, station {trimmed(frame.placement.station)} mm"
    left, low, right, high = part.shape.bounds
    yield "measures", f"{trimmed(right - left)} × {trimmed(high - low)} mm over all"
    yield "mass", f"{formatted(part.mass)} kg" if part.mass else quiet("its stock has no density")
    yield "from", escape(str(part.source))


def _screws_through(part: Part, frame: Frame) -> str:
    through = [screw for screw in frame.screws if any(ply.part is part for ply in screw.plies)]
    if not through:
        return f"<p>{quiet('No screws pass it.')}</p>"
    links = ", ".join(link(f"body:{screw.name}", short(screw.name)) for screw in through)
    return f"<p><b>{len(through)} screw{'s' if len(through) > 1 else ''}</b> through it: {links}</p>"


def _screw(screw: Screw) -> Iterator[tuple[str, str]]:
    size = screw.size
    yield "size", f"{escape(size.name)}, {mm(size.diameter)} by {mm(size.length)}"
    yield "driven", f"from {screw.driven_from}"
    yield "at", f"{place(*screw.at)} mm in the frame's plane"
    plies = "<br>".join(f"{link(f'body:{ply.part.name}', ply.part.name)} {mm(ply.depth)}" for ply in screw.plies)
    yield "passes", plies or "no wood"
    if screw.plies:
        left = screw.left_beyond
        yield "leaves", f"{mm(left)} beyond its tip" if left >= 0 else f"its tip stands {mm(-left)} out"
    yield "from", "laid out by computation" if screw.proposed else escape(str(screw.source))


def _batten(batten: Batten) -> Iterator[tuple[str, str]]:
    eased = f", edges eased {trimmed(batten.arris)} mm" if batten.arris else ""
    yield "section", f"{trimmed(batten.long)} × {trimmed(batten.short)} mm{eased}"
    if batten.layers > 1:
        yield "layers", f"{batten.layers}, glued together in place"
    yield "passes", ", ".join(f"F{section.frame}" for section in batten.sections)
    first, last = batten.centres[0, 0], batten.centres[-1, 0]
    yield "reaches", f"from x {trimmed(first)} to {trimmed(last)} mm"


def _other(assembly: Assembly, name: str) -> Iterator[tuple[str, str]]:
    rails = assembly.strongback
    if rails is not None and name.endswith("rail"):
        yield "section", f"{trimmed(rails.width)} × {trimmed(rails.depth)} mm"
        yield "reaches", f"from x {trimmed(rails.start)} to {trimmed(rails.end)} mm"
        yield "apart", f"{trimmed(rails.inside_width)} mm between the inner faces"
    for frame in assembly.frames:
        for dowel in frame.dowels:
            if dowel.name == name:
                yield "diameter", f"{trimmed(dowel.diameter)} mm"
                yield "at", f"{place(*dowel.at)} mm in the frame's plane"


def _step(boat: LoadedBoat, name: str) -> str:
    for step in boat.steps:
        if name in step.names or any(name in driving.screws for driving in step.screws):
            return f"<p>Comes with {link(f'step:{step.number}', f'step {step.number}')}: {escape(step.title)}.</p>"
    return ""


def _findings(boat: LoadedBoat, name: str) -> str:
    own: list[tuple[int, Finding]] = [(n, f) for n, f in enumerate(boat.findings) if name in f.parts]
    if not own:
        return f"<p>{quiet('Nothing was found wrong with it.')}</p>"
    said = [f"{sign(finding)} {link(f'finding:{n}', finding.message)}" for n, finding in own]
    return f"<p><b>Findings</b></p>{points(said)}"
