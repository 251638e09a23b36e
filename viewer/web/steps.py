"""The steps of the build as the page knows them: what is seen at each, what moves from where, the bench beneath it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from scrieve.model.sequence.steps import Step

from ..reports.style import plain
from ..scene.apart import up_at
from ..scene.bench import Bench, bench_of, has_legs
from ..scene.body import Body
from ..scene.showing import Showing, arranged
from .boat import SharedBoat
from .packing import packed_mesh, runs

_SMALL = ("core", "gusset", "plate")
"""Kinds of a frame that are made out faintly on the bench before they come."""


Benches = dict[tuple[str, float], dict[str, Any]]
"""Those told so far, by the frame that lies there and which face of it is up."""


def step_told(boat: SharedBoat, step: Step, bodies: Sequence[Body], benches: Benches) -> dict[str, Any]:
    """A step; its bench is put among the `benches` where it is not yet."""
    made = arranged(bodies, boat.assembly, boat.steps, Showing(step=step.number, share=0.0))
    shown = [n for n, state in enumerate(made.states) if state == "shown"]
    faint = []
    bench = None
    if step.stage == "bench":
        own = [n for n, body in enumerate(bodies) if body.frame == step.frame]
        faint = [n for n in own if made.states[n] == "hidden" and bodies[n].kind in _SMALL]
        lies = step.frame, up_at(step)
        if lies not in benches:
            lying = [bodies[n] for n in own if bodies[n].kind not in ("screw", "dowel")]
            benches[lies] = _bench(bench_of(step, boat.steps, boat.assembly, lying), step, boat)
        bench = list(benches).index(lies)
    return {
        "stage": step.stage, "frame": plain(step.frame), "kind": step.kind, "title": plain(step.title),
        "watch": [plain(words) for words in step.watch], "cautions": step.cautions,
        "drillings": len(step.screws), "adds": bool(step.adds or step.screws), "bench": bench,
        "scene": _scene_of(boat.steps, step), "shown": runs(shown), "faint": runs(faint),
        "rest": _moved(made.offsets - made.left), "ways": _moved(made.ways), "coming": sorted(made.coming),
    }  # fmt: skip


def _scene_of(steps: Sequence[Step], step: Step) -> str:
    """Steps with the same scene are looked at from the same place."""
    if step.stage != "bench":
        return step.stage
    return f"{step.frame} {up_at(step):g} {'with legs' if has_legs(step, steps) else ''}"


def _bench(bench: Bench, step: Step, boat: SharedBoat) -> dict[str, Any]:
    placement = next(frame.placement for frame in boat.assembly.frames if frame.number == step.frame)
    edges = [[bench.points.tolist().index(list(end)) for end in ends] for ends in bench.lines]
    return {
        "up": bench.up,
        "foot": placement.vector_to_hull([(0.0, -1.0, 0.0)])[0].tolist(),
        "mesh": packed_mesh((bench.points, bench.triangles, np.array(edges, dtype=np.int64))),
        "rules": np.round([np.concatenate(ends) for ends in bench.rules], 1).ravel().tolist(),
        "holes": [
            [
                *np.round(hole.rim.mean(axis=0), 1).tolist(),
                round(float(np.ptp(hole.rim, axis=0).max()) / 2, 2),
                hole.own,
            ]
            for hole in bench.holes
        ],
    }


def _moved(offsets: np.ndarray) -> list[list[float]]:
    """[x, y, z, body, ...] for every distance that bodies are off their places, and those bodies."""
    groups: dict[tuple[float, ...], list[int]] = {}
    for n in np.flatnonzero(np.any(np.abs(offsets) > 1e-9, axis=1)).tolist():
        groups.setdefault(tuple((np.round(offsets[n], 2) + 0.0).tolist()), []).append(n)
    return [[*way, *members] for way, members in groups.items()]
