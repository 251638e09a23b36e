"""`scrieve begin`: a first plan for drawings that exist."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.beginning import Begun
from scrieve.model.beginning import begin as begun_plan
from scrieve.model.beginning.layer_taken import LayerTaken
from scrieve.model.plan.plan_place import PLAN_NAME
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.errors import UseError
from scrieve.shared.whole_files import same_file

from ..reports.style import count, plain
from ..system.endings import Ending
from ..system.terminal import say_lines
from ..system.written import may_write, write_whole

_SIZES = 3  # of a layer that are shown
_WIDE = 20  # signs of the text that is
_MIXED = "A plan goes by layers, not by colours: draw core, plates, legs and battens each on a layer of its own."


def begin(
    folder: Annotated[str, Parameter(help="The folder of the drawings, those in folders below too.")],
    /,
    *,
    output: Annotated[
        str | None, Parameter(help="Write the plan to this file instead of FOLDER/plan.toml.", metavar="FILE")
    ] = None,
    replace: Annotated[bool, Parameter(help="Write over a plan that is there.", show_default=False)] = False,
) -> Ending:
    """The ending, after the plan was written, and said what it was taken from and what is left to fill in."""
    out = output if output is not None else str(Path(folder) / PLAN_NAME)
    if Path(folder).is_dir():
        may_write(out, replace=replace)
    begun = begun_plan(Path(folder), Path(out).parent)
    if any(same_file(Path(out).resolve(), drawing) for drawing in begun.drawings):
        raise UseError.at("cannot be written: it is one of the drawings", path=out)
    write_whole(out, begun.text, replace=replace)
    say_lines([*_told(begun), "", f"wrote {plain(out)}", *_left(begun, out)], quiet=FIT_ONLY)
    return Ending.CLEAN


def _told(begun: Begun) -> Iterator[str]:
    yield from _table(
        ("layer", "objects", "taken for", "why"),
        [(layer.layer, _objects(layer), _taken(layer, begun), layer.because) for layer in begun.layers],
    )
    yield ""
    yield from _table(
        ("frame", "drawing", "number from", "origin"),
        [(f.number, f.drawing, f.because, "{:.6g}, {:.6g} mm".format(*f.found.origin)) for f in begun.frames],
    )
    if begun.views:
        yield f"{count(begun.views, 'other view')} of these frames {'is' if begun.views == 1 else 'are'} left out."
    if begun.sheets:
        yield ""
        rows = [(s.shown, begun.stock_of[s.shown], ", ".join(sorted(s.layers))) for s in begun.sheets]
        yield from _table(("cut sheet", "stock", "parts of"), rows)
    if begun.rest:
        yield ""
        yield f"Left out, as they show neither frames nor their parts: {plain(', '.join(begun.rest))}"
    for layer in begun.layers:
        if layer.mixed:
            yield ""
            yield f"{layer.mixed} outlines on layer {plain(layer.layer)} lie over others of it. {_MIXED}"
    if begun.nameless:
        yield ""
        yield f"{count(begun.nameless, 'batten section')} without a name: write one into each."


def _objects(layer: LayerTaken) -> str:
    sizes = " of " + ", ".join(f"{size:g}" for size in layer.diameters[:_SIZES]) + " mm"
    counts = [count(many, what) + (sizes if what == "circle" else "") for what, many in layer.counts.items()]
    said = plain(layer.texts[0]) if layer.texts else ""
    shown = f'"{said[:_WIDE]}{"…" if len(said) > _WIDE else ""}"{", …" if len(layer.texts) > 1 else ""}'
    return (", ".join(counts) or "bent lines") + (f": {shown}" if said else "")


def _taken(layer: LayerTaken, begun: Begun) -> str:
    if not layer.makes:
        return "nothing"
    what = {"leg": "legs", "gusset": "gussets", "": "parts"}[layer.role] if layer.makes == "part" else f"{layer.makes}s"
    face = {"core": ", core", "both": ", both faces", "": ""}.get(layer.face, f", {layer.face} face")
    stock = f", {begun.stock_of[layer.layer]}" if layer.layer in begun.stock_of else ""
    return what + face + stock + (f" from {layer.driven_from}" if layer.driven_from else "")


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """The rows in columns, the last as long as it likes."""
    shown = [[plain(cell) for cell in row] for row in (head, *rows)]
    wide = [max(len(row[n]) for row in shown) for n in range(len(head) - 1)]
    for row in shown:
        yield "  ".join([*(f"{cell:<{w}}" for cell, w in zip(row, wide, strict=False)), row[-1]])


def _left(begun: Begun, out: str) -> list[str]:
    """What the designer has to fill in, and how to see it."""
    many: dict[tuple[str, str], int] = Counter((path.split(".")[0], path.split(".")[-1]) for path in begun.blanks)
    rails = [key for table, key in many if table == "strongback"]
    said = [f"the {' and '.join(filter(None, [', '.join(rails[:-1]), rails[-1]]))} of the rails"] if rails else []
    nouns = {"stock": "stock", "screws": "screw size", "battens": "batten", "frames": "frame"}
    said += [f"the {key} of {count(n, nouns[table])}" for (table, key), n in many.items() if table in nouns]
    where = str(Path(out).parent) if Path(out).name == PLAN_NAME else out
    return [
        f"Left to fill in: {'; '.join(said)}." if said else "Nothing is left to fill in.",
        f"Look over each guess in it; then: scrieve check {plain(where)}",
    ]
