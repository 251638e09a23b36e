"""How much room is left where things meet, as lines of a table; and what was tried, in words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from scrieve.shared.names import within_frame
from scrieve.shared.wording import joined, trimmed, written

from .style import Style, plain

if TYPE_CHECKING:  # loaded where it is asked for
    from scrieve.model.tolerance.tolerance import Room, Tolerance

_FEWEST, _MOST = 3, 20  # rows; so many of what does not fail, where nothing does, and of what does
_SIDE = re.compile(r"\b(?:port|starboard)\b")


def tried(found: Tolerance) -> Iterator[str]:
    """Sentences: which stock was varied and which not, and by how much cutter and screws were off."""
    by_standard: dict[str, list[str]] = {}
    for band in found.bands:
        said = f"{plain(band.stock)} from {trimmed(band.low)} to {trimmed(band.high)} mm"
        by_standard.setdefault(band.standard, []).append(said)
    if by_standard:
        stock = "; ".join(f"{joined(said)} ({standard})" for standard, said in by_standard.items())
        yield f"Stock: {stock}{', one by one and together' if len(found.bands) > 1 else ''}."
    if found.kept:
        yield f"Not varied: {', '.join(f'{plain(name)} ({why})' for name, why in found.kept.items())}."
    worn = joined([trimmed(each) for each in found.worn])
    cutter = f"Cutter {worn} mm smaller than the plan says. " if found.worn else "The plan names no cutter to wear. "
    yield f"{cutter}Screws {trimmed(found.set_out)} mm off in any direction."


def room_table(found: Tolerance, style: Style, *, every: bool) -> Iterator[str]:
    """The fits that fail or, where none does, the tightest; with `every` all. Port and starboard alike are one line."""
    rows = _rows(found.rooms)
    if not rows:
        return
    failing = [row for row in rows if row[0].fails]
    shown = rows if every else failing[:_MOST] or rows[:_FEWEST]
    head = ["as drawn", "worst stock", *(f"cutter -{trimmed(each)}" for each in found.worn), "passes to"]
    yield ""
    yield style.paint("Room where things meet, mm, the tightest first; below 0 they are in one another", "strong")
    yield "  " + "  ".join(head)
    for row in shown:
        room = row[0]
        worn = room.worn or [room.worst] * len(found.worn)
        given = zip([room.planned, room.worst, *worn, room.fit.least], head, strict=True)
        cells = [f"{written(value, 2):>{len(title)}}" for value, title in given]
        yield from style.lines(plain(_said(row)), first=f"  {'  '.join(cells)}  ")
    more = [room for row in rows if row not in shown for room in row]
    if more:
        spare = written(min(room.least - room.fit.least for room in more), 2)
        kinds = [f"{many} {_NOUNS[kind][many > 1]}" for kind, many in Counter(room.fit.kind for room in more).items()]
        whose = "more fail too" if any(room.fails for room in more) else f"more pass with {spare} mm to spare"
        yield from style.lines(f"{joined(kinds)} {whose} (--all lists them).", first="  ")


_NOUNS = {"notch": ("notch", "notches"), "joint": ("joint", "joints"), "lap": ("side of a lap", "sides of laps")}


def _rows(rooms: Sequence[Room]) -> list[tuple[Room, ...]]:
    """What stands in a line each: a fit, with its twin on the other side where both have the same room."""
    found: dict[object, list[Room]] = {}
    for room in rooms:
        names = [_SIDE.sub("", each.name) for each in room.fit.subjects]
        room_left = [round(value, 2) for value in (room.planned, room.worst, *room.worn)]
        found.setdefault((room.fit.kind, room.fit.frame, *names, *room_left), []).append(room)
    return [tuple(row) for row in found.values()]


def _said(row: Sequence[Room]) -> str:
    """ "F7 port sheer, starboard wall of deck beam, at ply12 12.56 mm; starboard alike"."""
    room = row[0]
    first, second = (within_frame(each.name, room.fit.frame) for each in room.fit.subjects)
    if room.fit.kind == "notch":
        what = f"{first}, {room.fit.where} of {second}"
    else:
        what = f"{first} and {second}" + (f", {room.fit.where}" if room.fit.where else "")
    when = f", at {room.when}" if room.when and room.fails else ""
    if room.from_ is not None:
        stock, thickness = room.from_
        when = f", too tight from {stock} {trimmed(thickness)} mm"
    side = _SIDE.search(f"{first} {second}")
    other = {"port": "starboard", "starboard": "port"}[side.group()] if side and len(row) == 2 else ""
    alike = f"; {other} alike" if other else f"; {len(row) - 1} more alike" if len(row) > 1 else ""
    return f"F{room.fit.frame} {what}{when}{alike}"
