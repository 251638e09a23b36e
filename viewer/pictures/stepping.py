"""A step of the build: what stands by then, and what it adds a little off its place, with the way it comes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scrieve.model.steps import Step

from ..scene.bench import bench_of
from ..scene.looks import BOARD, COMING, INK, PAPER, WATER
from ..scene.showing import COMING as COMING_FROM
from ..scene.showing import Showing, arranged
from ..scene.sides import Room, Triple, View, view_along
from .canvas import Canvas, Point
from .captions import caption, height
from .studio import Points, Studio
from .subject import Subject, letters

_COME = 0.55
"""how much of its way what is coming has come, on the bench."""

_STANDING = 0.35
"""the same when frames and battens are set up."""

_FROM: Triple = (0.78, 0.62, 0.42)
_LEVEL: Triple = (0.0, 0.0, 1.0)


def step_picture(studio: Studio, subject: Subject, step: Step, *, captioned: bool = True) -> Canvas:
    """The picture of a step."""
    size = letters(studio.size)
    bench = step.stage == "bench"
    showing = Showing(step=step.number, share=_COME if bench else _STANDING)
    made = arranged(studio.bodies, subject.assembly, subject.steps, showing)
    home = arranged(studio.bodies, subject.assembly, subject.steps, Showing(step=step.number))
    coming = {n for n in made.coming if np.any(made.offsets[n])}
    studio.stand(made.states, made.offsets, datum=not bench)
    title, lines = _words(step, subject)
    foot = height(title, lines, size, studio.size[0]) / studio.size[1] if captioned else 0.04
    room = Room(left=0.04, right=0.04, top=0.05, bottom=foot)
    seen = studio.seen()
    view = _on_bench(studio, subject, step, coming, room) if bench else _standing(studio, subject, seen, room)
    canvas = studio.taken(view)
    _ways(canvas, studio, coming, made.offsets - home.offsets, view, min(size, studio.size[0] / 60), bench=bench)
    if captioned:
        caption(canvas, title, lines, size)
    return canvas


def _words(step: Step, subject: Subject) -> tuple[str, list[str]]:
    where = f"F{step.frame}, " if step.frame and step.stage == "bench" else ""
    title = f"{step.number}. {step.title}"
    said = [f"{subject.assembly.name}, {where}{step.stage}"]
    said += [
        f"{len(driving.screws)} screws {driving.size} from {driving.driven_from}, drilled {driving.stop:.1f} mm deep"
        for driving in step.screws
    ]
    return title, [*said, *step.watch]


def _on_bench(studio: Studio, subject: Subject, step: Step, coming: set[int], room: Room) -> View:
    """The frame lying on the assembly board, seen from its foot, the bench level."""
    lying = [studio.bodies[n] for n in studio.seen() if n not in coming]
    bench = bench_of(step, subject.steps, subject.assembly, lying)
    studio.add(bench.points, bench.triangles, BOARD)
    studio.draw(bench.lines, WATER)
    up = np.array(bench.up)
    frame = next(frame for frame in subject.assembly.frames if frame.number == step.frame)
    foot = frame.placement.vector_to_hull([(0.0, -1.0, 0.0)])[0]
    x, y, z = up * 0.95 + foot
    # whatever comes to this frame, so that its steps can be compared; the board may run out of the picture
    own = [n for n, body in enumerate(studio.bodies) if body.frame == step.frame and body.kind != "screw"]
    points = np.concatenate([studio.bodies[n].points for n in own])
    raised = points + up * (1.0 - _COME) * COMING_FROM
    return view_along((float(x), float(y), float(z)), bench.up, np.concatenate([points, raised]), studio.aspect, room)


def _standing(studio: Studio, subject: Subject, seen: Sequence[int], room: Room) -> View:
    """The boat on the strongback, always from one place, so that the steps can be compared."""
    bodies = [n for n, body in enumerate(studio.bodies) if body.kind != "dowel"]
    points = np.concatenate([studio.sheet, *(studio.bodies[n].points for n in bodies)])
    if seen:
        points = np.concatenate([points, studio.points(seen)])
    return view_along(_FROM, _LEVEL, points, studio.aspect, room)


def _ways(
    canvas: Canvas, studio: Studio, coming: set[int], offsets: Points, view: View, size: float, *, bench: bool
) -> None:
    """An arrow for every part, or for all that comes as one; for a screw a line to its place."""
    groups: dict[tuple[str, tuple[float, ...]], list[int]] = {}
    for n in sorted(coming):
        body = studio.bodies[n]
        if body.kind == "screw" and not bench:
            continue
        if body.kind == "screw":
            head, tip = body.points[0] + offsets[n], body.points[0]
            a, b = studio.places(view, [head, tip])
            canvas.line([a, b], INK, 0.06 * size, dashes=0.25 * size)
            continue
        whole = body.frame if _many(studio, coming) else body.name
        groups.setdefault((whole, tuple(np.round(offsets[n], 3))), []).append(n)
    for numbers in groups.values():
        start, end = _arrow(studio, numbers, offsets[numbers[0]], view)
        canvas.arrow(start, end, COMING, 0.3 * size, head=1.3 * size, halo=PAPER)


def _many(studio: Studio, coming: set[int]) -> bool:
    """Whether a whole frame comes, or a leg of several plies."""
    return len({studio.bodies[n].kind for n in coming} - {"screw"}) > 1


def _arrow(studio: Studio, numbers: Sequence[int], offset: Points, view: View) -> tuple[Point, Point]:
    """From what is coming to its place, in the picture: through the middle, or beside what is in the way."""
    points = np.concatenate([studio.bodies[n].points for n in numbers])
    middle = points.mean(axis=0)
    nearest = points[np.linalg.norm(points - middle, axis=1).argmin()]
    a, b = studio.places(view, [nearest + offset * 0.85, nearest + offset * 0.05])
    return a, b
