"""The steps of a boat: what must precede what, put into the one order that follows it."""

from __future__ import annotations

import heapq
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import replace
from graphlib import TopologicalSorter
from typing import Any, TypeVar

from scrieve.shared.errors import Mistake, PlanError

from ...boat.assembly import Assembly
from ..order_refused import unknown, why_not
from .bench import bench_nodes
from .standing import standing_nodes
from .step import Node, Step

_Key = TypeVar("_Key", bound=Hashable)


def steps_of(assembly: Assembly, *, file: str = "") -> tuple[Step, ...]:
    """The steps, numbered from 1: all benches, frame by frame from aft forward, then setting up.

    Raises PlanError, its places in `file` (by default the plan's own), for wishes of the plan's `[[order]]`
    that name nothing there is, or that the geometry or the trade does not allow.
    """
    refuse_strangers(assembly, file)
    nodes: list[Node] = []
    benches: dict[str, str] = {}
    for place, frame in enumerate(assembly.frames):
        of_frame = bench_nodes(frame, assembly, place)
        if of_frame:
            benches[frame.number] = of_frame[-1].key
        nodes += of_frame
    nodes += standing_nodes(assembly, benches)
    found = _in_order(nodes)
    refuse_unmet(found, assembly, file)
    return found


def _in_order(nodes: Sequence[Node]) -> tuple[Step, ...]:
    by_key = {node.key: node for node in nodes}
    order = ordered({node.key: node.after for node in nodes}, {node.key: node.rank for node in nodes})
    numbers = {key: number for number, key in enumerate(order, start=1)}
    return tuple(
        replace(by_key[key].step, number=numbers[key], after=tuple(sorted(numbers[k] for k in by_key[key].after)))
        for key in order
    )


def ordered(before: Mapping[_Key, Iterable[_Key]], rank: Mapping[_Key, Any]) -> list[_Key]:
    """The nodes, each after all that `before` has for it; wherever the graph leaves a choice, least `rank` first.

    The same graph gives the same order, whatever the order of its nodes and edges. Raises
    graphlib.CycleError where the graph runs in a circle.
    """
    sorter = TopologicalSorter(before)
    sorter.prepare()
    ready: list[tuple[Any, _Key]] = []
    out: list[_Key] = []
    while sorter.is_active():
        for node in sorter.get_ready():
            heapq.heappush(ready, (rank[node], node))
        _, node = heapq.heappop(ready)
        sorter.done(node)
        out.append(node)
    return out


def refuse_strangers(assembly: Assembly, file: str) -> None:
    """Raises PlanError, its places in `file`, where a wish names a part or batten that no drawing shows."""
    found = unknown(assembly.order, assembly.frames, assembly.battens)
    _refuse([(defect.source.line, defect.message) for defect in found], assembly, file)


def refuse_unmet(steps: Sequence[Step], assembly: Assembly, file: str) -> None:
    """Raises PlanError, its places in `file`, where these steps do not keep a wish; two that go on as one do not."""
    place = {
        name: (step.number, number)
        for step in steps
        for number, adding in enumerate(step.adds)
        for name in adding.names
    }
    unmet = [wish for wish in assembly.order if place[wish.first] >= place[wish.then]]
    _refuse([(wish.source.line, why_not(wish, assembly)) for wish in unmet], assembly, file)


def _refuse(refused: Sequence[tuple[int, str]], assembly: Assembly, file: str) -> None:
    if refused:
        path = file or assembly.source.file
        raise PlanError(Mistake(path=path, line=line, what=what) for line, what in refused)
