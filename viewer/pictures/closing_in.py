"""A finding close up: what it is about, what two things share or lack, and its measure drawn in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scrieve.shared.findings import Finding

from ..scene.body import State
from ..scene.close_up import CloseUp, close_up
from ..scene.looks import INK, PAPER, STRONG
from ..scene.sides import View
from ..style import plain
from .canvas import Canvas, Point, wide
from .captions import caption, height
from .findings_list import Box
from .studio import Studio
from .subject import Subject, letters

_REACH = 9.0  # times common words: a measure shorter than this has its arrows outside
_ASIDE = 5.0  # times common words, from what is measured to its dimension
_SHARED = 0.72  # opacity of what two things share, seen through them
_MOST = 6  # names beside things


def closing_in(studio: Studio, subject: Subject, number: int, *, captioned: bool = True) -> Canvas:
    """The picture of a finding by its number; of what it names, or of the boat, where it has no place."""
    finding = subject.findings[number - 1]
    size = letters(studio.size)
    title, lines = _words(number, finding)
    foot = height(title, lines, size, studio.size[0]) if captioned else 0.0
    seen = studio.size[0] / (studio.size[1] - foot)
    close = close_up(finding, studio.bodies, subject.assembly, seen)
    if close is None:
        canvas = _without_place(studio, finding)
        if captioned:
            caption(canvas, title, lines, size)
        return canvas
    view = _lifted(close.view, foot / studio.size[1])
    screws = {n for n in close.bodies if studio.bodies[n].kind == "screw"}
    glass = {n for n in close.bodies if n not in screws} | _plies(studio, subject, screws)
    states = [_state(studio, n, finding, screws, glass) for n in range(len(studio.bodies))]
    studio.stand(states, edged=screws, glass=sorted(glass), datum=False)
    canvas = studio.taken(view)
    if close.shared is not None:
        _show_shared(canvas, studio, close, view, size)
    taken = []
    if close.gap is not None:
        length = finding.measured if close.measures else None
        taken = _dimension(canvas, studio, close, view, size, abs(length) if length is not None else None)
    else:
        (at,) = studio.places(view, [close.at])
        canvas.ring(at, 1.3 * size, STRONG, 0.2 * size)
        canvas.disc(at, 0.25 * size, STRONG)
    _names(canvas, studio, finding, close, view, size, taken)
    if captioned:
        _cover(canvas, foot)
        caption(canvas, title, lines, size)
    return canvas


def _words(number: int, finding: Finding) -> tuple[str, list[str]]:
    frame = f"F{finding.frame}, " if finding.frame else ""
    waived = f", waived: {finding.waived}" if finding.waived else ""
    lines = [finding.message + waived]
    if finding.cure:
        lines.append(f"cure: {finding.cure}")
    return f"{number}. {frame}{finding.check} ({finding.level})", lines


def _state(studio: Studio, n: int, finding: Finding, screws: set[int], glass: set[int]) -> State:
    """What the finding names is seen, the parts of its frame are faded, the rest is hidden."""
    body = studio.bodies[n]
    if n in screws:
        return "shown"
    if n in glass:
        return "faded"
    if not screws and not glass:
        return "shown" if body.frame == finding.frame and body.kind != "dowel" else "hidden"
    about = body.frame == finding.frame if finding.frame else body.kind == "batten"
    return "faded" if about and body.kind not in ("dowel", "screw") else "hidden"


def _plies(studio: Studio, subject: Subject, screws: set[int]) -> set[int]:
    """The parts that these screws pass."""
    names = {studio.bodies[n].name for n in screws}
    found = (screw for frame in subject.assembly.frames for screw in frame.screws if screw.name in names)
    return {studio.scene.number[ply.part.name] for screw in found for ply in screw.plies}


def _without_place(studio: Studio, finding: Finding) -> Canvas:
    """The parts that it names in the whole boat, or the whole boat."""
    named = {studio.scene.number[name] for name in finding.parts if name in studio.scene.number}
    states: list[State] = []
    for n, body in enumerate(studio.bodies):
        states.append("hidden" if body.kind == "dowel" else "shown" if not named or n in named else "faded")
    studio.stand(states, edged=named)
    return studio.taken(studio.view("bow"))


def _lifted(view: View, foot: float) -> View:
    """The view moved down by half of what the words take, so that what is looked at stands above them."""
    _, over, _ = view.axes()
    down = over * view.height_at_target() * foot / 2
    (x, y, z), (a, b, c) = view.position - down, view.target - down
    return View(position=(x, y, z), target=(a, b, c), up=view.up)


def _show_shared(canvas: Canvas, studio: Studio, close: CloseUp, view: View, size: float) -> None:
    """What two things both fill, in the strong colour, through whatever hides it."""
    assert close.shared is not None
    points, triangles = close.shared
    flat = np.array(studio.places(view, points))
    faces = shapely.polygons(flat[triangles])
    # what is seen edge-on has no area; a hair of breadth keeps it in sight
    seen = shapely.union_all(shapely.buffer(faces[shapely.area(faces) > 0.0], 0.04 * size))
    window = shapely.box(-size, -size, canvas.width + size, canvas.height + size)
    for piece in shapely.get_parts(shapely.intersection(seen, window)):
        if piece.geom_type == "Polygon" and not piece.is_empty:
            rim = [(float(x), float(y)) for x, y in piece.exterior.coords]
            canvas.polygon(rim, STRONG, opacity=_SHARED)
            canvas.line(rim, STRONG, 0.09 * size)


def _dimension(
    canvas: Canvas, studio: Studio, close: CloseUp, view: View, size: float, length: float | None
) -> list[Box]:
    """A dimension beside what is measured, arrows inside or outside, and the number on paper; the number's box."""
    assert close.gap is not None
    a, b = (np.array(place) for place in studio.places(view, close.gap))
    far = float(np.hypot(*(b - a)))
    way = (b - a) / far if far > 1e-6 else np.array([1.0, 0.0])
    aside = np.array([way[1], -way[0]])
    aside = aside if (round(aside[1], 6), round(aside[0], 6)) <= (0.0, 0.0) else -aside  # up, if it goes that way
    lift = aside * _ASIDE * size
    for end in (a, b):
        canvas.line([_point(end), _point(end + lift * 1.15)], INK, 0.08 * size, halo=PAPER)
    a, b = a + lift, b + lift
    head = 1.1 * size
    if far > _REACH * size:
        middle = (a + b) / 2
        canvas.arrow(_point(middle), _point(a), INK, 0.12 * size, head=head, halo=PAPER)
        canvas.arrow(_point(middle), _point(b), INK, 0.12 * size, head=head, halo=PAPER)
        at = middle + aside * 1.5 * size
    else:
        tail = 3.2 * size
        canvas.line([_point(a), _point(b)], INK, 0.12 * size, halo=PAPER)
        canvas.arrow(_point(a - way * tail), _point(a), INK, 0.12 * size, head=head, halo=PAPER)
        canvas.arrow(_point(b + way * tail), _point(b), INK, 0.12 * size, head=head, halo=PAPER)
        at = (a + b) / 2 + aside * 1.9 * size
    if length is None:
        return []
    words = f"{length:.2f} mm"
    half = wide(words, 1.35 * size, bold=True) / 2 + 0.4 * size
    x, y = _point(at + aside * abs(float(aside[0])) * half)
    canvas.box(x - half, y - size, x + half, y + size, PAPER, radius=0.4 * size)
    canvas.words((x, y), words, 1.35 * size, STRONG, bold=True, anchor="mm")
    return [(x - half, y - size, x + half, y + size)]


def _names(
    canvas: Canvas, studio: Studio, finding: Finding, close: CloseUp, view: View, size: float, taken: Sequence[Box]
) -> None:
    """The names of what the finding is about, where it is seen, as far apart as they need to be."""
    taken = list(taken)
    (middle,) = studio.places(view, [close.at])
    for n in close.bodies[:_MOST]:
        body = studio.bodies[n]
        words = plain(body.name.removeprefix(f"F{finding.frame} "))
        half = wide(words, size) / 2 + 0.4 * size, 0.9 * size
        for x, y in _spots(canvas, studio, n, view, middle, size):
            box = (x - half[0], y - half[1], x + half[0], y + half[1])
            inside = box[0] > size and box[2] < canvas.width - size and box[1] > size and box[3] < canvas.height * 0.78
            if inside and not any(box[0] < b[2] and b[0] < box[2] and box[1] < b[3] and b[1] < box[3] for b in taken):
                canvas.words((x, y), words, 1.1 * size, INK, anchor="mm", halo=PAPER)
                taken.append(box)
                break


def _spots(canvas: Canvas, studio: Studio, n: int, view: View, middle: Point, size: float) -> list[Point]:
    """Places on a body in the picture where a name could stand: well off the middle, those nearest to it first."""
    body = studio.bodies[n]
    corners = np.array(studio.places(view, body.points))
    faces = shapely.polygons(corners[body.triangles])
    window = shapely.box(0, 0, canvas.width, canvas.height)
    seen = shapely.union_all(shapely.intersection(faces[shapely.area(faces) > 0.0], window))
    if seen.is_empty:
        return []
    xs, ys = np.meshgrid(np.arange(0, canvas.width, 2 * size), np.arange(0, canvas.height, 2 * size))
    spots = np.column_stack([xs.ravel(), ys.ravel()])
    roomy = shapely.buffer(seen, -0.8 * size)
    spots = spots[shapely.contains_xy(roomy if not roomy.is_empty else seen, *spots.T)]
    far = np.hypot(*(spots - middle).T)
    spots, far = spots[far > 9 * size], far[far > 9 * size]
    return [(float(x), float(y)) for x, y in spots[np.argsort(np.round(far, 3), kind="stable")]]


def _cover(canvas: Canvas, foot: float) -> None:
    """Paper under the words."""
    canvas.box(0.0, canvas.height - foot, canvas.width, canvas.height, PAPER, opacity=0.93)


def _point(values: np.ndarray) -> Point:
    return float(values[0]), float(values[1])
