"""The chapter of the battens: lengths, bevels in the notch of each frame, and the steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.measurements.batten_runs import ALLOWANCE, BattenRun, batten_run
from scrieve.model.sequence.steps import Step

from .markup import Markup, chapter, element, table
from .step_list import step_list


def battens_chapter(assembly: Assembly, steps: Sequence[Step]) -> Markup:
    """The battens of a boat; empty where it has none."""
    if not assembly.battens:
        return Markup("")
    runs = {batten.name: batten_run(batten, assembly) for batten in assembly.battens}
    sizes = [
        (
            batten.name, f"{batten.long:g} x {batten.short:g}", f"{batten.arris:g}", f"{runs[batten.name].length:.0f}",
            f"{runs[batten.name].cut:.0f}", runs[batten.name].begin, f"{runs[batten.name].scarf:.0f}",
            " to ".join(runs[batten.name].scarf_between),
        )
        for batten in assembly.battens
    ]  # fmt: skip
    return chapter(
        "battens",
        "Battens",
        element("p", f"Cut each {ALLOWANCE:g} mm longer at both ends; begin at the frame named and work outward."),
        table(("batten", "section", "eased", "along its curve", "cut to", "begin at", "scarf", "best between"), sizes),
        element("p", "A scarf is cut only where the stock is too short. mm.", class_="quiet"),
        element("h3", "Bevels"),
        element(
            "p",
            "How the batten runs through the core, off square, and over the thickness of the core in mm. Bottom of the "
            "notch: + is away from the middle of the frame going forward. Sides: either way alike.",
            class_="quiet",
        ),
        table(("batten", "frame", "bottom", "mm", "sides", "mm"), _bevels(list(runs.values()))),
        step_list(steps, {}),
    )


def _bevels(runs: Sequence[BattenRun]) -> Iterator[tuple[str, ...]]:
    """A row for each batten and frame; a pair that is alike together."""
    told: dict[str, list[tuple[str, ...]]] = {}
    for run in runs:
        rows: list[tuple[str, ...]] = [
            (
                bevel.frame, f"{np.degrees(bevel.floor):+.1f}°", f"{bevel.floor_over:+.1f}",
                f"{np.degrees(bevel.walls):.1f}°", f"{bevel.walls_over:.1f}",
            )
            for bevel in run.bevels
        ]  # fmt: skip
        other = {"port": "starboard", "starboard": "port"}.get(run.name.partition(" ")[0], "")
        twin = f"{other} {run.name.partition(' ')[2]}"
        if told.get(twin) == rows:
            told[f"{twin.partition(' ')[2]}, both"] = told.pop(twin)
        else:
            told[run.name] = rows
    for name, rows in told.items():
        for row in rows:
            yield name, *row
