"""`scrieve export`: the boat for other programs. What the extra brings is loaded for GLB and STL alone."""

from __future__ import annotations

from collections import Counter
from importlib import import_module
from pathlib import Path, PurePath
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import UseError

from ..exchange.print_package import print_package
from ..exchange.solids import solids_of
from ..reports.style import count, plain
from ..system.endings import Ending
from ..system.extra import from_extra, have_extra
from ..system.terminal import say_lines
from ..system.written import keep_off, may_write, write_whole

_AXES = {
    ".glb": "in metres, y up, z forward, x to port",
    ".stl": "in millimetres, x forward, y to port, z up; without dowels, which belong to the assembly board",
    ".3mf": "in millimetres, x forward, y to port, z up",
}
_VERB = "scrieve export"
_INSTEAD = "a name ending in .3mf wants nothing more"


def export(
    plan: Annotated[str, Parameter(help="The plan's folder, or its file.")],
    out: Annotated[str, Parameter(help="The file to write, its name ending in .glb, .stl or .3mf.")],
    /,
    *,
    replace: Annotated[bool, Parameter(help="Write over a file that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the file was written. Raises UseError for another ending of the name, or without the extra."""
    suffix = PurePath(out).suffix.lower()
    if suffix not in _AXES:
        raise UseError.at(f'a name ending in .glb, .stl or .3mf is wanted (got "{plain(suffix)}")', path=out)
    may_write(out, replace=replace)
    if suffix != ".3mf":
        have_extra(("trimesh",), verb=_VERB, extra="export", instead=_INSTEAD)
    read = read_plan(Path(plan))
    keep_off(out, read)
    assembly = assemble(read)
    solids = tuple(solid for solid in solids_of(assembly) if suffix != ".stl" or solid.kind != "dowel")
    if not solids:
        raise UseError.at("nothing of this boat has a solid: there is nothing to write", path=plan)
    if suffix == ".3mf":
        made = print_package(assembly.name, solids)
    else:
        with from_extra(verb=_VERB, extra="export", instead=_INSTEAD):
            meshes = import_module("..exchange.meshes", __package__)
        made = meshes.glb(assembly.name, solids) if suffix == ".glb" else meshes.stl(solids)
    write_whole(out, made, replace=replace)
    kinds = Counter(solid.kind if solid.kind in ("screw", "dowel", "batten", "rail") else "part" for solid in solids)
    many = ", ".join(count(number, kind) for kind, number in kinds.items())
    say_lines([f"wrote {plain(out)}: {many}", _AXES[suffix]], quiet=FIT_ONLY)
    return Ending.CLEAN
