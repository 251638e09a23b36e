"""One frame with what passes through it, faded; its findings ringed."""

from __future__ import annotations

import numpy as np

from scrieve.model.boat.frame import Frame

from ..reports.style import count
from ..scene.body import Body, State
from ..scene.sides import LEVEL, Margins, Side, level_view, view_along, view_from
from .canvas import Canvas
from .captions import caption
from .findings_list import listing, rings
from .studio import Studio
from .subject import SIDE_WORDS, PicturedBoat, letters


def framed(
    studio: Studio, subject: PicturedBoat, frame: Frame, side: Side | None = None, *, bare: bool = False
) -> Canvas:
    """The picture from a side; without one from somewhat above the port side of the face that the plan looks at."""
    size = letters(studio.size)
    shown = [] if bare else [(n, f) for n, f in subject.marked if f.at is not None and f.frame == frame.number]
    studio.stand([_state(body, frame) for body in studio.bodies])
    found = listing(shown, studio.size)
    said = None if bare else caption(*_words(frame, subject, side), studio.size, width=1 - found.share)
    foot = 0.04 if said is None else said.height / studio.size[1]
    room = Margins(left=0.04, right=max(found.share + 0.03, 0.04), top=0.05, bottom=foot)
    points = studio.points(studio.seen())
    if side is None:
        normal = frame.placement.vector_to_hull([(0.0, 0.0, 1.0)])[0]
        x, y, z = normal * (-1.0 if subject.seen == "from aft" else 1.0) + (0.0, 0.36, 0.3)
        view = view_along((x, y, z), (0.0, 0.0, 1.0), points, studio.aspect, room)
    else:
        view = (level_view if side in LEVEL else view_from)(side, points, studio.aspect, room)
    canvas = studio.taken(view)
    if said is None:
        return canvas
    if shown:
        places = studio.places(view, [f.at for _, f in shown if f.at is not None])
        rings(canvas, shown, places, size, [], share=found.share)
    found.draw(canvas)
    said.draw(canvas)
    return canvas


def _state(body: Body, frame: Frame) -> State:
    """Other frames stand in the way of one, the more so when one sees through them."""
    if body.frame == frame.number:
        return "hidden" if body.kind == "dowel" else "shown"
    return "hidden" if body.frame else "faded"


def _words(frame: Frame, subject: PicturedBoat, side: Side | None) -> tuple[str, list[str]]:
    rake = float(np.degrees(frame.placement.rake))
    raked = f", raked {rake:g} degrees" if rake else ""
    screws = count(len(frame.screws), "screw")
    said = f"{frame.kind}, station {frame.placement.station:g}{raked}; {count(len(frame.parts), 'part')}, {screws}"
    where = subject.seen if side is None else SIDE_WORDS[side]
    return f"{subject.assembly.name}, {frame.name}", [f"{said}; {where}"]
