"""A frame that the checks leave aside, since what is wrong with it has been said once, where it comes from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Exclusion:
    """A frame, by its number, of which nothing is looked at; or with `gussets` nothing that gussets and screws do."""

    frame: str
    gussets: bool = False
