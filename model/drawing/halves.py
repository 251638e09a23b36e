"""Makes whole frames of drawings that show the port half alone."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Measure, Source
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import mm, place

from ..boat.defect import Defect
from ..geometry.plane import mirrored_points
from .stroke import Stroke

_SHORT = 7.5
"""mm; an outline left open that ends no further from the centreline was meant to end on it. As parts that stop short of
it are taken for one with their images."""

_BEYOND = "{what} reaches to starboard ({place}), though only the port half is drawn (mirror = true)"

_SHORTEST_SEAM = 1.0
"""mm; an outline that lies along the centreline for longer is half of one that reaches over it."""

Floats = NDArray[np.float64]


def halves_joined(
    strokes: Iterable[Stroke], gap: float, ending: Container[Source] = ()
) -> tuple[list[Stroke], list[Defect]]:
    """The strokes, those that end at the centreline or lie along it made `whole` by their own images.

    Closed ones of the sources `ending` lie along it and end there.

    The edges along the centreline go; of an outline that lies along it in several places each
    stretch between becomes an outline of its own: the outer one, and openings. Within `gap` mm is
    on the centreline. A stroke that reaches to starboard is left out, with a defect; one that ends a little short of
    the centreline is taken as far as that, with a defect.
    """
    joined: list[Stroke] = []
    defects: list[Defect] = []
    for stroke in strokes:
        line = stroke.flattened()
        furthest = line[int(np.argmin(line[:, 0]))]
        if furthest[0] < -gap:
            at = (float(furthest[0]), float(furthest[1]))
            defects.append(beyond_the_half(on_layer("an outline", stroke.layer), at, stroke.source))
        elif stroke.closed:
            stretches = None if stroke.source in ending else _between_seams(stroke, gap)
            joined.extend([stroke] if stretches is None else stretches)
        elif not stroke.forked and abs(stroke.points[0, 0]) <= gap and abs(stroke.points[-1, 0]) <= gap:
            joined.append(_with_image(stroke, stroke.points, stroke.bulges))
        elif not stroke.forked and _ends_short(stroke):
            joined.append(_with_image(stroke, stroke.points, stroke.bulges))
            defects.append(_short_of_it(stroke, gap))
        else:
            joined.append(stroke)
    return joined, defects


def lies_beyond(defect: Defect) -> bool:
    """Whether something was left out because it is drawn to starboard, where only the port half should be."""
    return isinstance(defect.message, Sentence) and defect.message.template == _BEYOND


def _ends_short(stroke: Stroke) -> bool:
    """Whether both ends lie about the centreline, nearer to it than to one another."""
    first, last = stroke.points[[0, -1]]
    off = max(abs(first[0]), abs(last[0]))
    return bool(off <= _SHORT and abs(last[1] - first[1]) > 2 * off)


def _short_of_it(stroke: Stroke, gap: float) -> Defect:
    (y, v), other = sorted(((float(y), float(v)) for y, v in stroke.points[[0, -1]]), key=lambda end: -abs(end[0]))
    return Defect(
        message=Sentence.of(
            "{what} ends {short} off the centreline, between {first} and {second}; it is taken as ending on it",
            what=on_layer("an outline", stroke.layer),
            short=mm(abs(y), gap),
            first=place(y, v),
            second=place(*other),
        ),
        source=stroke.source,
        at=(y, v),
        measure=Measure(value=abs(y), limit=gap),
        span=((0.0, v), (y, v)),
        cure="draw both ends to the centreline, y 0",
    )


def on_layer(what: str, layer: str) -> Sentence:
    """ "an outline on layer PLY"."""
    return Sentence.of("{what} on layer {layer}", what=what, layer=Name(layer))


def beyond_the_half(what: str, at: tuple[float, float], source: Source) -> Defect:
    """The defect of something that is drawn to starboard where only the port half should be."""
    return Defect(
        message=Sentence.of(
            _BEYOND,
            what=what,
            place=place(*at),
        ),
        source=source,
        at=at,
        measure=Measure(value=-at[0], limit=0.0),
        span=((0.0, at[1]), at),
        cure="take it out of the drawing, or take mirror = true out of the plan",
    )


def _between_seams(stroke: Stroke, gap: float) -> list[Stroke] | None:
    """What is left of a closed stroke without its edges on the centreline, made whole; None if it has none."""
    on_line = np.abs(stroke.points[:, 0]) <= gap
    seam = on_line & np.roll(on_line, -1) & (stroke.bulges == 0.0)
    lengths = np.abs(np.roll(stroke.points[:, 1], -1) - stroke.points[:, 1])
    if not seam.any() or seam.all():
        return None
    first = int(np.flatnonzero(seam & ~np.roll(seam, -1))[0]) + 1
    order = (first + np.arange(len(seam))) % len(seam)
    stretches: list[Stroke] = []
    longest, run = 0.0, 0.0
    begin = 0
    for step, index in enumerate(order):
        if seam[index]:
            run += lengths[index]
            longest = max(longest, run)
            continue
        if run:
            begin, run = step, 0.0
        following = order[(step + 1) % len(order)]
        if seam[following]:
            segments = order[begin : step + 1]
            points = stroke.points[np.append(segments, following)]
            stretches.append(_with_image(stroke, points, stroke.bulges[segments]))
    return stretches if longest > _SHORTEST_SEAM else None


def _with_image(stroke: Stroke, points: Floats, bulges: Floats) -> Stroke:
    """A chain from centreline to centreline closed by its mirror image."""
    points = points.copy()
    points[[0, -1], 0] = 0.0
    # turning the chain round and mirroring it both flip its bulges
    image = mirrored_points(points[-2:0:-1])
    corners = np.concatenate([points, image])
    return replace(stroke, points=corners, bulges=np.concatenate([bulges, bulges[::-1]]), closed=True, whole=True)
