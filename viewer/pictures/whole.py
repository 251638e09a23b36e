"""The whole boat from a side, or one frame of it with what passes through it: named, findings ringed and numbered."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.model.boat.frame import Frame

from ..marks.colours import INK, PAPER
from ..marks.placing import Places, Point, box_about
from ..reports.style import count
from ..scene.body import Body, State
from ..scene.sides import LEVEL, Margins, Side, level_view, view_along, view_from
from .canvas import Canvas, wide
from .captions import caption
from .findings_list import listing, rings
from .studio import DATUM_PAST, Studio
from .subject import SIDE_WORDS, PicturedBoat, letters

_PAST = 70.0  # mm from the edge of the datum plane to the name of a frame


def whole_boat(studio: Studio, subject: PicturedBoat, side: Side, *, bare: bool = False) -> Canvas:
    """The picture; `bare` without any words and marks."""
    size = letters(studio.size)
    shown = [] if bare else [(n, f) for n, f in subject.marked if f.at is not None]
    studio.stand(["hidden" if body.kind == "dowel" else "shown" for body in studio.bodies])
    found = listing(shown, studio.size)
    said = None if bare else caption(*_words(subject, side), studio.size, width=1 - found.share)
    foot = 0.0 if said is None else said.height / studio.size[1]
    room = Margins() if bare else Margins(right=max(found.share + 0.02, 0.04), left=0.04, top=0.05, bottom=foot)
    points = studio.points(studio.seen())
    stations = _station_ends(studio, subject, side)
    look = level_view if side in LEVEL else view_from
    view = look(side, np.concatenate([points, studio.sheet, *([] if bare else [stations])]), studio.aspect, room)
    canvas = studio.taken(view)
    if said is None:
        return canvas
    taken = _frames(canvas, subject, studio.places(view, stations), size)
    if shown:
        places = studio.places(view, [finding.at for _, finding in shown if finding.at is not None])
        rings(canvas, shown, places, size, taken, share=found.share)
    found.draw(canvas)
    said.draw(canvas)
    return canvas


def _words(subject: PicturedBoat, side: Side) -> tuple[str, list[str]]:
    assembly = subject.assembly
    frames, parts = count(len(assembly.frames), "frame"), count(sum(1 for _ in assembly.parts()), "part")
    return assembly.name, [f"{frames}, {parts}, {count(len(assembly.battens), 'batten')}; {SIDE_WORDS[side]}"]


def _station_ends(studio: Studio, subject: PicturedBoat, side: Side) -> NDArray[np.float64]:
    """(frames, 3) mm, hull axes: where the station of each frame ends on the datum plane, on the side looked from.

    From port and starboard it is below the boat; none where all would be in one place.
    """
    bounds = studio.scene.bounds(studio.seen())
    reach = max(abs(bounds[2]), abs(bounds[3])) + DATUM_PAST + _PAST
    stations = [frame.placement.station for frame in subject.assembly.frames]
    if side in ("aft", "forward"):  # all in one place
        return np.empty((0, 3))
    if side in ("port", "starboard"):
        return np.array([(x, 0.0, bounds[4] - _PAST) for x in stations])
    near = -1.0 if side == "above" else 1.0
    return np.array([(x, near * reach, 0.0) for x in stations])


def _frames(canvas: Canvas, subject: PicturedBoat, places: list[Point], size: float) -> list[shapely.Polygon]:
    """The numbers of the frames at the ends of their stations, those for which there is room; their boxes."""
    room = Places(page=shapely.box(-size, -size, canvas.width + size, canvas.height + size), clear=0.0)
    for frame, at in zip(subject.assembly.frames, places, strict=False):
        box = box_about(at, (wide(frame.name, size, bold=True) + 0.6 * size, 1.6 * size))
        if room.first([box]) is not None:
            canvas.words(at, frame.name, 1.1 * size, INK, bold=True, anchor="mm", halo=PAPER)
    return room.taken


def framed(
    studio: Studio, subject: PicturedBoat, frame: Frame, side: Side | None = None, *, bare: bool = False
) -> Canvas:
    """The picture from a side; without one from somewhat above the port side of the face that the plan looks at."""
    size = letters(studio.size)
    shown = [] if bare else [(n, f) for n, f in subject.marked if f.at is not None and f.frame == frame.number]
    studio.stand([_state(body, frame) for body in studio.bodies])
    found = listing(shown, studio.size)
    said = None if bare else caption(*_frame_words(frame, subject, side), studio.size, width=1 - found.share)
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


def _frame_words(frame: Frame, subject: PicturedBoat, side: Side | None) -> tuple[str, list[str]]:
    rake = float(np.degrees(frame.placement.rake))
    raked = f", raked {rake:g} degrees" if rake else ""
    screws = count(len(frame.screws), "screw")
    said = f"{frame.kind}, station {frame.placement.station:g}{raked}; {count(len(frame.parts), 'part')}, {screws}"
    where = subject.seen if side is None else SIDE_WORDS[side]
    return f"{subject.assembly.name}, {frame.name}", [f"{said}; {where}"]
