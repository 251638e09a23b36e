"""A step on its way into the graph: known by a key, ranked by the trade, told what it comes after."""

from __future__ import annotations

from typing import NamedTuple

from .step import Step


class Node(NamedTuple):
    """`step` has no number yet. `after` are keys of the nodes that must precede it.

    `rank` says which of several steps that could come next does: by stage, frame, and place there.
    """

    key: str
    rank: tuple[int, int, int]
    step: Step
    after: tuple[str, ...] = ()
