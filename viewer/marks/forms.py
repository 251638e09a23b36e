"""The forms that mark findings, one table for window, pictures and drawings: never is it colour alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, pi, sin
from types import MappingProxyType
from typing import Literal

from scrieve.shared.findings import Finding, Level

from .colours import INK, QUIET, STRONG

Shape = Literal["ring", "triangle", "lozenge"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A `shape` in a `colour`, and the letter for it; with a `dot` in its middle where the finding is not in hand."""

    shape: Shape
    colour: str
    sign: str
    dot: bool = False

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Its outline in a circle of 1, x to the right and y up, one corner up."""
        return regular(_CORNERS[self.shape])


def regular(corners: int) -> tuple[tuple[float, float], ...]:
    """A regular figure of so many corners in a circle of 1, one of them up."""
    turns = [pi / 2 + 2 * pi * n / corners for n in range(corners)]
    return tuple((cos(turn), sin(turn)) for turn in turns)


_CORNERS: Mapping[Shape, int] = MappingProxyType({"ring": 40, "triangle": 3, "lozenge": 4})

ERROR = Form(shape="ring", colour=STRONG, sign="●", dot=True)
WARNING = Form(shape="triangle", colour=INK, sign="△")
NOTE = Form(shape="lozenge", colour=INK, sign="◇")

FORMS: Mapping[Level, Form] = MappingProxyType({Level.ERROR: ERROR, Level.WARNING: WARNING, Level.NOTE: NOTE})
"""What marks a finding of each level. In hand it is the same, wider and without its dot."""


def form_of(finding: Finding) -> Form:
    """The form of a finding; a waived error is none any more."""
    return WARNING if finding.waived and finding.level is Level.ERROR else FORMS[finding.level]


def worst_form(findings: Sequence[Finding]) -> Form:
    """The form of findings that share a place: that of an error if one of them is."""
    forms = [form_of(finding) for finding in findings]
    return ERROR if ERROR in forms else forms[0]


def badge_colour(finding: Finding) -> str:
    """The ground of a finding's number: its form's colour, lighter once it is waived."""
    return QUIET if finding.waived else form_of(finding).colour
