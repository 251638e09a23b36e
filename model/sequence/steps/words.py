"""How steps are put into words: names without their frame, screws by their numbers, ways as a builder sees them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Literal

import numpy as np

from scrieve.shared.names import plate_of, within_frame
from scrieve.shared.wording import ways

from ...boat.part import Part
from ..way import Triple, Way

STRAIGHT = "straight down"
"""How most things come to their places on the bench."""

_LEAST = 0.05  # kg; less is not said to weigh anything
_FLAT = 0.5  # a direction that is steeper than this (30 degrees) to the frame's plane leads on to the board


def short(name: str) -> str:
    """A part's or screw's name within its frame: "port side" of "F5 port side", without the face of a plate."""
    return plate_of(within_frame(name))


def sideless(name: str) -> str:
    """The same without its side: "chine gusset"."""
    return short(name).removeprefix("port ").removeprefix("starboard ")


def named(names: Iterable[str]) -> str:
    """Parts of one frame in a row: "floor, port and starboard side"; a pair is said at the place of its first."""
    own = [short(name) for name in names]
    said: list[str] = []
    for name in own:
        side, _, what = name.partition(" ")
        other = {"port": "starboard", "starboard": "port"}.get(side)
        if other is not None and f"{other} {what}" in own:
            name = f"port and starboard {what}"
        if name not in said:
            said.append(name)
    return in_a_row(said)


def plates_named(names: Sequence[str]) -> str:
    """The same, where all are pairs the sides once: "chine gusset and sheer gusset, port and starboard"."""
    own = [short(name) for name in names]
    kinds = list(dict.fromkeys(map(sideless, names)))
    paired = {f"{side} {kind}" for side in ("port", "starboard") for kind in kinds}
    return f"{in_a_row(kinds)}, port and starboard" if len(kinds) > 1 and paired == set(own) else named(names)


def in_a_row(words: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c", in the order given, commas alone where one has an "and" itself; "" for none."""
    if len(words) < 2 or any(" and " in word for word in words):
        return ", ".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def numbered(names: Iterable[str]) -> str:
    """Screws or dowels of one frame by their numbers: "forward screws 1 to 4 and 7"."""
    kinds: dict[str, list[int]] = {}
    others: list[str] = []
    for name in names:
        kind, _, number = short(name).rpartition(" ")
        if number.isdigit():
            kinds.setdefault(kind, []).append(int(number))
        else:
            others.append(short(name))
    said = [f"{kind}{'s' if len(numbers) > 1 else ''} {_runs(sorted(numbers))}" for kind, numbers in kinds.items()]
    return in_a_row([*said, *others])


def _runs(numbers: Sequence[int]) -> str:
    """ "1 to 4, 7 and 9"."""
    runs = [[n for _, n in run] for _, run in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0])]
    said: list[str] = []
    for run in runs:
        said += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(n) for n in run]
    return in_a_row(said)


def on_the_bench(way: Way) -> str:
    """How a part comes to its place on the assembly board, or a leg on the frame that lies there."""
    toward = in_plane(way.toward)
    if way.how == "slide" and toward:
        return f"set it down beside its place and slide it {toward}"
    return f"{STRAIGHT}, {toward}" if toward else STRAIGHT


def weight(parts: Iterable[Part]) -> str:
    """ "12.3 kg" for these parts; empty where the stock of one has no density, and for less than 50 g."""
    given = list(parts)
    mass = sum(part.mass for part in given)
    return f"{mass:.1f} kg" if mass >= _LEAST and all(part.density > 0 for part in given) else ""


def signed(value: float) -> str:
    """ "+1.2", "-0.3"; nought has no sign."""
    tenths = round(value, 1) + 0.0
    return f"{tenths:+.1f}" if tenths else "0.0"


def lying(face: str, *, labels: str) -> str:
    """ "aft face up: ...": how a frame lies with its labels "up" or "down" and its top away from the builder."""
    return f"{face} face up: labels {labels}, port on your {'right' if face == 'forward' else 'left'}"


def in_plane(toward: Triple) -> str:
    """The part of a way (y, v, w) in the frame's plane: "to port and towards the top"; empty if straight on to it."""
    y, v, w = toward
    if abs(w) > _FLAT * float(np.linalg.norm(toward)):
        return ""
    return ways((0.0, y, v)).replace("up", "towards the top").replace("down", "towards the bottom")


def in_setting_up(toward: Triple, build: Literal["upright", "inverted"]) -> str:
    """A way in hull axes as seen by who stands beside the boat: in an inverted build the boat's up is down."""
    x, y, z = toward
    return ways((x, y, z if build == "upright" else -z))
