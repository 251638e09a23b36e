"""A step of the build: what stands by then, and what it adds a little off its place, with the way it comes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scrieve.model.sequence.steps import Step
from scrieve.shared.cautions import CAUTIONS

from ..marks.arrow import arrow
from ..marks.colours import INK, PAPER
from ..scene.apart import lying_apart, up_at
from ..scene.bench import bench_of
from ..scene.looks import COMING
from ..scene.showing import COMING as COMING_FROM
from ..scene.showing import Arrangement, Showing, arranged
from ..scene.sides import Margins, View, view_along
from ..scene.triple import Triple, triple
from ..scene.ways import screw_ways, ways_of
from .canvas import Canvas
from .captions import caption
from .studio import Studio
from .subject import PicturedBoat, letters

_COME = 0.55
"""how much of its way what is coming has come, on the bench."""

_STANDING = 0.35
"""the same when frames and battens are set up."""

_SWING, _FLAT = 0.3, 0.7
"""how far the arrow of turning over reaches to each side, of the frame's width, and how high, of that."""

_FROM: Triple = (0.78, 0.62, 0.42)
_LEVEL: Triple = (0.0, 0.0, 1.0)


def step_picture(
    studio: Studio,
    subject: PicturedBoat,
    step: Step,
    *,
    captioned: bool = True,
    brief: bool = False,
    done: bool = False,
) -> Canvas:
    """The picture of a step: what it adds on its way, or where it is `done` in its place.

    A `brief` caption has the title and a line, so that one picture after the other is seen from one place.
    """
    size = letters(studio.size)
    bench = step.stage == "bench"
    showing = Showing(step=step.number, share=1.0 if done else _COME if bench else _STANDING)
    made = arranged(studio.bodies, subject.assembly, subject.steps, showing)
    coming = {n for n in made.coming if np.any(made.left[n])}
    studio.stand(made.states, made.offsets, datum=not bench)
    title, lines = step_words(step, subject)
    said = caption(title, lines[:1] if brief else lines, studio.size) if captioned else None
    foot = 0.04 if said is None else said.height / studio.size[1]
    room = Margins(left=0.04, right=0.04, top=0.05, bottom=foot)
    seen = studio.seen()
    view = _on_bench(studio, subject, step, coming, room) if bench else _standing(studio, subject, seen, room)
    canvas = studio.taken(view)
    _ways(canvas, studio, made, view, min(size, studio.size[0] / 60), bench=bench)
    if step.kind == "legs":
        _hands(canvas, studio, subject, step, view, min(size, studio.size[0] / 60))
    if step.kind == "turn":
        _turn(canvas, studio, subject, step, view, min(size, studio.size[0] / 60))
    if said is not None:
        said.draw(canvas)
    return canvas


def step_words(step: Step, subject: PicturedBoat) -> tuple[str, list[str]]:
    """The title of a step's picture, and all that is to be known of the step, a line each."""
    where = f"F{step.frame}, " if step.frame and step.stage == "bench" else ""
    title = f"{step.number}. {step.title}"
    said = [f"{subject.assembly.name}, {where}{step.stage}"]
    said += [
        f"{len(driving.screws)} screws {driving.size} from {driving.driven_from}, drilled {driving.stop:.1f} mm deep"
        for driving in step.screws
    ]
    said += step.watch
    if step.cautions:
        said.append(f"take care: {', '.join(CAUTIONS[topic].topic for topic in step.cautions)}")
    return title, said


def _on_bench(studio: Studio, subject: PicturedBoat, step: Step, coming: set[int], room: Margins) -> View:
    """The frame lying on the assembly board, seen from its foot, the bench level."""
    lying = [studio.bodies[n] for n in studio.seen() if n not in coming]
    bench = bench_of(step, subject.steps, subject.assembly, lying)
    studio.board.show(bench)
    up = np.array(bench.up)
    frame = next(frame for frame in subject.assembly.frames if frame.number == step.frame)
    foot = frame.placement.vector_to_hull([(0.0, -1.0, 0.0)])[0]
    x, y, z = up * 0.95 + foot
    # whatever comes to this frame, so that its steps can be compared; the board may run out of the picture
    own = [body for body in studio.bodies if body.frame == step.frame and body.kind != "screw"]
    apart = lying_apart(frame, up_at(step)).parts
    lying_there = [body.points + frame.placement.vector_to_hull([apart[body.name]])[0] for body in own
                   if body.name in apart]  # fmt: skip
    points = np.concatenate([*(body.points for body in own), *lying_there])
    raised = points + up * (1.0 - _COME) * COMING_FROM
    return view_along((float(x), float(y), float(z)), bench.up, np.concatenate([points, raised]), studio.aspect, room)


def _standing(studio: Studio, subject: PicturedBoat, seen: Sequence[int], room: Margins) -> View:
    """The boat on the strongback, always from one place, so that the steps can be compared."""
    bodies = [n for n, body in enumerate(studio.bodies) if body.kind != "dowel"]
    points = np.concatenate([studio.sheet, *(studio.bodies[n].points for n in bodies)])
    if seen:
        points = np.concatenate([points, studio.points(seen)])
    return view_along(_FROM, _LEVEL, points, studio.aspect, room)


def _ways(canvas: Canvas, studio: Studio, made: Arrangement, view: View, size: float, *, bench: bool) -> None:
    """An arrow for every part, or for all that comes as one; on the bench for a screw a line to its place."""
    share = float(np.linalg.norm(made.left) / max(float(np.linalg.norm(made.ways)), 1e-9))
    for start, end in screw_ways(studio.bodies, made) if bench else ():
        a, b = studio.places(view, [_between(end, start, share), end])
        canvas.line([a, b], INK, 0.06 * size, dashes=0.25 * size)
    for start, end in ways_of(studio.bodies, made):
        a, b = studio.places(view, [_between(end, start, 0.85 * share), _between(end, start, 0.05 * share)])
        canvas.arrow(a, b, COMING, 0.3 * size, head=1.3 * size, halo=PAPER)


def _turn(canvas: Canvas, studio: Studio, subject: PicturedBoat, step: Step, view: View, size: float) -> None:
    """An arrow over the frame, from side to side: the way in which it is turned over."""
    frame = next(frame for frame in subject.assembly.frames if frame.number == step.frame)
    left, low, right, high = shapely.total_bounds([part.shape for part in frame.core])
    reach, up = (right - left) * _SWING, up_at(step)
    angles = np.linspace(np.pi * 0.95, np.pi * 0.05, 25) * up
    middle, level = (left + right) / 2, (low + high) / 2
    arc = [
        (middle + reach * np.cos(a), level, (frame.core_high if up > 0 else frame.core_low) + reach * _FLAT * np.sin(a))
        for a in angles
    ]
    places = studio.places(view, frame.placement.to_hull(np.array(arc)))
    made = arrow(places, 1.3 * size)
    if made is not None:
        canvas.headed([made.shaft], [made.head], COMING, 0.3 * size, halo=PAPER)


def _hands(canvas: Canvas, studio: Studio, subject: PicturedBoat, step: Step, view: View, size: float) -> None:
    """Which leg is which, on each."""
    frame = next(frame for frame in subject.assembly.frames if frame.number == step.frame)
    for leg in frame.legs:
        plies = [n for n, body in enumerate(studio.bodies) if body.name in {ply.name for ply in leg.plies}]
        if leg.plies[0].name in step.names:
            points = studio.points(plies)
            (at,) = studio.places(view, [(points.min(axis=0) + points.max(axis=0)) / 2])
            canvas.words(at, leg.side, size, INK, bold=True, anchor="mm", halo=PAPER)


def _between(end: Triple, start: Triple, share: float) -> Triple:
    """The place so far from the end towards the start."""
    return triple(np.add(end, np.subtract(start, end) * share))
