"""A finding close up: what it is about, what two things share or lack, and its measure drawn in."""

from __future__ import annotations

from dataclasses import replace

from scrieve.shared.findings import Finding

from ..marks.colours import INK, PAPER
from ..marks.forms import form_of
from ..marks.measured import measured_words
from ..reports.style import plain
from ..scene.close_up import close_up, subjects_among
from ..scene.highlight import highlight, place_words
from ..scene.sides import MARGIN, Margins
from .canvas import Canvas, wrapped
from .captions import caption
from .close_words import CloseUpCanvas
from .studio import Studio
from .subject import PicturedBoat, letters


def closing_in(studio: Studio, subject: PicturedBoat, number: int, *, captioned: bool = True) -> Canvas:
    """The picture of a finding by its number; of what it names, or of the boat, where it has no place."""
    finding = subject.findings[number - 1]
    size = letters(studio.size)
    said = caption(*finding_words(number, finding), studio.size) if captioned else None
    foot = 0.0 if said is None else said.height
    room = Margins(bottom=MARGIN + foot / studio.size[1])
    close = close_up(finding, studio.bodies, subject.assembly, studio.aspect, room)
    if close is None:
        canvas = _without_place(studio, subject, finding, room)
        if said is not None:
            said.draw(canvas)
        return canvas
    view = close.view
    told = highlight(finding, close, studio.bodies, subject.assembly, rest="hidden")
    screws = [n for n in (*close.bodies, *close.also) if studio.bodies[n].kind == "screw"]
    studio.stand(told.states, edged=screws, clear=told.clear, seconds=told.seconds, datum=False)
    studio.signpost.show(close.signs, [close.pieces[n] for n in sorted(close.pieces)], view)
    canvas = studio.taken(view)
    page = CloseUpCanvas(canvas=canvas, studio=studio, view=view, size=size, low=canvas.height - foot)
    signs, words = close.signs, measured_words(finding.measure)
    if signs.gap is not None:
        page.dimension(signs.gap, words)
    else:
        if not signs.arrows and not signs.ghosts and signs.shared is None:
            (at,) = studio.places(view, [close.at])
            canvas.mark(form_of(finding), at, 1.3 * size, 0.2 * size)
        if words:
            page.measure_beside(close.at, words)
    page.names(finding, close)
    if said is not None:
        _cover(canvas, foot)
        said.draw(canvas)
    return canvas


def finding_words(number: int, finding: Finding) -> tuple[str, list[str]]:
    """The title of a finding's picture, and what goes with it, a line each."""
    frame = f"F{finding.frame}, " if finding.frame else ""
    waived = f", waived: {finding.waived}" if finding.waived else ""
    lines = [finding.message + waived]
    if finding.cure:
        lines.append(f"cure: {finding.cure}")
    return f"{number}. {frame}{finding.check} ({finding.level})", lines


def _without_place(studio: Studio, subject: PicturedBoat, finding: Finding, room: Margins) -> Canvas:
    """The parts that it names in the whole boat, or the whole boat."""
    told = highlight(finding, None, studio.bodies, subject.assembly, rest="faded")
    studio.stand(told.states, edged=subjects_among(finding, studio.bodies))
    size = letters(studio.size)
    rows = wrapped(plain(place_words(finding)), 1.1 * size, studio.size[0] - 2 * size)
    above = (1.6 + 1.5 * len(rows)) * size
    canvas = studio.taken(studio.view("bow", replace(room, top=above / studio.size[1])))
    for n, words in enumerate(rows):
        canvas.words((canvas.width / 2, (2.6 + 1.5 * n) * size), words, 1.1 * size, INK, anchor="mm", halo=PAPER)
    return canvas


def _cover(canvas: Canvas, foot: float) -> None:
    """Paper under the words."""
    canvas.box(0.0, canvas.height - foot, canvas.width, canvas.height, PAPER, opacity=0.93)
