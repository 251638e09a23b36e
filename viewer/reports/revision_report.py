"""What is different between two states of a plan, as text and as JSON."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict

from scrieve.model.revision.part_changes import PartChange
from scrieve.model.revision.revision import DrillChange, Revision
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Finding
from scrieve.shared.wording import trimmed

from .fold import folded, in_a_line
from .json_report import finding_json, lines_of, number, place
from .style import Style, count, plain

VERSION = 1
_MANY = 8  # parts of a frame that are new or gone from which on they are one row


def revision_text(found: Revision, old: str, new: str, style: Style) -> str:
    """What has to be cut anew first, then what is otherwise different, and the findings that came and went."""
    swapped = {number for pair in found.exchanged for number in pair}
    cut = [part for part in found.parts if part.cut and part.frame not in swapped]
    title = f"{plain(old)} to {plain(new)}: {_title(found, cut)}"
    out = style.lines(title, rest="  ", sign="strong")
    sections: tuple[tuple[str, Iterable[str]], ...] = (
        ("Parts", _table(list(_parts(cut)))),
        ("Sheets to cut again", _table([(each.sheet, _few(each.parts), "") for each in found.sheets])),
        (
            "Cut as before, in another place",
            _table([(p.name, _change(p), "") for p in found.parts if not p.cut and p.frame not in swapped]),
        ),
        ("Holes", [_drill(each) for each in found.drilled if each.frame not in swapped]),
        (
            "The plan",
            _table([(each.key, f"{each.old or 'not set'} -> {each.new or 'not set'}", "") for each in found.keys]),
        ),
        (f"Findings that came: {len(found.came)}", _findings(found.came)),
        (f"Findings that went: {len(found.went)}", _findings(found.went)),
    )
    for heading, rows in sections:
        lines = [line for row in rows for line in style.lines(row, first="  ", rest="    ")]
        out += ["", style.paint(heading, "strong"), *lines] if lines else []
    return "\n".join([*out, "", *style.lines(FIT_ONLY, sign="quiet")]) + "\n"


def revision_json(found: Revision, old: str, new: str) -> str:
    """The same as {"version", "old", "new", "cut_anew", "exchanged", "parts", "sheets", "holes", "keys", "came",
    "went"}.

    `exchanged` are pairs of frames, by number, of which each has the drawing that the other had. A part has its
    `change` ("new", "gone", "changed", "moved"), whether it is to be `cut`, by how much its outline is `off`, mm, and
    `at` which point in hull axes. Findings are as `check --format json` has them.
    """
    head = {"version": VERSION, "old": old, "new": new, "cut_anew": found.is_cut_anew}
    parts = [
        {**asdict(part), "cut": part.cut, "off": number(part.off), "moved": number(part.moved), "at": place(part.at)}
        for part in found.parts
    ]
    holes = [{**asdict(each), "off": number(each.off)} for each in found.drilled]
    lists = {
        "exchanged": found.exchanged,
        "parts": parts,
        "sheets": [asdict(each) for each in found.sheets],
        "holes": holes,
        "keys": [asdict(each) for each in found.keys],
        "came": [finding_json(each, {}) for each in found.came],
        "went": [finding_json(each, {}) for each in found.went],
    }
    told = [f"  {json.dumps(key)}: {json.dumps(value)}" for key, value in head.items()]
    told += [f"  {json.dumps(key)}: {lines_of(values, 4)}" for key, values in lists.items()]
    return "{\n" + ",\n".join(told) + "\n}\n"


def _title(found: Revision, cut: Sequence[PartChange]) -> str:
    if not found.is_cut_anew:
        return "all that was cut is as it was"
    swaps = [f"the drawings of F{plain(one)} and F{plain(other)} are exchanged" for one, other in found.exchanged]
    if swaps and not cut:
        return "; ".join(swaps)
    many = {kind: sum(part.change == kind for part in cut) for kind in ("changed", "new", "gone")}
    said = [*swaps, f"{count(many['changed'], 'part')} changed"]
    said += [f"{many[kind]} {kind}" for kind in ("new", "gone") if many[kind]]
    sheets = f"; {count(len(found.sheets), 'sheet')} to cut again" if found.sheets else ""
    return f"{', '.join(said)}{sheets}"


def _parts(cut: Sequence[PartChange]) -> Iterator[tuple[str, str, str]]:
    """A row a part; one for many of a frame that are all new, or all gone."""
    alike = Counter((part.frame, part.change) for part in cut)
    told = set()
    for part in cut:
        key = part.frame, part.change
        if part.change == "changed" or alike[key] < _MANY:
            yield part.name, _change(part), ", ".join(part.sheets)
        elif key not in told:
            told.add(key)
            sheets = dict.fromkeys(sheet for each in cut if (each.frame, each.change) == key for sheet in each.sheets)
            yield f"F{part.frame}, {alike[key]} parts", part.change, ", ".join(sheets)


def _change(part: PartChange) -> str:
    words = list(part.otherwise)
    if part.off:
        x, y, z = (trimmed(value, 1) for value in part.at or ())
        words.insert(0, f"differs by {trimmed(part.off, 2)} mm at x {x}, y {y}, z {z}")
    if part.change == "moved":
        words.append(f"{trimmed(part.moved, 2)} mm from where it was")
    return "; ".join(words) or part.change


def _drill(each: DrillChange) -> str:
    said = [f"{each.moved} moved, up to {trimmed(each.off, 2)} mm"] if each.moved else []
    said += [f"{many} {kind}" for kind, many in (("new", each.new), ("gone", each.gone)) if many]
    return f"F{plain(each.frame)} {each.kind}s: {'; '.join(said)}"


def _findings(findings: Sequence[Finding]) -> Iterator[str]:
    roots = [each for each in findings if each.because is None]
    yield from (f"{fold.first.level}  {in_a_line(fold)}" for fold in folded(roots))
    if many := len(findings) - len(roots):
        yield f"{count(many, 'other')} of them follow from others"


def _few(names: Sequence[str], most: int = 6) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def _table(rows: Sequence[tuple[str, str, str]]) -> Iterator[str]:
    rows = [(plain(row[0]), plain(row[1]), plain(row[2])) for row in rows]
    widths = [max((len(row[n]) for row in rows), default=0) for n in range(2)]
    return ("  ".join([*map(str.ljust, row, widths), row[2]]).rstrip() for row in rows)
