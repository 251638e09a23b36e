"""`scrieve picture`: a picture of the boat without a screen, or a drawing of a frame in its plane.

The ending of the name says which: what renders is loaded for a picture alone, so that drawings need nothing but
the base install.
"""

from __future__ import annotations

import sys
from contextlib import nullcontext
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.checks import CHECKS
from scrieve.model.mending.advice import advised
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.findings import Level

from ..paper.sheet import A4, frame_sheet
from ..pictures.graphics import Graphics, have_packages, rendering
from ..pictures.subject import VERB, Asked, PicturedBoat, misused
from ..reports.style import plain
from ..scene.sides import Side
from ..system.endings import Ending
from ..system.progress import ProgressBar
from ..system.terminal import say_lines
from ..system.written import keep_off, may_write, write_whole
from .misuse import got
from .picture_wish import FACES, Wish, is_drawing, is_moving, refuse, size_of


def picture(
    plan: Annotated[str, Parameter(help="The plan's folder, or its file.")],
    out: Annotated[
        str, Parameter(help="The picture, .png; the drawing, .svg; or, with --all steps, a moving picture, .webp.")
    ],
    /,
    *,
    frame: Annotated[str | None, Parameter(help="A frame, by its number.", metavar="NUMBER")] = None,
    step: Annotated[
        int | None, Parameter(help="A step of the build, as `scrieve steps` counts them.", metavar="NUMBER")
    ] = None,
    finding: Annotated[
        int | None,
        Parameter(help="A finding close up, by its place in `check --format json`, from 1.", metavar="NUMBER"),
    ] = None,
    many: Annotated[
        Literal["steps", "findings"] | None,
        Parameter(
            name="--all", help="A page of all steps, or of all errors and warnings; with --frame, of that frame."
        ),
    ] = None,
    side: Annotated[Side | None, Parameter(help="From where it is seen; a drawing: from aft or from forward.")] = None,
    size: Annotated[
        str | None, Parameter(help="Width x height: points of a picture, mm of a drawing.", metavar="WxH")
    ] = None,
    bare: Annotated[bool, Parameter(help="Without words and marks.", show_default=False)] = False,
    replace: Annotated[bool, Parameter(help="Write over a file that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the picture was written, or was said to have nothing on it.

    Raises UseError for what cannot be asked, where the extra `window` is not installed and where there is no OpenGL.
    """
    drawing = is_drawing(out)
    wish = Wish(frame, step, finding, many, side, size_of(size), bare)
    refuse(wish, drawing=drawing, moving=is_moving(out))
    may_write(out, replace=replace)
    if not drawing:
        have_packages()
    with nullcontext() if drawing else Graphics() as graphics, ProgressBar(sys.stderr) as progress:
        subject = _read(plan, out, wish, progress)
        asked = _asked(wish, subject, moving=is_moving(out))
        if graphics is None:
            made: str | bytes = _drawing(subject, asked)
        else:
            items = subject.on_page(asked)
            if asked.many is not None and not items:
                what = "no steps" if asked.many == "steps" else "no errors and no warnings"
                where = "" if asked.frame is None else f" in {asked.frame.name}"
                say_lines([f"{plain(subject.assembly.name)}: {what}{where}; {plain(out)} was not written"])
                return Ending.CLEAN
            graphics.use()
            progress.expect(len(items))
            with rendering():
                module = import_module("..pictures.picture", __package__)
                made = module.picture(subject, asked, progress.tell)
    write_whole(out, made, replace=replace)
    hint = f"To see a finding close up: {VERB} {plain(plan)} OUT.png --finding NUMBER"
    say_lines([f"wrote {plain(out)}", *([hint] if subject.marked and not (asked.finding or asked.many) else [])])
    return Ending.CLEAN


def _read(plan: str, out: str, wish: Wish, progress: ProgressBar) -> PicturedBoat:
    """The boat, with findings or steps as far as the wish needs them.

    Raises what reading and setting up raise, and UseError where `out` is the plan's own.
    """
    read = read_plan(Path(plan))
    keep_off(out, read)
    steps = wish.step is not None or wish.many == "steps"
    findings = not steps and not wish.bare
    progress.expect(len(read.frames) + len(CHECKS) * findings + steps + 1)
    assembly = assemble(read, progress=progress.tell)
    today = date.today()
    found = advised(assembly, today=today, progress=progress.tell) if findings else ()
    if steps:
        progress.tell("steps")
    order = steps_of(assembly, file=str(read.file)) if steps else ()
    progress.tell("picture")
    return PicturedBoat(assembly=assembly, seen=read.seen, findings=found, steps=order)


def _asked(wish: Wish, subject: PicturedBoat, *, moving: bool) -> Asked:
    """The wish with its names and numbers looked up. Raises UseError for those that there are not."""
    size = None if wish.size is None else (int(wish.size[0]), int(wish.size[1]))
    if wish.finding is not None:
        _within("--finding", wish.finding, len(subject.findings), "was found")
    if wish.step is not None:
        _within("--step", wish.step, len(subject.steps), "is there to do")
    return Asked(
        frame=None if wish.frame is None else _frame(wish.frame, subject.assembly),
        step=None if wish.step is None else subject.steps[wish.step - 1],
        finding=wish.finding or 0,
        many=wish.many,
        moving=moving,
        side=wish.side,
        size=size,
        bare=wish.bare,
    )


def _within(option: str, number: int, most: int, none: str) -> None:
    if not 1 <= number <= most:
        must = f"must be from 1 to {most}" if most else f"asks for one of nothing: nothing {none}"
        raise misused(f"{option} {must} (got {number})")


def _frame(number: str, assembly: Assembly) -> Frame:
    frames = {frame.number: frame for frame in assembly.frames}
    found = frames.get(number) or frames.get(number.removeprefix("F"))
    if found is None:
        raise misused(f"--frame must name a frame {got(number, frames)}")
    return found


def _drawing(subject: PicturedBoat, asked: Asked) -> str:
    """The SVG of a frame or a finding. Raises UseError for a finding of the whole boat."""
    size = A4 if asked.size is None else (float(asked.size[0]), float(asked.size[1]))
    seen = FACES[asked.side] or subject.seen
    numbered = list(enumerate(subject.findings, start=1))
    if not asked.finding:
        assert asked.frame is not None
        own = [(n, f) for n, f in numbered if f.frame == asked.frame.number and f.level is not Level.NOTE]
        return frame_sheet(subject.assembly, asked.frame, seen, own, size=size)
    number, finding = numbered[asked.finding - 1]
    frame = next((frame for frame in subject.assembly.frames if frame.number == finding.frame), None)
    if frame is None:
        raise misused(
            f"finding {number} ({finding.check}) belongs to no single frame, so it has no drawing: "
            "a name ending in .png is wanted"
        )
    return frame_sheet(subject.assembly, frame, seen, (), chosen=(number, finding), size=size)
