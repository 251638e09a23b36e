"""The builder's book as one HTML file. See `book_html`."""

from __future__ import annotations

from collections.abc import Sequence

from scrieve.model.boat.assembly import Assembly
from scrieve.model.sequence.steps import Step
from scrieve.model.sequence.steps.cards import Cards
from scrieve.shared.findings import Finding

from .battens import battens_chapter
from .boat import boat_chapter, cautions_chapter
from .cards import cards_chapter
from .frames import frame_chapter
from .legs import legs_chapter
from .markup import Markup, document, element, warning
from .pegboard import board_chapter
from .setting_up import setting_up_chapter
from .stock import stock_chapter
from .style import STYLE
from .unsound import unsound


def book_html(assembly: Assembly, steps: Sequence[Step], *, plan: str, findings: Sequence[Finding] = ()) -> str:
    """The whole file, a newline at its end; `plan` as the user named it, `findings` all that was found in it.

    It holds all that it shows, runs nothing and asks for nothing. The same boat gives the same bytes.
    """
    standing = [step for step in steps if step.stage == "setting up"]
    battens = [step for step in standing if step.kind not in ("strongback", "frame")]
    cards = Cards(assembly, steps)
    frames = [
        frame_chapter(
            frame,
            assembly,
            own,
            cards,
            unsound([each for each in findings if each.frame == frame.number], plan, "frame"),
        )
        for frame in assembly.frames
        if frame.parts and (own := [step for step in steps if step.stage == "bench" and step.frame == frame.number])
    ]
    chapters = [
        boat_chapter(assembly),
        cautions_chapter(),
        cards_chapter(cards),
        board_chapter(assembly),
        *frames,
        legs_chapter(assembly),
        setting_up_chapter(assembly, [step for step in standing if step not in battens], cards),
        battens_chapter(assembly, battens, cards),
        stock_chapter(assembly, plan),
    ]
    title = f"{assembly.name}: builder's book"
    return document(title, STYLE, warning(unsound(findings, plan)), _contents(chapters), *chapters)


def _contents(chapters: Sequence[Markup]) -> Markup:
    """Links to the chapters."""
    links = []
    for each in chapters:
        if each:
            name = each.partition('id="')[2].partition('"')[0]
            title = Markup(each.partition("<h2>")[2].partition("</h2>")[0])
            links.append(element("li", element("a", title, href=f"#{name}")))
    return element("nav", element("ul", *links))
