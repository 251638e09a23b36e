"""Texts of the window: most as HTML for Qt's small dialect of it."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

import numpy as np

from scrieve.shared.cautions import CAUTIONS
from scrieve.shared.findings import Finding
from scrieve.shared.wording import formatted, mm, one, trimmed

from ..marks.forms import form_of
from ..scene.looks import CHOSEN
from .boat import LoadedBoat
from .paper import QUIET
from .selection import MeasuredPoint, Selection

NO_STRENGTH = "Scrieve checks fit, not strength"


def link(to: str, text: str) -> str:
    """A link that the window follows: "finding:3", "body:F1 floor"."""
    return f'<a href="{escape(to, quote=True)}" style="color:{CHOSEN}; text-decoration:none">{escape(text)}</a>'


def quiet(text: str) -> str:
    """Words of less weight; taken as HTML."""
    return f'<span style="color:{QUIET}">{text}</span>'


def sign(finding: Finding) -> str:
    """The sign of a finding's form, in its colour."""
    form = form_of(finding)
    return f'<span style="color:{form.colour}">{form.sign}</span>'


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


def status_words(now: Selection, boat: LoadedBoat) -> str:
    """The line at the foot of the window: what is in hand, or what there is."""
    if now.measuring:
        if not now.spots:
            return "Measuring: click on a corner, an edge or a face"
        if len(now.spots) == 1:
            return f"From {one(now.spots[0].kind)} of {now.spots[0].body}: click on the second point"
        a, b = now.spots
        return f"{mm(distance(a, b)[0])}   ({along_words(a, b)})   from {a.body} to {b.body}"
    if now.cut is not None:
        side = "aft" if now.cut_keeps < 0 else "forward"
        return f"Cut at x {trimmed(now.cut)} mm; what lies {side} of it is shown"
    if now.finding >= 0:
        found = boat.findings[now.finding]
        names = {frame.number: frame.name for frame in boat.assembly.frames}
        about = names.get(found.frame, "the whole boat")
        where = "" if found.at is not None else "; it has no place on the boat"
        return f"Finding {now.finding + 1} of {len(boat.findings)}: {found.check}, {about}{where}"
    if now.step:
        return f"Step {now.step} of {len(boat.steps)}"
    if now.frame:
        frame = next(frame for frame in boat.assembly.frames if frame.number == now.frame)
        parts, screws = len(frame.parts), len(frame.screws)
        return (
            f"{frame.name}, {frame.kind}, station {trimmed(frame.placement.station)} mm: {parts} parts, {screws} screws"
        )
    assembly = boat.assembly
    return f"{assembly.name}: {len(assembly.frames)} frames, {len(assembly.battens)} battens"


def distance(a: MeasuredPoint, b: MeasuredPoint) -> tuple[float, tuple[float, float, float]]:
    """mm from a to b as the boat is set up, and along x, y and z."""
    x, y, z = np.subtract(b.at, a.at)
    return float(np.sqrt(x * x + y * y + z * z)), (float(x), float(y), float(z))


def measure_words(a: MeasuredPoint, b: MeasuredPoint) -> str:
    """ "123.45 mm", and below it how much of that is along each axis."""
    return f"{mm(distance(a, b)[0])}\n{along_words(a, b)}"


def along_words(a: MeasuredPoint, b: MeasuredPoint) -> str:
    """ "x +12.00  y -3.50  z +0.00"."""
    return "  ".join(
        f"{axis} {'' if value < 0.0 else '+'}{formatted(value)}"
        for axis, value in zip("xyz", distance(a, b)[1], strict=True)
    )
