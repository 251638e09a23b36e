"""Which is which: as many pairs as can be, and of those the ones that cost least."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

Costs = Mapping[tuple[int, int], int]
"""What it costs to pair i with j, from 0; pairs that are not in it cannot be."""


def assigned(costs: Costs) -> dict[int, int]:
    """For each i its j, each j at most once: as many as can be, in all at the least cost.

    Where several ways cost the same, low numbers go with low ones, whatever the order of `costs`.
    """
    free = _settled(costs)
    pairs = dict(free)
    left = {pair: cost for pair, cost in costs.items() if pair[0] not in free}
    for rows, columns in _groups(left):
        pairs.update(_hungarian(rows, columns, left))
    return pairs


def _settled(costs: Costs) -> dict[int, int]:
    """The pairs of groups in which every i has one j of its own at no cost."""
    own: dict[int, int] = {}
    for (i, j), cost in sorted(costs.items()):
        if cost == 0:
            own.setdefault(i, j)
    out: dict[int, int] = {}
    for rows, _ in _groups(costs):
        wanted = [own.get(row) for row in rows]
        if None not in wanted and len(set(wanted)) == len(rows):
            out.update((row, own[row]) for row in rows)
    return out


def _groups(costs: Costs) -> list[tuple[list[int], list[int]]]:
    """The rows and columns that hang together by pairs that can be, sorted."""
    columns_of: dict[int, list[int]] = defaultdict(list)
    rows_of: dict[int, list[int]] = defaultdict(list)
    for i, j in costs:
        columns_of[i].append(j)
        rows_of[j].append(i)
    groups, seen = [], set()
    for start in sorted(columns_of):
        if start in seen:
            continue
        rows, columns, waiting = {start}, set(), [start]
        while waiting:
            for j in columns_of[waiting.pop()]:
                if j not in columns:
                    columns.add(j)
                    more = [i for i in rows_of[j] if i not in rows]
                    rows.update(more)
                    waiting += more
        seen |= rows
        groups.append((sorted(rows), sorted(columns)))
    return groups


def _hungarian(rows: list[int], columns: list[int], costs: Costs) -> dict[int, int]:
    """The pairs of least cost by the Hungarian method, shortest ways first; not pairing costs more than any way."""
    never = float(1 + max(costs.values())) * (len(rows) + len(columns)) * 2
    table = np.full((len(rows), len(columns)), never)
    row_at, column_at = {r: n for n, r in enumerate(rows)}, {c: n for n, c in enumerate(columns)}
    for (i, j), cost in costs.items():
        if i in row_at:
            table[row_at[i], column_at[j]] = cost
    # of the ways that cost the same, the one with low numbers together: by less than any cost could tell
    tie = np.abs(np.arange(len(rows))[:, None] - np.arange(len(columns))[None, :])
    table = table + tie / (1.0 + tie.sum())
    wide = len(rows) <= len(columns)
    chosen = _least(table if wide else table.T)
    pairs = [(n, m) if wide else (m, n) for n, m in enumerate(chosen)]
    return {rows[n]: columns[m] for n, m in pairs if (rows[n], columns[m]) in costs}


def _least(table: NDArray[np.float64]) -> list[int]:
    """For each row of a table no higher than wide its column: the choice of least sum."""
    height, width = table.shape
    of_row, of_column = np.zeros(height), np.zeros(width)
    row_of = np.full(width, -1)
    for begin in range(height):
        shortest = np.full(width, np.inf)
        before = np.full(width, -1)
        done = np.zeros(width, dtype=bool)
        row, column = begin, -1
        while True:
            if column >= 0:
                done[column] = True
                row = int(row_of[column])
            way = table[row] - of_row[row] - of_column
            way += 0.0 if column < 0 else shortest[column]
            better = ~done & (way < shortest)
            shortest[better], before[better] = way[better], column
            column = int(np.argmin(np.where(done, np.inf, shortest)))
            if row_of[column] < 0:
                break
        length = shortest[column]
        of_row[begin] += length
        for c in np.flatnonzero(done):
            of_row[row_of[c]] += length - shortest[c]
            of_column[c] -= length - shortest[c]
        while column >= 0:
            previous = int(before[column])
            row_of[column] = begin if previous < 0 else row_of[previous]
            column = previous
    chosen = [-1] * height
    for column, row in enumerate(row_of.tolist()):
        if row >= 0:
            chosen[row] = column
    return chosen
