"""Exceptions: Scrieve could not do its job.

A problem of the boat is never an exception, it is a `Finding` (`shared.findings`).

    ScrieveError          carries one or more mistakes, each a line to print
    ├── PlanError         plan.toml or lines.toml cannot be taken as it stands
    ├── DrawingError      a drawing cannot be read
    ├── DraftError        no plan can be drafted from these lines
    ├── GeometryError     a solid could not be built
    └── UseError          the command line asks for what cannot be done
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True, order=True, kw_only=True)
class Mistake:
    """One thing wrong, with its place. Prints as `path:line: what`, leaving out what is not known.

    `path` is as the user would write it (relative to where they stand if given so), `line` counts
    from 1; 0 means the whole file. `what` names the subject, the requirement, and in brackets what
    was found.
    """

    path: str = ""
    line: int = 0
    what: str

    def __str__(self) -> str:
        place = f"{self.path}:{self.line}" if self.path and self.line else self.path
        text = f"{place}: {self.what}" if place else self.what
        return " ".join(text.split())


class ScrieveError(Exception):
    """Scrieve could not do its job; `mistakes` says why, sorted, one line each."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes: tuple[Mistake, ...] = tuple(sorted(set(mistakes)))
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))

    @classmethod
    def at(cls, what: str, *, path: str = "", line: int = 0) -> Self:
        """The error of a single mistake."""
        return cls([Mistake(path=path, line=line, what=what)])


class PlanError(ScrieveError):
    """A plan or lines file cannot be taken as it stands."""


class DrawingError(ScrieveError):
    """A drawing cannot be read."""


class DraftError(ScrieveError):
    """No plan can be drafted from these lines."""


class GeometryError(ScrieveError):
    """A solid could not be built from its outline."""


class UseError(ScrieveError):
    """The command line asks for what cannot be done."""
