"""A check's page, and the list of all checks, as text."""

from __future__ import annotations

from collections.abc import Iterable

from scrieve.model.checks.check import Check
from scrieve.shared.limits import LIMITS, Limit

from .style import Style

_UNITS = {"D": "diameters", "T": "core thicknesses"}
_INDENT = "  "


def page(check: Check, style: Style) -> str:
    """The explanation of one check: what it looks at, why it matters, its limits with origin, the cure."""
    lines = [*style.lines(f"{check.slug}: {check.title} ({check.level} at worst)", sign="strong")]
    for heading, text in (
        ("What it looks at", check.page.looks_at),
        ("Why it matters", check.page.matters),
        ("Limit and where it comes from", check.page.limit),
    ):
        lines += ["", style.paint(heading, "strong"), *style.lines(" ".join(text.split()), first=_INDENT)]
    for name in check.limits:
        lines += ["", *style.lines(_limit(LIMITS[name]), first=_INDENT, rest=_INDENT * 2)]
    if check.limits:
        lines += ["", *style.lines("To change it, in plan.toml:", first=_INDENT), "", f"{_INDENT * 2}[limits]"]
        lines += [f"{_INDENT * 2}{name} = {LIMITS[name].default:g}" for name in check.limits]
    lines += ["", style.paint("Cure", "strong"), *style.lines(" ".join(check.page.cure.split()), first=_INDENT)]
    return "\n".join(lines) + "\n"


def _limit(limit: Limit) -> str:
    """ "screw_edge: 1 diameters, ... (origin)"."""
    value = f"{limit.default:g} {_UNITS.get(limit.unit, limit.unit)}".strip()
    return f"{limit.name}: {value}. {limit.what[:1].upper()}{limit.what[1:]}. Origin: {limit.origin}."


def listing(checks: Iterable[Check], style: Style) -> str:
    """A line a check: slug, its worst level, title."""
    checks = list(checks)
    slug_width = max((len(check.slug) for check in checks), default=0)
    lines = []
    for check in checks:
        word = style.paint(f"{check.level:<7}", str(check.level))
        first = f"{check.slug:<{slug_width}}  {check.level:<7}  "
        head, *more = style.lines(check.title, first=first)
        lines += [head.replace(f"{check.level:<7}", word, 1), *more]
    return "\n".join(lines) + "\n"
