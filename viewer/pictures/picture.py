"""The picture asked for, as the bytes of a PNG or a moving WebP. Needs the extra `window` and OpenGL, no screen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from PIL import Image

from scrieve.model.sequence.steps import Step
from scrieve.shared.findings import Finding, Level

from ..marks.colours import INK
from ..marks.forms import badge_colour
from ..reports.style import count
from ..scene.bodies import bodies_of
from .canvas import encoded, encoded_moving
from .closing_in import closing_in
from .pages import LEAST, Small, grid_of, page
from .stepping import step_picture
from .studio import Studio
from .subject import Asked, Many, PicturedBoat, misused
from .whole import framed, whole_boat

SIZE = (1600, 1000)
"""points; a picture, if no other size is asked for."""


MOVING_SIZE = (960, 640)
"""points; the same of a moving one."""

MOST_MOVING = 600
"""Pictures that a moving one is made of, of which each is kept in memory: a boat of some 30 frames."""

_ON_ITS_WAY, _AT_REST = 1000, 1800  # ms


def picture(subject: PicturedBoat, asked: Asked, tell: Callable[[str], None]) -> bytes:
    """The picture as PNG, a moving one as WebP; `tell` is told what of several comes next.

    Raises UseError where the words of a page find no room, and for more steps than a moving picture has room for.
    """
    if asked.moving:
        return _moving(subject, asked, tell)
    if asked.many is not None:
        return _page(subject, asked, tell)
    with _studio(subject, asked.size or SIZE) as studio:
        if asked.finding:
            canvas = closing_in(studio, subject, asked.finding)
        elif asked.step is not None:
            canvas = step_picture(studio, subject, asked.step)
        elif asked.frame is not None:
            canvas = framed(studio, subject, asked.frame, asked.side, bare=asked.bare)
        else:
            canvas = whole_boat(studio, subject, asked.side or "bow", bare=asked.bare)
        return encoded(canvas.picture())


def _moving(subject: PicturedBoat, asked: Asked, tell: Callable[[str], None]) -> bytes:
    """Each step on its way and then done, one after the other; a step that adds nothing once."""
    steps = [item for _, item in subject.on_page(asked) if isinstance(item, Step)]
    shown = [(step, done) for step in steps for done in ((False, True) if step.adds or step.screws else (True,))]
    if len(shown) > MOST_MOVING:
        raise misused(
            f"a moving picture has room for {MOST_MOVING} pictures, {len(steps)} steps make {len(shown)}: "
            "--frame NUMBER has those of a frame"
        )
    pictures: list[Image.Image] = []
    with _studio(subject, asked.size or MOVING_SIZE) as studio:
        for step, done in shown:
            if done:
                tell(f"step {step.number}")
            # of few colours it is kept in a third of the memory
            pictures.append(step_picture(studio, subject, step, brief=True, done=done).picture().quantize(256))
    times = [_ON_ITS_WAY if step.adds or step.screws else _AT_REST for step, _ in shown]
    return encoded_moving(pictures, times)


def _page(subject: PicturedBoat, asked: Asked, tell: Callable[[str], None]) -> bytes:
    assert asked.many is not None
    items = subject.on_page(asked)
    grid = grid_of([(number, _title(item)) for number, item in items], asked.size)
    if grid is None:
        raise misused(
            f"--size is too small for a page of {len(items)} pictures: {LEAST} points each at least, and their words"
        )
    about = subject.assembly.name if asked.frame is None else f"{subject.assembly.name}, {asked.frame.name}"
    with _studio(subject, grid.cell) as studio:
        said = count(len(items), "step" if asked.many == "steps" else "finding")
        made = page(grid, f"{about}: {said}", _below(subject, asked.many), _taken(studio, subject, items, tell))
    return encoded(made.picture())


def _taken(
    studio: Studio, subject: PicturedBoat, items: Iterable[tuple[int, Step | Finding]], tell: Callable[[str], None]
) -> Iterator[Small]:
    for number, item in items:
        if isinstance(item, Step):
            tell(f"step {number}")
            canvas, colour = step_picture(studio, subject, item, captioned=False), INK
        else:
            tell(f"finding {number}")
            canvas, colour = closing_in(studio, subject, number, captioned=False), badge_colour(item)
        yield Small(number=number, colour=colour, picture=canvas.picture())


def _title(item: Step | Finding) -> str:
    if isinstance(item, Step):
        return f"{item.title} (F{item.frame})" if item.frame and item.stage == "bench" else item.title
    waived = "waived: " if item.waived else ""
    return f"{waived}{item.message}"


def _below(subject: PicturedBoat, many: Many) -> str:
    if many == "steps":
        return "on the bench frame by frame, then setting up; what is added stands off its place, an arrow on its way"
    errors = sum(f.level is Level.ERROR and not f.waived for f in subject.findings)
    warnings = sum(f.level is Level.WARNING and not f.waived for f in subject.findings)
    return f"{count(errors, 'error')}, {count(warnings, 'warning')}"


def _studio(subject: PicturedBoat, size: tuple[int, int]) -> Studio:
    stations = [frame.placement.station for frame in subject.assembly.frames]
    return Studio(bodies_of(subject.assembly), size, stations)
