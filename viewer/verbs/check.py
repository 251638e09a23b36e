"""`scrieve check`: the findings of one plan or several."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from importlib import import_module
from pathlib import Path, PurePath
from types import ModuleType
from typing import Annotated, Literal

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.mending.advice import advised
from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_reader import read_plan, remeasured
from scrieve.shared.errors import Mistake, ScrieveError, UseError
from scrieve.shared.findings import Level
from scrieve.shared.whole_files import same_file

from ..reports.formats import TELL_UNREAD, Format, written_as
from ..reports.report import Report
from ..reports.style import Style
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import complain, remark, say, style_of
from ..system.written import keep_off, keep_off_unread, may_write, write_all
from .measured_stock import measured_stock, readings
from .misuse import got


def check(
    *plans: Annotated[str, Parameter(help="Plan folders, or plan files.")],
    form: Annotated[Format, Parameter(name="--format", help="What to write: for eyes, or for machines.")] = "text",
    output: Annotated[str | None, Parameter(help="Write to this file instead of the terminal.", metavar="FILE")] = None,
    replace: Annotated[
        bool, Parameter(help="Let --output, --cure and --html write over a file.", show_default=False)
    ] = False,
    cure: Annotated[
        str | None,
        Parameter(
            help="Write the cures that are plain changes to this drawing (.dxf) or table (.csv).", metavar="FILE"
        ),
    ] = None,
    html: Annotated[
        str | None,
        Parameter(help="Write the findings, each drawn where it is, to this page (.html).", metavar="FILE"),
    ] = None,
    fail_on: Annotated[
        Literal["error", "warning", "note", "never"],
        Parameter(help="End 1 if there is a finding of this level or worse; waived ones do not count."),
    ] = "error",
    every: Annotated[
        bool, Parameter(name="--all", help="List each finding; else those that read alike are one.", show_default=False)
    ] = False,
    only: Annotated[
        tuple[str, ...],
        Parameter(help="Run these checks only; more by commas or repeated.", metavar="CHECK", show_default=False),
    ] = (),
    skip: Annotated[
        tuple[str, ...],
        Parameter(help="Leave these checks out; more by commas or repeated.", metavar="CHECK", show_default=False),
    ] = (),
    measured: Annotated[
        tuple[str, ...],
        Parameter(
            help="Take a stock for so thick, as ply12=11.6, whatever the plan says; more by commas or repeated.",
            metavar="STOCK=LENGTH",
            show_default=False,
        ),
    ] = (),
    tolerance: Annotated[
        bool,
        Parameter(
            help="Try stock that is not measured at both ends of its standard's band too, and a worn cutter and screws "
            "set out off; say what comes and how much room is left. What comes counts for the ending.",
            show_default=False,
        ),
    ] = False,
) -> Ending:
    """The ending, after the findings of all plans that could be read were written.

    A plan that cannot be read hides nothing of the others: why is on stderr, and the ending is `COULD_NOT`.
    Where none could be read, only a format that has a place for such plans is written. Raises UseError for what
    cannot be asked. The files of --output, --cure and --html are all written, or none.
    """
    if not plans:
        raise UseError.at("name at least one plan, a folder or a file", path="scrieve check")
    ran = chosen("scrieve check", only, skip)
    given = measured_stock(measured)
    if output is not None:
        may_write(output, replace=replace)
    if cure is not None:
        _cures().may_cure(cure, plans, output=output, replace=replace)
    if html is not None:
        _may_show(html, plans, [output, cure], replace=replace)
    threshold = None if fail_on == "never" else Level(fail_on)
    reports: list[Report] = []
    boats: list[tuple[Plan, Assembly]] = []
    errors: dict[str, ScrieveError] = {}
    with ProgressBar(sys.stderr) as progress:
        for plan in plans:
            try:
                report, read, boat = _examined(plan, ran, given, progress, tolerance=tolerance)
                reports.append(report)
                boats.append((read, boat))
            except ScrieveError as error:
                errors[plan] = error
    for target in (output, cure, html):
        if target is not None:
            for read, _ in boats:
                keep_off(target, read)
            for plan in errors:
                keep_off_unread(target, plan)
    files: dict[str, str | bytes] = {}
    done: list[str] = []
    if reports or form in TELL_UNREAD:
        style = Style() if output is not None else style_of(sys.stdout)
        unread = {plan: cause.mistakes for plan, cause in errors.items()}
        text = written_as(
            form, reports, unread=unread, several=len(plans) > 1, fails_on=threshold, style=style, every=every
        )
        if output is not None:
            files[output], done = text, [f"wrote {output}"]
        else:
            say(text)
    if cure is not None and reports:
        files[cure], held = _cures().cure_file(cure, *boats[0], reports[0].findings)
        done.append(f"wrote {cure}: {held}")
    if html is not None and reports:
        files[html] = import_module("..paper.book.findings", __package__).findings_html(
            boats[0][1], reports[0].with_tolerance()
        )
        done.append(f"wrote {html}")
    write_all(files, replace=replace)
    if measured and form not in ("text", "json"):  # which say it themselves
        done.append(f"checked with {', '.join(measured)}, whatever the plan says")
    for line in done:
        remark(line)
    for cause in errors.values():
        complain(cause)
    if errors:
        return Ending.COULD_NOT
    return Ending.FINDINGS if any(report.fails(threshold) for report in reports) else Ending.CLEAN


def _examined(
    plan: str, ran: tuple[str, ...], given: Mapping[str, str], progress: ProgressBar, *, tolerance: bool
) -> tuple[Report, Plan, Assembly]:
    """The report on one plan, the plan and its boat. Raises what reading and setting up raise."""
    read = read_plan(Path(plan))
    if given:
        read = remeasured(read, readings(given, read))
    progress.expect(len(read.frames) + len(ran))
    assembly = assemble(read, progress=progress.tell)
    findings = advised(assembly, only=ran, today=date.today(), progress=progress.tell)
    left_out = [slug for slug in CHECKS if slug not in ran]
    tried = None
    if tolerance:
        beyond = import_module("scrieve.model.tolerance.tolerance")
        progress.expect(beyond.readings_of(assembly))
        tried = beyond.tolerance(assembly, ran, today=date.today(), progress=progress.tell)
    report = Report.of(assembly, findings, plan=plan, ran=ran, left_out=left_out, tolerance=tried)
    return report, read, assembly


def _cures() -> ModuleType:
    """What `--cure` needs, loaded for it alone."""
    return import_module("..dxf.cure_file", __package__)


def _may_show(path: str, plans: Sequence[str], others: Sequence[str | None], *, replace: bool) -> None:
    """Raises UseError where such a page cannot be written: for several plans, of another kind, over another."""
    if len(plans) > 1:
        raise UseError.at("--html takes one plan at a time", path=path)
    if PurePath(path).suffix.lower() not in (".html", ".htm"):
        raise UseError.at("--html writes a page for browsers: a name ending in .html is wanted", path=path)
    target = may_write(path, replace=replace)
    if any(other is not None and same_file(target, Path(other).resolve()) for other in others):
        raise UseError.at("--html wants a file of its own", path=path)


def chosen(verb: str, only: Iterable[str], skip: Iterable[str] = ()) -> tuple[str, ...]:
    """The slugs of the checks to run. Raises UseError, as `verb`'s, for unknown ones and for none at all."""
    wanted, unwanted = _named(only), _named(skip)
    mistakes = [
        Mistake(path=verb, what=f"{option} must name a check {got(word, CHECKS)}")
        for option, words in (("--only", wanted), ("--skip", unwanted))
        for word in words
        if word not in CHECKS
    ]
    mistakes += [
        Mistake(path=verb, what=f'{option} must name a check (got "{word}")')
        for option, words in (("--only", only), ("--skip", skip))
        for word in words
        if not _named([word])
    ]
    ran = tuple(slug for slug in CHECKS if (not wanted or slug in wanted) and slug not in unwanted)
    if not mistakes and not ran:
        mistakes.append(Mistake(path=verb, what="--skip leaves no check to run"))
    if mistakes:
        raise UseError(mistakes)
    return ran


def _named(options: Iterable[str]) -> list[str]:
    return [word for option in options for word in (part.strip() for part in option.split(",")) if word]
