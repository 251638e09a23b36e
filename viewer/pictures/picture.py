"""The picture that is asked for, as the bytes of a PNG. Needs the extra `window`, and OpenGL; no screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PIL import Image

from scrieve.model.sequence.steps import Step
from scrieve.shared.findings import Finding, Level

from ..marks.colours import INK
from ..marks.forms import badge_colour
from ..reports.style import count
from ..scene.bodies import bodies_of
from .canvas import encoded
from .closing_in import closing_in
from .framed import framed
from .grid import LEAST, grid_of
from .misused import misused
from .pages import Small, page
from .stepping import step_picture
from .studio import Studio
from .subject import Asked, Many, PicturedBoat
from .whole import whole_boat

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
        pictures = [
            Small(number=number, colour=_colour(item), take=partial(_taken, studio, subject, *each))
            for each in items
            for number, item in [each]
        ]
        said = count(len(items), asked.many.removesuffix("s"))
        made = page(grid, f"{about}: {said}", _below(subject, asked.many), _told(pictures, asked.many, tell))
    return encoded(made.picture())


def _taken(studio: Studio, subject: PicturedBoat, number: int, item: Step | Finding) -> Image.Image:
    if isinstance(item, Step):
        return step_picture(studio, subject, item, captioned=False).picture()
    return closing_in(studio, subject, number, captioned=False).picture()


def _told(pictures: Sequence[Small], many: Many, tell: Callable[[str], None]) -> Sequence[Small]:
    def take(small: Small) -> Image.Image:
        tell(f"{many.removesuffix('s')} {small.number}")
        return small.take()

    return [Small(number=small.number, colour=small.colour, take=partial(take, small)) for small in pictures]


def _title(item: Step | Finding) -> str:
    if isinstance(item, Step):
        return f"{item.title} (F{item.frame})" if item.frame and item.stage == "bench" else item.title
    waived = "waived: " if item.waived else ""
    return f"{waived}{item.message}"


def _colour(item: Step | Finding) -> str:
    return badge_colour(item) if isinstance(item, Finding) else INK


def _below(subject: PicturedBoat, many: Many) -> str:
    if many == "steps":
        return "on the bench frame by frame, then setting up; what is added stands off its place, an arrow on its way"
    errors = sum(f.level is Level.ERROR and not f.waived for f in subject.findings)
    warnings = sum(f.level is Level.WARNING and not f.waived for f in subject.findings)
    return f"{count(errors, 'error')}, {count(warnings, 'warning')}"


def _studio(subject: PicturedBoat, size: tuple[int, int]) -> Studio:
    stations = [frame.placement.station for frame in subject.assembly.frames]
    return Studio(bodies_of(subject.assembly), size, stations)
