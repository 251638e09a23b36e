"""The report as JSON, for machines.

One plan is one object; several are {"plans": [that, ...]} (a plan that could not be read is not among
them: it is on stderr, and the verb ends 2).

    {"version": 1, "plan": ..., "counts": {"error", "warning", "note", "waived", "held"}, "findings": [
      {"check", "level", "frame", "parts", "at", "measured", "limit", "unit", "message", "cure",
       "source": {"file", "line", "handle"}, "waived",
       "subjects": [{"kind", "name", "frame"}], "measure": {"value", "limit", "unit", "sense"},
       "evidence": [{"mark", "points", "frame", "words", ...}], "edits": [{"edit", "sure", "file", ...}],
       "because"}]}

Where stocks were given as measured, "measured" has their thicknesses by name. "tolerance" has what comes of stock,
cutter and screws a little off, where that was asked for: findings as above, and how much room each fit has.
`findings.schema.json` beside this module says it in full, the further keys of each kind of mark and edit too.

Text that there is none of is "": `frame` of a finding on the whole boat, `cure`, `unit`, `handle`,
`waived` (else the waiver's reason). Anything else that there is none of is null: `at`, `measured`,
`limit`, `line`, `source`, `measure`, and `because`, else the place in the list, from 0, of the finding that it
follows from. Waived findings are counted under `waived` alone, those that follow from another by level and under
`held` too. Lengths are mm, `at` is [x, y, z] in hull axes, numbers are rounded to 1e-4. Keys and findings always come
in the same order, a finding a line, in ASCII: the same boat gives the same bytes on any machine.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from scrieve.shared.findings import Finding, Measure, Source
from scrieve.shared.marks import Axis, Ghost, Line, Mark, Place, Polyhedron, Prism, Region
from scrieve.shared.sheet_bands import SHEET_STANDARDS

from .edits_json import edit_json
from .report import Report

if TYPE_CHECKING:  # loaded where it is asked for
    from scrieve.model.tolerance.tolerance import Room

VERSION = 1
_PLACES = 4  # of a millimetre: far below what any machine cuts, far above noise


def json_report(reports: Sequence[Report], *, several: bool) -> str:
    """The text of the report, a newline at its end; `several` as the user asked for several plans."""
    if not several:
        return "\n".join(_plan(report) for report in reports) + "\n"
    plans = ",\n".join(_plan(report) for report in reports)
    return f'{{"plans": [\n{plans}\n]}}\n'


def _plan(report: Report) -> str:
    places = {id(finding): index for index, finding in enumerate(report.findings)}
    listed = lines_of((finding_json(finding, places) for finding in report.findings), 4)
    return (
        f'{{\n  "version": {VERSION},\n  "plan": {json.dumps(report.plan)},\n{_readings(report)}'
        f'  "counts": {json.dumps(report.counts)},\n  "findings": {listed}{_tolerance(report)}\n}}'
    )


def _tolerance(report: Report) -> str:
    """What comes within tolerance, where that was asked for."""
    found = report.tolerance
    if found is None:
        return ""
    told: dict[str, object] = {
        "stock": [
            {
                "name": each.stock,
                "standard": each.standard,
                "origin": SHEET_STANDARDS[each.standard].origin,
                "low": number(each.low),
                "high": number(each.high),
            }
            for each in found.bands
        ],
        "kept": dict(found.kept),
        "cutter": [number(each) for each in found.worn],
        "set_out": number(found.set_out),
        **{
            key: [finding_json(finding, {}) for finding in some]
            for key, some in (("came", found.came), ("went", found.went), ("notes", found.notes))
        },
        "play": [_room(room) for room in found.rooms],
    }
    lists = {key: lines_of(value, 6) if isinstance(value, list) else json.dumps(value) for key, value in told.items()}
    return ',\n  "tolerance": {\n' + ",\n".join(f'    "{key}": {text}' for key, text in lists.items()) + "\n  }"


def _room(room: Room) -> dict[str, object]:
    return {
        "kind": room.fit.kind,
        "check": room.fit.check,
        "frame": room.fit.frame,
        "parts": [each.name for each in room.fit.subjects],
        "where": room.fit.where,
        "at": place(room.fit.at),
        "planned": number(room.planned),
        "worst": number(room.worst),
        "when": room.when,
        "worn": [number(each) for each in room.worn],
        "allowed": number(room.fit.least),
        "fails": room.fails,
        "fails_from": None if room.from_ is None else {"stock": room.from_[0], "thickness": number(room.from_[1])},
    }


def _readings(report: Report) -> str:
    """A line of what was measured, where anything was."""
    readings = {name: number(thick) for name, thick in sorted(report.readings.items())}
    return f'  "measured": {json.dumps(readings)},\n' if readings else ""


def lines_of(values: Iterable[object], indent: int) -> str:
    """A JSON list with a value on each line, so far in."""
    space = " " * indent
    text = ",\n".join(f"{space}{json.dumps(value, allow_nan=False)}" for value in values)
    return f"[\n{text}\n{space[:-2]}]" if text else "[]"


def finding_json(finding: Finding, places: Mapping[int, int]) -> dict[str, object]:
    """All that is said of a finding; `places` are those in the list of each, by id."""
    return {
        "check": finding.check,
        "level": str(finding.level),
        "frame": finding.frame,
        "parts": list(finding.parts),
        "at": place(finding.at),
        "measured": number(finding.measured),
        "limit": number(finding.limit),
        "unit": finding.unit,
        "message": finding.message,
        "cure": finding.cure,
        "source": _source(finding.source),
        "waived": finding.waived,
        "subjects": [{"kind": each.kind, "name": each.name, "frame": each.frame} for each in finding.subjects],
        "measure": _measure(finding.measure),
        "evidence": [_mark(mark) for mark in finding.evidence],
        "edits": [edit_json(edit) for edit in finding.edits],
        "because": places.get(id(finding.because)),
    }


def _measure(measure: Measure | None) -> dict[str, object] | None:
    if measure is None:
        return None
    value, limit = number(measure.value), number(measure.limit)
    return {"value": value, "limit": limit, "unit": measure.unit, "sense": measure.sense}


def _mark(mark: Mark) -> dict[str, object]:
    """The kind of a mark, its points, and what else is known of it."""
    points = mark.points
    more: dict[str, object] = {}
    match mark:
        case Line():
            more = {"drawn": mark.drawn}
        case Axis():
            more = {"diameter": number(mark.diameter)}
        case Region(solid=Prism() as prism) | Ghost(solid=Prism() as prism):
            points, *holes = prism.rings
            more = {"holes": [_places(hole) for hole in holes], "through": _places([prism.through])[0]}
        case Region(solid=Polyhedron() as solid) | Ghost(solid=Polyhedron() as solid):
            more = {"triangles": solid.triangles}
    kind = type(mark).__name__.lower()
    return {"mark": kind, "points": _places(points), "frame": mark.frame, "words": mark.words, **more}


def _places(points: Iterable[Place]) -> list[list[float | None]]:
    return [[number(value) for value in point] for point in points]


def place(at: tuple[float, float, float] | None) -> list[float] | None:
    """A point in hull axes, rounded; None where there is none."""
    known = [rounded for value in at or () if (rounded := number(value)) is not None]
    return known if len(known) == 3 else None


def number(value: float | None) -> float | None:
    """Rounded, never -0.0; None where there is none or it is no number that JSON has."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), _PLACES) + 0.0


def _source(source: Source | None) -> dict[str, object] | None:
    if source is None:
        return None
    return {"file": source.file, "line": source.line or None, "handle": source.handle}
