"""The chapter of the battens: lengths, bevels in the notch of each frame, and the steps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.measurements.batten_runs import ALLOWANCE, batten_runs
from scrieve.model.sequence.steps import Step
from scrieve.model.sequence.steps.words import signed

from .markup import Markup, chapter, element, table
from .step_list import step_list

BEVELS = (
    "How the batten runs through the core, off square, and over the thickness of the core in mm. Bottom of the notch: "
    "+ is away from the middle of the frame going forward. Sides: both walls lean with the batten, the way it runs in "
    "or out. Ease the notches when the frame is glued, before the batten goes in: its dowels stand in some of them."
)


def battens_chapter(assembly: Assembly, steps: Sequence[Step]) -> Markup:
    """The battens of a boat; empty where it has none."""
    if not assembly.battens:
        return Markup("")
    runs = batten_runs(assembly)
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
        element(
            "p",
            f"What each is cut to is {ALLOWANCE:g} mm more at both ends. Begin at the frame named and work outward; "
            "tie, wedge or clamp it in its notches as it goes in, without glue.",
        ),
        table(("batten", "section", "eased", "along its curve", "cut to", "begin at", "scarf", "best between"), sizes),
        element("p", "A scarf is cut only where the stock is too short. mm.", class_="quiet"),
        element("h3", "Bevels"),
        element("p", BEVELS, class_="lead"),
        table(
            ("frame", "batten", "bottom", "mm", "sides", "mm"),
            [(frame.name, *row) for frame in assembly.frames for row in bevel_rows(assembly, frame.name)],
        ),
        step_list(steps, {}),
    )


def bevel_rows(assembly: Assembly, frame: str) -> list[tuple[str, ...]]:
    """For a frame by name, a row for each batten that runs through its core; a pair that is alike together."""
    runs = batten_runs(assembly)
    told: dict[tuple[str, ...], list[str]] = {}
    for batten in assembly.battens:
        for bevel in (bevel for bevel in runs[batten.name].bevels if bevel.frame == frame):
            row = (
                f"{signed(float(np.degrees(bevel.floor)))}°", signed(bevel.floor_over),
                f"{np.degrees(bevel.walls):.1f}°", f"{bevel.walls_over:.1f}",
            )  # fmt: skip
            told.setdefault((batten.kind, *row), []).append(batten.side)
    return [
        (kind if len(sides) > 1 or sides == ["centre"] else f"{sides[0]} {kind}", *row)
        for (kind, *row), sides in told.items()
    ]
