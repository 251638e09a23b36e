"""The chapter of what holds for every frame: a card each."""

from __future__ import annotations

from scrieve.model.sequence.steps.cards import Cards

from .markup import Markup, bullets, chapter, element


def cards_chapter(cards: Cards) -> Markup:
    """The cards, on a page to hang up at the bench; empty where there are none."""
    made = [element("div", element("b", card.title), bullets(card.lines), class_="card") for card in cards.cards]
    return chapter("cards", "The same for every frame", element("div", *made, class_="columns")) if made else Markup("")
