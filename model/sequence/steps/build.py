"""The steps of a boat: what must precede what, put into the one order that follows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...boat.assembly import Assembly
from .bench import bench_nodes
from .graph import ordered
from .node import Node
from .refusing import refuse_strangers, refuse_unmet
from .standing import standing_nodes
from .step import Step


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
