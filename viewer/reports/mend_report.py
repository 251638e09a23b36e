"""What `scrieve mend` changed, object by object, and what it left: as text and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from math import ceil, log10

from scrieve.model.mending.mend import Mended
from scrieve.model.plan.toml_words import dotted
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.edits import Edit, OfDrawing, Relabel, Reshape, SetKey, Spot
from scrieve.shared.findings import Finding, Level
from scrieve.shared.units import MM_PER_UNIT
from scrieve.shared.wording import written

from .cure_table import Row, rows_of
from .edits_json import edit_json
from .fold import Fold, folded, in_a_line
from .json_report import finding_json, lines_of
from .style import Style, count, plain

VERSION = 1
_HANDLES = 3  # of one thing that are named


def mend_text(mended: Mended, plan: str, folder: str, style: Style) -> str:
    """The changes by the finding that went, those that are left by why, and what was written where."""
    out = [*style.lines(f"{plain(mended.boat.name)} ({plain(plan)}): {_counted(mended)}", rest="  ", sign="strong"), ""]
    rows = [[row for edit in change.edits for row in _rows(edit, change.was)] for change in mended.changes]
    widths = [max((len(row[n]) for own in rows for row in own), default=0) for n in range(3)]
    for change, own in zip(mended.changes, rows, strict=True):
        out += style.lines(in_a_line(Fold(findings=(change.finding,))), rest="  ")
        out += ["  " + "  ".join([*map(str.ljust, row, widths), row[3]]) for row in own]
    out += [""] if mended.changes else []
    by_why: dict[str, list[Finding]] = {}
    for left in mended.left:
        by_why.setdefault(left.why, []).append(left.finding)
    for why, findings in by_why.items():
        out += style.lines(f"Left, as {plain(why)}:", sign="strong")
        for fold in folded(findings):
            out += style.lines(f"{fold.first.level}  {in_a_line(fold)}", first="  ", rest="    ")
        out.append("")
    changed = {edit.file if isinstance(edit, SetKey) else edit.target.file for c in mended.changes for edit in c.edits}
    same = len(mended.files) - len(changed)
    others = f", {count(same, 'other')} as they were" if same > 1 else ", one other as it was" if same else ""
    out += style.lines(f"wrote {plain(folder)}: {count(len(changed), 'changed file')}{others}")
    out += style.lines(f"To see what is left: scrieve check {plain(folder)}") if mended.left else []
    return "\n".join([*out, *style.lines(FIT_ONLY, sign="quiet")]) + "\n"


def mend_json(mended: Mended, plan: str, folder: str) -> str:
    """The same as {"version", "plan", "folder", "rounds", "given_up", "changes": [...], "left": [...]}.

    A change is the `finding` that went, as `check --format json` has it, and its `edits`; what is left has its `why`.
    """
    places = {id(each): n for n, each in enumerate(mended.findings)}
    changes = [
        {"finding": finding_json(change.finding, {}), "edits": [edit_json(edit) for edit in change.edits]}
        for change in mended.changes
    ]
    left = [{"finding": finding_json(each.finding, places), "why": each.why} for each in mended.left]
    head = {"version": VERSION, "plan": plan, "folder": folder, "rounds": mended.rounds, "given_up": mended.given_up}
    told = "".join(f"  {json.dumps(key)}: {json.dumps(value)},\n" for key, value in head.items())
    return f'{{\n{told}  "changes": {lines_of(changes, 4)},\n  "left": {lines_of(left, 4)}\n}}\n'


def _counted(mended: Mended) -> str:
    levels = [each.finding.level for each in mended.left]
    left = f"{count(levels.count(Level.ERROR), 'error')} and {count(levels.count(Level.WARNING), 'warning')} left"
    more = mended.gone - len(mended.changes)
    besides = f", {more} more with them" if more > 0 else ""
    stopped = "; there was more to try, which was given up" if mended.given_up else ""
    return f"{count(len(mended.changes), 'finding')} mended{besides}, {left}{stopped}"


def _rows(edit: Edit, was: Mapping[Edit, str]) -> Iterator[tuple[str, str, str, str]]:
    """File, thing, what was done, and from where to where."""
    if isinstance(edit, SetKey):
        old = " ".join(was.get(edit, "").split())
        yield plain(edit.file), plain(dotted(edit.key)), "set" if edit.value else "taken out", _way(old, edit.value)
        return
    handles = [*edit.target.handles[:_HANDLES], *(["..."] if len(edit.target.handles) > _HANDLES else [])]
    thing = plain(edit.target.name) + (f" ({', '.join(handles)})" if handles else "")
    places = ceil(log10(MM_PER_UNIT[edit.target.unit])) + 3
    for many, (do, start, end, value, along) in _as_far(edit):
        old, new = _spot(start, places), _spot(end, places)
        if isinstance(edit, Relabel):
            old, new, value = edit.was, value, ""
        more = [value] if value else []
        more += [f"with {', '.join(map(plain, along))}"] if along else []
        more += ["the other" + "s" * (many > 2) + " as far"] if many > 1 else []
        done = f"move {many} corners" if many > 1 else do
        yield plain(edit.target.file), thing, done, "; ".join([_way(old, new), *more])


def _as_far(edit: OfDrawing) -> Iterator[tuple[int, Row]]:
    """The rows of an edit, of corners that go as far the first for all, and how many they are."""
    if not isinstance(edit, Reshape):
        yield from ((1, row) for row in rows_of(edit))
        return
    alike: dict[object, list[Row]] = {}
    for row, (start, end) in zip(rows_of(edit), edit.corners, strict=True):
        alike.setdefault(tuple(round(b - a, 6) for a, b in zip(start, end, strict=True)), []).append(row)
    yield from ((len(rows), rows[0]) for rows in alike.values())


def _way(old: str, new: str) -> str:
    return " -> ".join(plain(each) for each in (old, new) if each)


def _spot(at: Spot | None, places: int) -> str:
    return "" if at is None else ", ".join(written(value, places) for value in at)
