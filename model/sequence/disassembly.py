"""Orders found by taking apart: what can leave now is taken off, and putting together is the way back.

Taking a thing off never bars another's way, so whatever leaves first, in the end all leaves that can
leave one at a time by one straight way each; no other order need be tried.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import NamedTuple

from .way import Way

Pair = tuple[int, int]


class Disassembly(NamedTuple):
    """What came of it, things by number. `placed`: thing, stage and way, in the order of putting together.

    `trapped` are those that cannot leave, each with what stands when it is its turn, in the order in which they
    would have gone on; `refused` the wishes not met.
    """

    placed: tuple[tuple[int, int, Way], ...]
    trapped: tuple[tuple[int, tuple[int, ...]], ...]
    refused: tuple[Pair, ...]


def peeled(
    stages: Sequence[tuple[int, int]],
    leaves: Callable[[int, int, Sequence[int]], Way | None],
    wishes: Collection[Pair] = (),
) -> Disassembly:
    """The order for things numbered in the order in which the trade would put them on, stage by stage.

    `stages` has the stage at which each goes on, and the earliest at which it could if it must.
    `leaves(thing, stage, rest)` is the way by which a thing comes to its place at a stage when the rest, by
    number, stands; None if there is none. A wish (i, j) is to put i on before j: met unless nothing
    could go on any more. The last thing that is trapped is taken out, so that one knot is told of once.
    """
    rest = sorted(range(len(stages)), key=lambda n: (stages[n][0], n))
    wanted = set(wishes)
    placed: list[tuple[int, int, Way]] = []
    trapped, refused = [], []
    for stage in sorted({s for both in stages for s in both}, reverse=True):
        while True:
            open_now = [n for n in reversed(rest) if stages[n][1] <= stage <= stages[n][0]]
            waiting = {i for i, j in wanted if j in rest}
            found = _first(open_now, waiting, rest, leaves, stage)
            if found is None:
                last = [n for n in open_now if stages[n][1] == stage]
                found = _first(last, set(), rest, leaves, stage)
                if found is None and not last:
                    break
                if found is None:
                    thing = last[0]
                    rest.remove(thing)
                    trapped.append((thing, tuple(rest)))
                    continue
                broken = {(i, j) for i, j in wanted if i == found[0] and j in rest}
                wanted -= broken
                refused += sorted(broken)
            thing, way = found
            rest.remove(thing)
            placed.append((thing, stage, way))
    return Disassembly(placed=tuple(reversed(placed)), trapped=tuple(reversed(trapped)), refused=tuple(sorted(refused)))


def _first(
    things: Sequence[int],
    waiting: Collection[int],
    rest: Sequence[int],
    leaves: Callable[[int, int, Sequence[int]], Way | None],
    stage: int,
) -> tuple[int, Way] | None:
    """The first of these things that can leave, and its way in."""
    for thing in things:
        if thing not in waiting:
            way = leaves(thing, stage, [n for n in rest if n != thing])
            if way is not None:
                return thing, way
    return None
