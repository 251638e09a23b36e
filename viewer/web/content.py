"""What the page knows of a boat, as plain values for JSON. Places are in hull axes, mm; bodies go by their number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.steps import Driving, Step
from scrieve.model.sequence.steps.drilling import drill
from scrieve.model.sequence.steps.words import numbered
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY

from ..marks.colours import INK, PAPER, QUIET, STRONG
from ..reports.style import plain
from ..scene.bodies import bodies_of
from ..scene.body import Body
from ..scene.facts import facts_by_name
from ..scene.looks import (
    AMBIENT,
    BOARD,
    CHOSEN,
    COLOURS,
    DIFFUSE,
    FADED,
    FADED_LINES,
    GHOST,
    HOLE,
    LIGHTS,
    SECOND,
    WATER,
)
from ..scene.sides import ANGLE, FROM, Side
from .boat import SharedBoat
from .findings import finding_told
from .packing import packed
from .steps import Benches, step_told

_SIDES: tuple[Side, ...] = ("quarter", "bow", "port", "aft", "above")
"""Those that the page has a button for."""


def content_of(boat: SharedBoat) -> tuple[dict[str, Any], str]:
    """What the page knows, and the bytes of its bodies in base64."""
    bodies = bodies_of(boat.assembly)
    number = {body.name: n for n, body in enumerate(bodies)}
    made = packed(bodies)
    benches: Benches = {}
    drillings, drilled = _drillings(boat.steps, number)
    told = {
        "name": plain(boat.assembly.name),
        "forms": made.forms,
        "places": made.places,
        "bodies": [_body(body) for body in bodies],
        "facts": _facts(boat.assembly, bodies),
        "through": _through(boat.assembly, number),
        "drillings": drillings,
        "drilled": drilled,
        "frames": [
            {"number": plain(frame.number), "kind": frame.kind, "parts": len(frame.parts), "screws": len(frame.screws)}
            for frame in boat.assembly.frames
        ],
        "steps": [step_told(boat, step, bodies, benches) for step in boat.steps],
        "benches": list(benches.values()),
        "findings": [finding_told(boat, finding, bodies) for finding in boat.findings],
        "cautions": {key: [each.topic, each.text] for key, each in CAUTIONS.items()},
        "defer": DEFER,
        "fit": FIT_ONLY,
        "look": _look(),
    }
    return told, made.bytes64


def _look() -> dict[str, Any]:
    return {
        "colours": dict(COLOURS), "second": dict(SECOND), "lights": LIGHTS, "ambient": AMBIENT, "diffuse": DIFFUSE,
        "faded": FADED, "fadedLines": FADED_LINES, "ghost": GHOST, "angle": ANGLE, "ink": INK, "paper": PAPER,
        "quiet": QUIET, "strong": STRONG, "chosen": CHOSEN, "board": BOARD, "hole": HOLE, "water": WATER,
        "sides": {side: FROM[side] for side in _SIDES}, "standing": FROM["starboard-bow"],
    }  # fmt: skip


# ---- bodies


def _body(body: Body) -> list[str]:
    return [plain(body.name), body.kind, plain(body.frame)]


def _facts(assembly: Assembly, bodies: Sequence[Body]) -> list[list[list[str]]]:
    known = facts_by_name(assembly)
    return [[[fact, plain(value)] for fact, value in known.get(body.name, ())] for body in bodies]


def _through(assembly: Assembly, number: dict[str, int]) -> list[list[int]]:
    """[part, screw, ...] for every part that screws pass."""
    out = []
    for frame in assembly.frames:
        for part in frame.parts:
            screws = [number[s.name] for s in frame.screws if any(ply.part is part for ply in s.plies)]
            if screws:
                out.append([number[part.name], *screws])
    return out


def _drillings(steps: Iterable[Step], number: dict[str, int]) -> tuple[list[dict[str, Any]], list[list[int]]]:
    """How the screws of each step are drilled for, and [screw, its drilling] for every screw."""
    drillings: list[dict[str, Any]] = []
    drilled: list[list[int]] = []
    for step in steps:
        for driving in step.screws:
            fresh = [[number[name], len(drillings)] for name in driving.screws if name in number]
            drilled += fresh
            drillings.append(_drilling(driving, step))
    return drillings, drilled


def _drilling(driving: Driving, step: Step) -> dict[str, Any]:
    return {
        "step": step.number, "screws": plain(numbered(driving.screws)), "from": driving.driven_from,
        "stop": f"{driving.stop:.1f}", "drill": plain(drill(driving)),
    }  # fmt: skip
