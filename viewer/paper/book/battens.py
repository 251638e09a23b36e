"""The chapter of the battens: lengths and the steps; bevels stand with the frames, whose notches are eased."""

from __future__ import annotations

from collections.abc import Sequence

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.measurements.batten_runs import ALLOWANCE, batten_runs
from scrieve.model.sequence.steps import Step
from scrieve.model.sequence.steps.cards import Cards

from .markup import Markup, chapter, element, table
from .step_list import step_list


def battens_chapter(assembly: Assembly, steps: Sequence[Step], cards: Cards) -> Markup:
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
        element(
            "p",
            "mm. A scarf is cut only where the stock is too short. Bevels: on the pages of the frames.",
            class_="quiet",
        ),
        step_list(steps, cards, {}),
    )
