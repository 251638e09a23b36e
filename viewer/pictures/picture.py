"""The picture that is asked for, as the bytes of a PNG. Needs the extra `window`, and OpenGL; no screen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from scrieve.model.sequence.steps import Step
from scrieve.shared.findings import Finding, Level

from ..marks.colours import INK
from ..marks.forms import badge_colour
from ..reports.style import count
from ..scene.bodies import bodies_of
from .canvas import encoded
from .closing_in import closing_in
from .pages import LEAST, Small, grid_of, page
from .stepping import step_picture
from .studio import Studio
from .subject import Asked, Many, PicturedBoat, misused
from .whole import framed, whole_boat

SIZE = (1600, 1000)
"""points; a picture, if no other size is asked for."""


def picture(subject: PicturedBoat, asked: Asked, tell: Callable[[str], None]) -> bytes:
    """The picture as PNG; `tell` is told what of a page comes next. Raises UseError where its words find no room."""
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
