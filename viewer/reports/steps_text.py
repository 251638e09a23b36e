"""The build order as text, for a builder with glue on the fingers.

First what is the same for all, by cards. Then stage by stage and frame by frame: numbered steps, a line of what to
do, how to drill and what to watch. A caution stands in full where it first belongs; after that a frame says where.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.steps import Step
from scrieve.model.sequence.steps.cards import Cards
from scrieve.model.sequence.steps.drilling import set_out
from scrieve.model.sequence.steps.words import numbered
from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY

from .style import Style, count, plain

_MARGIN = " " * 5
_TITLES = {"bench": "Frame by frame on the bench", "setting up": "Setting up on the strongback"}


def steps_text(plan: str, assembly: Assembly, steps: Sequence[Step], style: Style) -> str:
    """The text of these steps of a boat, a newline at its end; `plan` is the plan as the user named it."""
    shown = f"{plain(assembly.name)} ({plain(plan)}): " + ", ".join(
        (count(len(steps), "step"), count(len({step.frame for step in steps if step.frame}), "frame"))
    )
    lines = style.lines(shown, rest="  ", sign="strong")
    frames = {frame.number: frame for frame in assembly.frames}
    told: dict[str, int] = {}
    cards = Cards(assembly, steps)
    for card in cards.cards:
        lines += ["", *style.lines(card.title, sign="strong")]
        lines += [line for said in card.lines for line in style.lines(plain(said), first="  ", rest="    ")]
    for stage, in_stage in groupby(steps, key=lambda step: step.stage):
        lines += ["", *style.lines(_TITLES[stage], sign="strong")]
        for number, of_frame in groupby(in_stage, key=lambda step: step.frame if stage == "bench" else ""):
            lines.append("")
            if number:
                lines += style.lines(_heading(frames[number]), sign="strong")
            own = list(of_frame)
            lines += _told_before(own, told, style)
            for step in own:
                lines += _step(step, cards, told, style)
    lines += ["", *style.lines(DEFER, sign="quiet"), *style.lines(FIT_ONLY, sign="quiet")]
    return "\n".join(lines) + "\n"


def _heading(frame: Frame) -> str:
    return f"{plain(frame.name)}, {frame.kind}: {count(len(frame.parts), 'part')}, {count(len(frame.screws), 'screw')}"


def _step(step: Step, cards: Cards, told: dict[str, int], style: Style) -> Iterator[str]:
    yield from style.lines(f"{plain(step.title)}.", first=f"{step.number:>3}  ", rest=_MARGIN)
    for driving in step.screws:
        yield from style.lines(plain(cards.stops(driving)), first=f"{_MARGIN}- ", rest=_MARGIN + "  ")
    for watch in cards.own(step):
        yield from style.lines(plain(watch), first=f"{_MARGIN}- ", rest=_MARGIN + "  ")
    for driving in step.screws:
        for said in set_out(driving.places):
            yield from style.lines(plain(said), first=f"{_MARGIN}  ", rest=_MARGIN + "    ", sign="quiet")
    yield from _cautions(step.number, step.cautions, told, style)


def _told_before(steps: Sequence[Step], told: dict[str, int], style: Style) -> list[str]:
    """Where the cautions of these steps stand that were told with others before."""
    before = sorted({told[topic] for step in steps for topic in step.cautions if topic in told})
    said = f"cautions: {numbered(f'step {number}' for number in before)}"
    return style.lines(said, first="  ! ", rest="    ", sign="warning") if before else []


def _cautions(number: int, topics: Iterable[str], told: dict[str, int], style: Style) -> Iterator[str]:
    """In full, where it is first told."""
    for topic in topics:
        if topic not in told:
            told[topic] = number
            caution = CAUTIONS[topic]
            text = f"{caution.topic[:1].upper()}{caution.topic[1:]}. {caution.text}"
            yield from style.lines(text, first=f"{_MARGIN}! ", rest=_MARGIN + "  ", sign="warning")
