"""`scrieve book`: the builder's book as one HTML file, and printed."""

from __future__ import annotations

import sys
from pathlib import Path, PurePath
from typing import Annotated, Literal

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import UseError

from ..paper.book.book import book_html
from ..reports.style import plain
from ..system.browser import find_browser, printed
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import say_lines
from ..system.written import keep_off, may_write, write_all

VERB = "scrieve book"


def book(
    plan: Annotated[str, Parameter(help="The plan's folder, or its file.")],
    out: Annotated[str, Parameter(help="The book to write, its name ending in .html.")],
    /,
    *,
    pdf: Annotated[
        bool, Parameter(help="Print it as well, to a PDF of the same name beside it.", show_default=False)
    ] = False,
    paper: Annotated[Literal["a4", "letter"], Parameter(help="The paper of the PDF.")] = "a4",
    replace: Annotated[bool, Parameter(help="Write over files that are there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the book was written. Raises UseError where it cannot be, or no browser prints it."""
    if PurePath(out).suffix.lower() not in (".html", ".htm"):
        raise UseError.at("the book is a page for browsers: a name ending in .html is wanted", path=out)
    beside = str(PurePath(out).with_suffix(".pdf"))
    names = [out, beside] if pdf else [out]
    for name in names:
        may_write(name, replace=replace)
    browser = find_browser(verb=VERB) if pdf else ""
    with ProgressBar(sys.stderr) as progress:
        read = read_plan(Path(plan))
        for name in names:
            keep_off(name, read)
        progress.expect(len(read.frames) + (3 if pdf else 2))
        assembly = assemble(read, progress=progress.tell)
        progress.tell("steps")
        steps = steps_of(assembly, file=str(read.file))
        progress.tell("pages")
        files: dict[str, str | bytes] = {out: book_html(assembly, steps, plan=plan)}
        if pdf:
            progress.tell("printing")
            files[beside] = printed(book_html(assembly, steps, plan=plan, paper=paper), browser, verb=VERB)
    write_all(files, replace=replace)
    say_lines([f"wrote {plain(name)}" for name in names], quiet=FIT_ONLY)
    return Ending.CLEAN
