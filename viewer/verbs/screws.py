"""`scrieve screws`: a computed layout of screws for the gussets that have none."""

from __future__ import annotations

from pathlib import Path, PurePath
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.proposals.screws.screws_proposed import (
    Kind,
    Proposal,
    bare_gussets,
    kinds,
    proposal,
    without_proposals,
)
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import UseError

from ..dxf.screws_drawing import by_face, halves, screws_drawing
from ..reports.style import count, plain
from ..system.endings import Ending
from ..system.terminal import say_lines
from ..system.written import keep_off, may_write, write_whole
from .misuse import got


def screws(
    plan: Annotated[str, Parameter(help="The plan, a folder or a file.")],
    out: Annotated[str, Parameter(help="The drawing to write, its name ending in .dxf.")],
    /,
    *,
    screw: Annotated[
        str | None,
        Parameter(help="The kind of screw, as under [screws]; needed where it is in doubt.", metavar="NAME"),
    ] = None,
    replace: Annotated[bool, Parameter(help="Write over a file that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the layout was written and said: `FINDINGS` if a gusset got too few screws, or none.

    Nothing is written where every gusset has screws, or nothing could be laid out. Raises UseError for what cannot
    be asked, and what reading and setting up raise.
    """
    if PurePath(out).suffix.lower() != ".dxf":
        raise UseError.at("the layout is a drawing: a name ending in .dxf is wanted", path=out)
    may_write(out, replace=replace)
    read = read_plan(Path(plan))
    keep_off(out, read)
    if screw is not None and screw not in read.screws:
        raise UseError.at(f"--screw must name a kind of screw of the plan {got(screw, read.screws)}")
    boat = without_proposals(assemble(read))
    some = [frame for frame in boat.frames if bare_gussets(frame)]
    if not some:
        gussets = any(part.role == "gusset" for part in boat.parts())
        none = "every gusset has screws from its own face" if gussets else "the boat has no gussets"
        say_lines([f"{plain(boat.name)}: {none}; nothing to lay out, {plain(out)} was not written"])
        return Ending.CLEAN
    kind = _kind(read, screw, kinds(read, boat.frames), plan)
    found = [proposal(frame, boat, kind.size) for frame in some]
    laid = [each for each in found if each.screws]
    lines = [line for each in found for line in _told(each)]
    if laid:
        write_whole(out, screws_drawing(laid, kind, read.layers), replace=replace)
        lines += [
            "",
            f"wrote {plain(out)}: {count(sum(len(each.screws) for each in laid), 'screw')} ({kind.size.name})",
            "Each frame is a block in the coordinates of its own drawing: insert it there at 0, 0.",
        ]
        half = halves(laid)
        if half:
            names = ", ".join(frame.name for frame in half)
            lines.append(f"Of {names} the port half alone is in it, as in the drawing.")
    else:
        lines += ["", f"No screw could be laid out; {plain(out)} was not written."]
    say_lines([*lines, FIT_ONLY])
    return Ending.FINDINGS if any(each.lacks for each in found) else Ending.CLEAN


def _kind(plan: Plan, asked: str | None, found: tuple[Kind, ...], shown: str) -> Kind:
    """The kind asked for, or the one that there is no doubt about. Raises UseError."""
    if not plan.screws:
        raise UseError.at("names no screws: a table [screws.NAME] with a gauge and a length is wanted", path=shown)
    if asked is not None:
        return Kind(asked, plan.screws[asked].size)
    if len(found) != 1:
        names = ", ".join(each.name for each in found)
        raise UseError.at(f"has several kinds of screw: say which one with --screw NAME (one of {names})", path=shown)
    return found[0]


def _told(each: Proposal) -> list[str]:
    """What one frame got, and what it did not get and why."""
    name = each.frame.name
    faces = ", ".join(f"{n} from {face}" for face, n in by_face(each).items() if n)
    got_some = {screw.plies[0].part.name for screw in each.screws}
    many = f"{count(len(each.screws), 'screw')} in {count(len(got_some), 'gusset')}"
    lines = [f"{name}: {many} ({faces})" if faces else f"{name}: {many}"]
    for lack in each.lacks:
        few = f"{lack.got} of {lack.wanted} screws" if lack.got else "no screws"
        lines.append(f"  {plain(lack.gusset)}: {few} into {plain(lack.member)}: {lack.why}")
    idle = sorted(set(each.gussets) - got_some - {lack.gusset for lack in each.lacks})
    lines += [f"  {plain(gusset)}: no screws: it lies on no core part" for gusset in idle]
    return lines
