"""What must precede what: a directed graph, and the one order that follows it."""

from __future__ import annotations

import heapq
from collections.abc import Hashable, Iterable, Mapping
from graphlib import TopologicalSorter
from typing import Any, TypeVar

Node = TypeVar("Node", bound=Hashable)


def ordered(before: Mapping[Node, Iterable[Node]], rank: Mapping[Node, Any]) -> list[Node]:
    """The nodes, each after all that `before` has for it; wherever the graph leaves a choice, least `rank` first.

    The same graph gives the same order, whatever the order of its nodes and edges. Raises
    graphlib.CycleError where the graph runs in a circle.
    """
    sorter = TopologicalSorter(before)
    sorter.prepare()
    ready: list[tuple[Any, Node]] = []
    out: list[Node] = []
    while sorter.is_active():
        for node in sorter.get_ready():
            heapq.heappush(ready, (rank[node], node))
        _, node = heapq.heappop(ready)
        sorter.done(node)
        out.append(node)
    return out
