"""The build order as JSON, for machines.

    {"version": 1, "plan": ..., "steps": [
      {"number", "stage", "frame", "kind", "title",
       "adds": [{"names", "way", "toward"}],
       "screws": [{"screws", "size", "driven_from", "stop", "pilot", "clearance",
                   "places": [{"name", "at", "plate", "into",
                               "edges": [{"edge", "distance", "foot", "ends"}], "bite", "left"}]}],
       "watch", "cautions",
       "turning": [{"part", "either_way", "twins"}],
       "after", "up",
       "sizes": [{"name", "stock", "thickness", "length", "breadth"}],
       "diagonals": [{"start", "end", "length", "play"}],
       "rests": {"strips", "packing", "dowels"} or null,
       "legs": [{"name", "side", "plies": [{"name", "face", "outer", "inner", "tongue", "whole", "lap", "across"}],
                 "rail", "tongue", "off_core"}],
       "marks": [{"frame", "face", "from_end", "apart", "clear", "lowest", "lean"}],
       "runs": [{"name", "length", "cut", "begin", "scarf", "scarf_between",
                 "bevels": [{"frame", "floor", "walls", "floor_over", "walls_over", "walls_way"}]}]}],
     "cautions": {...}, "defer": ..., "fit_only": ...}

`stage` is "bench" or "setting up"; `kind` is one of "dowels", "core", "screws", "plates", "turn", "apart",
"wet out", "glue", "legs" on the bench and "strongback", "frame", "batten", "fair" in setting up. `frame` is
a frame's number, "" for what concerns the whole boat. `adds` is what comes to its place: `names` move
together along `toward`, a unit vector, on the bench in the frame's axes (y to port, v up, w forward), in
setting up in hull axes (x forward, y to port, z up); null where nothing moves straight. `stop` is how far the
drill's point goes below the face that the head sits on, `pilot` [in soft wood, in hard wood] or null, all mm.
`cautions` of a step are topics; what each says stands once, at the end, under its topic.
`turning` has the parts that may go another way round: either face up in their own place, or turned over in
that of a twin. `after` are the numbers of the steps that have to be done before. `up` is the face that lies up.
`places` say where screws stand: `at` and all ends in the frame's (y, v), `distance` square to each of two straight
edges of the plate that is drilled. The rest are the values of `model.sequence.measurements`, lengths in mm, bevels and
lean in radians. A step a line, keys always in this order, in ASCII: the same boat gives the same bytes on any machine.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, fields, is_dataclass
from typing import Any

from scrieve.model.sequence.steps import Step
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY

from .json_report import lines_of, number

VERSION = 1


def steps_json(plan: str, steps: Sequence[Step]) -> str:
    """The text of these steps, a newline at its end; `plan` is the plan as the user named it."""
    topics = {CAUTIONS[key].topic: CAUTIONS[key].text for key in CAUTIONS for step in steps if key in step.cautions}
    return (
        f'{{\n  "version": {VERSION},\n  "plan": {json.dumps(plan)},\n  "steps": {lines_of(map(_step, steps), 4)},\n'
        f'  "cautions": {json.dumps(topics)},\n'
        f'  "defer": {json.dumps(DEFER)},\n  "fit_only": {json.dumps(FIT_ONLY)}\n}}\n'
    )


def _step(step: Step) -> dict[str, object]:
    return {
        "number": step.number,
        "stage": step.stage,
        "frame": step.frame,
        "kind": step.kind,
        "title": step.title,
        "adds": [{"names": a.names, "way": a.way, "toward": _rounded(a.toward)} for a in step.adds],
        "screws": [
            {
                "screws": d.screws,
                "size": d.size,
                "driven_from": d.driven_from,
                "stop": number(d.stop),
                "pilot": _rounded(d.pilot),
                "clearance": number(d.clearance),
                "places": _values(d.places),
            }
            for d in step.screws
        ],
        "watch": step.watch,
        "cautions": [CAUTIONS[key].topic for key in step.cautions],
        "turning": [asdict(turning) for turning in step.turnings],
        "after": step.after,
        "up": step.up,
        "sizes": _values(step.sizes),
        "diagonals": _values(step.diagonals),
        "rests": _values(step.rests),
        "legs": _values(step.legs),
        "marks": _values(step.marks),
        "runs": _values(step.runs),
    }


def _values(value: Any) -> Any:
    """Frozen values as JSON has them, their numbers rounded."""
    if isinstance(value, float):
        return number(value)
    if isinstance(value, tuple):
        return [_values(each) for each in value]
    if is_dataclass(value):
        return {each.name: _values(getattr(value, each.name)) for each in fields(value)}
    return value


def _rounded(values: tuple[float, ...] | None) -> list[float | None] | None:
    return None if values is None else [number(value) for value in values]
