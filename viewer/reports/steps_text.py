"""The build order as text, for a builder with glue on the fingers.

Stage by stage and frame by frame: numbered steps, a line of what to do, then what to watch and how to
drill. A caution stands in full where it first belongs and by its name after that, once a frame.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.steps import Step
from scrieve.model.sequence.steps.cards import GLUE_CARD, LEG_CARD, label_rule
from scrieve.model.sequence.steps.drilling import drilling, set_out
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY

from .style import Style, count, plain

_MARGIN = " " * 5
_TITLES = {"bench": "On the bench", "setting up": "Setting up"}
_ABOUT = {
    "bench": "A frame at a time, flat on the assembly board. Everything is tried dry before glue is mixed.",
    "setting up": "On the strongback.",
}


def steps_text(plan: str, assembly: Assembly, steps: Sequence[Step], style: Style) -> str:
    """The text of these steps of a boat, a newline at its end; `plan` is the plan as the user named it."""
    shown = f"{plain(assembly.name)} ({plain(plan)}): " + ", ".join(
        (count(len(steps), "step"), count(len({step.frame for step in steps if step.frame}), "frame"))
    )
    lines = style.lines(shown, rest="  ", sign="strong")
    frames = {frame.number: frame for frame in assembly.frames}
    told: dict[str, int] = {}
    for stage, in_stage in groupby(steps, key=lambda step: step.stage):
        lines += ["", *style.lines(_TITLES[stage], sign="strong"), *style.lines(_ABOUT[stage])]
        for title, card in _cards(assembly, stage):
            lines += ["", *style.lines(title, sign="strong")]
            lines += [line for said in card for line in style.lines(plain(said), first="  ", rest="    ")]
        for number, of_frame in groupby(in_stage, key=lambda step: step.frame if stage == "bench" else ""):
            lines.append("")
            if number:
                lines += style.lines(_heading(frames[number]), sign="strong")
            named: set[str] = set()
            for step in of_frame:
                lines += _step(step, told, named, style)
    lines += ["", *style.lines(DEFER, sign="quiet"), *style.lines(FIT_ONLY, sign="quiet")]
    return "\n".join(lines) + "\n"


def _heading(frame: Frame) -> str:
    return f"{plain(frame.name)}, {frame.kind}: {count(len(frame.parts), 'part')}, {count(len(frame.screws), 'screw')}"


def _step(step: Step, told: dict[str, int], named: set[str], style: Style) -> Iterator[str]:
    yield from style.lines(f"{plain(step.title)}.", first=f"{step.number:>3}  ", rest=_MARGIN)
    for driving in step.screws:
        yield from style.lines(plain(drilling(driving)), first=f"{_MARGIN}- ", rest=_MARGIN + "  ")
    for watch in step.watch:
        yield from style.lines(plain(watch), first=f"{_MARGIN}- ", rest=_MARGIN + "  ")
    for driving in step.screws:
        for said in set_out(driving.places):
            yield from style.lines(plain(said), first=f"{_MARGIN}  ", rest=_MARGIN + "    ", sign="quiet")
    yield from _cautions(step.number, step.cautions, told, named, style)


def _cards(assembly: Assembly, stage: str) -> Iterator[tuple[str, Sequence[str]]]:
    """What holds for every frame, before the steps of the bench."""
    if stage == "bench":
        yield "Labels", (label_rule(assembly),)
        yield "Glue", GLUE_CARD
        if any(frame.legs for frame in assembly.frames):
            yield "Legs", LEG_CARD


def _cautions(number: int, topics: Iterable[str], told: dict[str, int], named: set[str], style: Style) -> Iterator[str]:
    """In full where it is first told; after that by its name, once in each of the groups that `named` is kept for."""
    again: dict[int, list[str]] = {}
    for topic in topics:
        caution = CAUTIONS[topic]
        if topic not in told:
            told[topic] = number
            text = f"{caution.topic[:1].upper()}{caution.topic[1:]}. {caution.text}"
            yield from style.lines(text, first=f"{_MARGIN}! ", rest=_MARGIN + "  ", sign="warning")
        elif topic not in named:
            again.setdefault(told[topic], []).append(caution.topic)
        named.add(topic)
    if again:
        said = "; ".join(f"{', '.join(topics)} (step {step})" for step, topics in sorted(again.items()))
        yield from style.lines(said, first=f"{_MARGIN}! ", rest=_MARGIN + "  ", sign="warning")
