"""HTML from plain values: whatever is no markup already is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from scrieve.shared.plain_text import plain


class Markup(str):
    """Text that is HTML already."""

    __slots__ = ()


def element(tag: str, *content: str, **attributes: str) -> Markup:
    """An element; content that is no `Markup` is escaped. `class_` stands for class, `_` for -."""
    named = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{escape(plain(value))}"' for name, value in attributes.items()
    )
    return Markup(f"<{tag}{named}>{''.join(map(inner, content))}</{tag}>")


def inner(content: str) -> str:
    """Content as it stands between tags; a space at its end is kept."""
    if isinstance(content, Markup):
        return content
    before, after = (" " if content[end:][:1].isspace() else "" for end in (0, -1))
    return f"{before}{escape(plain(content), quote=False)}{after}"


def joined(parts: Iterable[str]) -> Markup:
    """Pieces one after the other, each on a line of its own."""
    return Markup("\n".join(map(inner, parts)))


def table(headings: Sequence[str], rows: Iterable[Sequence[str]], *, class_: str = "") -> Markup:
    """A table; numbers stand to the right. It may be wider than a phone and is then moved sideways."""
    head = element("tr", *(element("th", words) for words in headings))
    body = [
        element("tr", *(element("td", cell, **({"class_": "number"} if _number(cell) else {})) for cell in row))
        for row in rows
    ]
    made = element("table", element("thead", head), element("tbody", joined(body)))
    return element("div", made, class_=f"wide {class_}".strip())


def _number(cell: str) -> bool:
    return not isinstance(cell, Markup) and cell[:1] in "-+.0123456789" and cell[-1:] in ".0123456789°%"


def bullets(lines: Iterable[str], *, class_: str = "") -> Markup:
    """A list; empty without lines."""
    items = [element("li", line) for line in lines]
    return element("ul", *items, **({"class_": class_} if class_ else {})) if items else Markup("")


def warning(words: str) -> Markup:
    """What is not to be missed; empty without words."""
    return element("p", f"{words}.", class_="card caution go") if words else Markup("")


def figure(drawing: Markup, caption: str) -> Markup:
    """A drawing and what it shows."""
    return element("figure", element("div", drawing, class_="drawing"), element("figcaption", caption))


_META = (
    '<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
    """<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">"""
)
"""Nothing is asked for and nothing runs, whatever stands in the page."""


def document(title: str, style: str, *content: str) -> str:
    """A whole file of these elements, a newline at its end; `style` is CSS."""
    head = element("head", Markup(_META), element("title", title), Markup(f"<style>\n{style}</style>"))
    body = element("body", element("h1", title), joined(each for each in content if each))
    return f'<!DOCTYPE html>\n<html lang="en">\n{head}\n{body}\n</html>\n'


def chapter(name: str, title: str, *content: str) -> Markup:
    """A chapter that begins on a page of its own; `name` is what links lead to."""
    return element("section", element("h2", title), *(f for part in content for f in (part, Markup("\n"))), id=name)
