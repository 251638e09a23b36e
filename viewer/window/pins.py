"""The pins on the station strip: side by side in two rows where there is room, the rest as a number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

_WIDE = 10.0  # points from pin to pin
_ROWS = (21.0, 10.0)
_MORE = 26.0  # points that a number takes
_SAME = 60.0  # points; findings this near to one another share a place


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A pin with its head at (x, y), for a finding by its place in the list; or "+n" for n `more` from there on."""

    x: float
    y: float
    finding: int
    more: int = 0


def pins_of(placed: Sequence[tuple[int, float]], width: float, *, selected: int) -> tuple[Pin, ...]:
    """The pins of findings at (place in the list, x); the one in hand always has one."""
    groups: list[list[tuple[int, float]]] = []
    for finding, x in sorted(placed, key=lambda each: (each[1], each[0])):
        if groups and x - groups[-1][0][1] < _SAME:
            groups[-1].append((finding, x))
        else:
            groups.append([(finding, x)])
    middles = [sum(x for _, x in group) / len(group) for group in groups]
    pins: list[Pin] = []
    for n, group in enumerate(groups):
        left = (middles[n - 1] + middles[n]) / 2 if n else 0.0
        right = (middles[n] + middles[n + 1]) / 2 if n + 1 < len(groups) else width
        pins += _group([finding for finding, _ in group], middles[n], (left, right), selected)
    return tuple(pins)


def _group(findings: Sequence[int], middle: float, room: tuple[float, float], selected: int) -> list[Pin]:
    """The pins of one place, about its middle as far as the room between its neighbours lets them."""
    order = sorted(findings)  # the worst first
    reach = max(room[1] - room[0] - _WIDE, 2 * _WIDE)
    columns = max(1, int(reach / _WIDE))
    rows = 1 if len(order) <= columns else len(_ROWS)
    more = 0
    if len(order) > columns * rows:
        columns = max(1, int((reach - _MORE) / _WIDE))
        more = len(order) - columns * rows
    shown = order[: len(order) - more]
    if selected in order and selected not in shown:
        shown[-1] = selected
    columns = -(-len(shown) // rows)
    wide = (columns - 1) * _WIDE + (_MORE if more else 0.0)
    start = min(max(middle - wide / 2, room[0] + _WIDE), max(room[1] - _WIDE - wide, room[0] + _WIDE))
    pins = [
        Pin(x=start + (n % columns) * _WIDE, y=_ROWS[n // columns], finding=finding) for n, finding in enumerate(shown)
    ]
    if more:
        hidden = next(finding for finding in order if finding not in shown)
        pins.append(Pin(x=start + columns * _WIDE + 3, y=sum(_ROWS) / 2, finding=hidden, more=more))
    return pins
