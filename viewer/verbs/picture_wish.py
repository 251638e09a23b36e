"""What `scrieve picture` is asked for, and what of that does not go together."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import PurePath
from types import MappingProxyType
from typing import NamedTuple

from scrieve.shared.errors import Mistake, UseError

from ..paper.sheet import LEAST
from ..paper.sight import Seen
from ..pictures.subject import VERB, Many, misused
from ..reports.style import plain
from ..scene.sides import Side

FACES: Mapping[Side | None, Seen | None] = MappingProxyType({None: None, "aft": "from aft", "forward": "from forward"})
"""How a drawing is seen by the side that is asked for; None for as the plan's drawings are."""

_LEAST, _MOST, _POINTS = 64, 12000, 50_000_000  # points of a picture: a side at least and at most, both together
_WIDEST = 2000.0  # mm of a drawing


class Wish(NamedTuple):
    """What the options say: the names and numbers as they were given, `size` as width and height."""

    frame: str | None
    step: int | None
    finding: int | None
    many: Many | None
    side: Side | None
    size: tuple[float, float] | None
    bare: bool


def is_drawing(out: str) -> bool:
    """Whether a name is that of a drawing rather than a picture. Raises UseError where it is of neither."""
    ending = PurePath(out).suffix.lower()
    if ending not in (".png", ".svg", ".webp"):
        raise UseError.at(f'a name ending in .png, .svg or .webp is wanted (got "{ending}")', path=out)
    return ending == ".svg"


def is_moving(out: str) -> bool:
    """Whether a name is that of a moving picture."""
    return PurePath(out).suffix.lower() == ".webp"


def size_of(size: str | None) -> tuple[float, float] | None:
    """Width and height of "1600x1000"; None for None. Raises UseError for anything else."""
    if size is None:
        return None
    found = re.fullmatch(r"(\d{1,5}(?:\.\d+)?)\s*[xX×]\s*(\d{1,5}(?:\.\d+)?)", size.strip())
    if found is None:
        raise misused(f'--size must be a width and a height, such as 1600x1000 (got "{plain(size)}")')
    return float(found[1]), float(found[2])


def refuse(wish: Wish, *, drawing: bool, moving: bool) -> None:
    """Raises UseError for options that do not go together, with all that is wrong."""
    named = (("--step", wish.step), ("--finding", wish.finding), ("--all", wish.many))
    one = [name for name, value in named if value is not None]
    others = [name for name, value in (("--side", wish.side), ("--bare", wish.bare)) if value]
    wrong = []
    if moving and wish.many != "steps":
        wrong.append("a moving picture shows steps: --all steps is wanted, or a name ending in .png")
    if len(one) > 1:
        wrong.append(f"{' and '.join(one)} do not go together: ask for one picture at a time")
    if wish.frame is not None and one and wish.many is None:
        wrong.append(f"--frame does not go with {one[0]}, which has its own")
    if drawing:
        if wish.frame is None and wish.finding is None:
            wrong.append("a drawing shows a frame or a finding: --frame NUMBER or --finding NUMBER is wanted")
        if wish.side not in FACES:
            wrong.append(f"a drawing is seen from one of the frame's faces: --side aft or forward (got {wish.side})")
        wrong += [f"{name} is for pictures: a name ending in .png is wanted" for name in (*one, *others)
                  if name not in ("--finding", "--side")]  # fmt: skip
    elif one:
        wrong += [f"{name} goes with the whole boat or with --frame alone" for name in others]
    wrong += _wrong_size(wish.size, drawing)
    if wrong:
        raise UseError([Mistake(path=VERB, what=what) for what in wrong])


def _wrong_size(size: tuple[float, float] | None, drawing: bool) -> list[str]:
    if size is None:
        return []
    shown = f"(got {size[0]:g}x{size[1]:g})"
    if drawing:
        if min(size) >= min(LEAST) and max(LEAST) <= max(size) <= _WIDEST:
            return []
        return [f"--size of a drawing must be from {max(LEAST):g}x{min(LEAST):g} to {_WIDEST:g} mm a side {shown}"]
    if any(side != int(side) for side in size):
        return [f"--size of a picture must be in whole points {shown}"]
    if min(size) < _LEAST or max(size) > _MOST or size[0] * size[1] > _POINTS:
        most = f"{_MOST} points a side and {_POINTS // 1_000_000} million in all"
        return [f"--size of a picture must be from {_LEAST}x{_LEAST} to {most} {shown}"]
    return []
