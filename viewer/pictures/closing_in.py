"""A finding close up: what it is about, what two things share or lack, and its measure drawn in."""

from __future__ import annotations

from scrieve.shared.findings import Finding

from ..scene.close_up import close_up
from ..scene.forms import form_of
from ..scene.looks import INK, PAPER
from ..scene.measured import measured_words
from ..scene.sides import MARGIN, Room
from ..scene.telling import place_words, telling
from .canvas import Canvas
from .captions import caption, height
from .close_words import Page
from .studio import Studio
from .subject import Subject, letters


def closing_in(studio: Studio, subject: Subject, number: int, *, captioned: bool = True) -> Canvas:
    """The picture of a finding by its number; of what it names, or of the boat, where it has no place."""
    finding = subject.findings[number - 1]
    size = letters(studio.size)
    title, lines = _words(number, finding)
    foot = height(title, lines, size, studio.size[0]) if captioned else 0.0
    room = Room(bottom=MARGIN + foot / studio.size[1])
    close = close_up(finding, studio.bodies, subject.assembly, studio.aspect, room)
    if close is None:
        canvas = _without_place(studio, subject, finding)
        if captioned:
            caption(canvas, title, lines, size)
        return canvas
    view = close.view
    told = telling(finding, close, studio.bodies, subject.assembly, rest="hidden")
    screws = [n for n in (*close.bodies, *close.also) if studio.bodies[n].kind == "screw"]
    studio.stand(told.states, edged=screws, clear=told.clear, seconds=told.seconds, datum=False)
    studio.signpost.show(close.signs, [close.pieces[n] for n in sorted(close.pieces)], close.shared, view)
    canvas = studio.taken(view)
    page = Page(canvas=canvas, studio=studio, view=view, size=size, low=canvas.height - foot)
    words = measured_words(finding)
    if close.gap is not None:
        page.dimension(close.gap, words if close.measures else "")
    elif not close.signs.arrows and not close.signs.ghosts and close.shared is None and not close.signs.inked:
        (at,) = studio.places(view, [close.at])
        canvas.mark(form_of(finding), at, 1.3 * size, 0.2 * size)
    if not close.measures and words:
        page.measure_beside(close.at, words)
    page.names(finding, close)
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


def _without_place(studio: Studio, subject: Subject, finding: Finding) -> Canvas:
    """The parts that it names in the whole boat, or the whole boat."""
    told = telling(finding, None, studio.bodies, subject.assembly, rest="faded")
    named = [studio.scene.number[name] for name in finding.parts if name in studio.scene.number]
    studio.stand(told.states, edged=named)
    canvas = studio.taken(studio.view("bow"))
    size = letters(studio.size)
    canvas.words((canvas.width / 2, 2.6 * size), place_words(finding), 1.1 * size, INK, anchor="mm", halo=PAPER)
    return canvas


def _cover(canvas: Canvas, foot: float) -> None:
    """Paper under the words."""
    canvas.box(0.0, canvas.height - foot, canvas.width, canvas.height, PAPER, opacity=0.93)
