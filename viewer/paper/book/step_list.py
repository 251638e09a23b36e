"""Steps with a box to tick, a picture where there is one, what to watch, and how to drill."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scrieve.model.sequence.steps import Driving, Step
from scrieve.model.sequence.steps.cards import Cards
from scrieve.shared.cautions import CAUTIONS

from .markup import Markup, bullets, element, joined


def step_list(steps: Sequence[Step], cards: Cards, pictures: Mapping[int, Markup]) -> Markup:
    """These steps, numbered as `scrieve steps` does, without what stands on `cards`; `pictures` by number."""
    return element("ol", joined(_step(step, cards, pictures.get(step.number)) for step in steps), class_="steps")


def _step(step: Step, cards: Cards, picture: Markup | None) -> Markup:
    said = [
        element("p", element("span", class_="tick"), element("b", f"{step.number}. {step.title}.")),
        *(_drilled(driving, cards) for driving in step.screws),
        bullets(cards.own(step)),
    ]
    topics = [CAUTIONS[key].topic for key in step.cautions]
    if topics:
        said.append(element("p", f"Cautions: {', '.join(topics)}.", class_="quiet"))
    shown = [] if picture is None else [element("div", picture)]
    return element("li", *shown, element("div", *said, class_="said"))


def _drilled(driving: Driving, cards: Cards) -> Markup:
    """The depth large, since it is what goes wrong."""
    stop = f"STOP {driving.stop:.1f} mm"
    before, _, after = cards.stops(driving).partition(stop)
    return element("p", before, element("span", stop, class_="deep"), f"{after}.")
