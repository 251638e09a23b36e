"""Texts of the window as HTML for Qt's small dialect of it."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from scrieve.shared.cautions import CAUTIONS
from scrieve.shared.findings import Finding, Level

from ..scene.looks import CHOSEN, INK, STRONG
from .paper import QUIET

SIGNS = {Level.ERROR: "●", Level.WARNING: "△", Level.NOTE: "–"}
"""What tells levels apart where colours do not."""


def link(to: str, text: str) -> str:
    """A link that the window follows: "finding:3", "body:F1 floor"."""
    return f'<a href="{escape(to, quote=True)}" style="color:{CHOSEN}; text-decoration:none">{escape(text)}</a>'


def quiet(text: str) -> str:
    """Words of less weight; taken as HTML."""
    return f'<span style="color:{QUIET}">{text}</span>'


def sign(finding: Finding) -> str:
    """The sign of a finding's level, in the strong colour for an error that stands."""
    strong = finding.level is Level.ERROR and not finding.waived
    return f'<span style="color:{STRONG if strong else INK}">{SIGNS[finding.level]}</span>'


def rows(pairs: Iterable[tuple[str, str]]) -> str:
    """A table of names and values; the values are taken as HTML."""
    lines = "".join(
        f'<tr><td style="color:{QUIET}; padding:1px 12px 1px 0">{escape(name)}</td>'
        f'<td style="padding:1px 0">{value}</td></tr>'
        for name, value in pairs
    )
    return f'<table cellspacing="0" cellpadding="0">{lines}</table>'


def points(items: Iterable[str]) -> str:
    """A list; the items are taken as HTML."""
    return "".join(
        f'<table cellspacing="0" cellpadding="0"><tr><td style="padding:1px 7px 2px 0; color:{QUIET}">•</td>'
        f'<td style="padding:1px 0 2px 0">{item}</td></tr></table>'
        for item in items
    )


def caution(topic: str) -> str:
    """A caution in full, its topic first."""
    found = CAUTIONS[topic]
    return f"<b>{escape(found.topic[:1].upper() + found.topic[1:])}.</b> {escape(found.text)}"
