"""`scrieve book`: the builder's book as one HTML file, and printed."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path, PurePath
from typing import Annotated, Literal

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.checks import CHECKS
from scrieve.model.diagnosis.examine import examine
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import UseError

from ..paper.book.book import book_html
from ..paper.book.style import on_paper
from ..paper.book.templates import templates_html
from ..paper.book.unsound import unsound
from ..reports.style import plain
from ..system.browser import find_browser, printed
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import say_lines
from ..system.written import keep_off, may_write, write_all
from .misuse import got

VERB = "scrieve book"


def book(
    plan: Annotated[str, Parameter(help="The plan's folder, or its file.")],
    out: Annotated[str, Parameter(help="The book to write, its name ending in .html.")],
    /,
    *,
    pdf: Annotated[
        bool, Parameter(help="Print it as well, to a PDF of the same name beside it.", show_default=False)
    ] = False,
    templates: Annotated[
        bool,
        Parameter(help="Instead of the book the parts at full size, over sheets of paper.", show_default=False),
    ] = False,
    frame: Annotated[
        str | None, Parameter(help="With --templates: only the parts of this frame.", metavar="NUMBER")
    ] = None,
    paper: Annotated[Literal["a4", "letter"], Parameter(help="The paper of the PDF.")] = "a4",
    replace: Annotated[bool, Parameter(help="Write over files that are there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the book was written. Raises UseError where it cannot be, or no browser prints it."""
    if PurePath(out).suffix.lower() not in (".html", ".htm"):
        raise UseError.at("the book is a page for browsers: a name ending in .html is wanted", path=out)
    if frame is not None and not templates:
        raise UseError.at("--frame goes with --templates", path=VERB)
    beside = str(PurePath(out).with_suffix(".pdf"))
    names = [out, beside] if pdf else [out]
    for name in names:
        may_write(name, replace=replace)
    browser = find_browser(verb=VERB) if pdf else ""
    with ProgressBar(sys.stderr) as progress:
        read = read_plan(Path(plan))
        for name in names:
            keep_off(name, read)
        progress.expect(len(read.frames) + len(CHECKS) + (3 if pdf else 2))
        assembly = assemble(read, progress=progress.tell)
        findings = examine(assembly, today=date.today(), progress=progress.tell)
        progress.tell("steps")
        if templates:
            page = templates_html(assembly, _frames(assembly, frame), plan=plan, findings=findings)
        else:
            page = book_html(assembly, steps_of(assembly, file=str(read.file)), plan=plan, findings=findings)
        progress.tell("pages")
        files: dict[str, str | bytes] = {out: page}
        if pdf:
            progress.tell("printing")
            files[beside] = printed(on_paper(page, paper), browser, verb=VERB)
    write_all(files, replace=replace)
    said = unsound(findings, plan)
    say_lines([*(f"wrote {plain(name)}" for name in names), *([plain(said)] if said else [])], quiet=FIT_ONLY)
    return Ending.CLEAN


def _frames(assembly: Assembly, number: str | None) -> Sequence[Frame]:
    """All frames, or the one of this number. Raises UseError where there is none."""
    frames = {frame.number: frame for frame in assembly.frames}
    if number is None:
        return assembly.frames
    if number.removeprefix("F") not in frames:
        raise UseError.at(f"--frame must name a frame {got(number, frames)}", path=VERB)
    return (frames[number.removeprefix("F")],)
