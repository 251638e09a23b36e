"""`[[order]]` of a plan: what the plan wants to be put on before what, and what is wrong between its entries.

Parts are known only once the drawings are read; frames, battens and circles can be judged from the plan alone.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from typing import Any, TypeAlias

from scrieve.shared.findings import Source
from scrieve.shared.names import frame_of
from scrieve.shared.nearest import did_you_mean

from .label_reading import LabelReader
from .toml_places import TomlPlaces
from .toml_words import quoted

Loc: TypeAlias = tuple[str | int, ...]
Wish: TypeAlias = tuple[int, str, str]  # its place in the file, first, then

_KEYS = ("first", "then")
FACES = ("forward", "aft")
"""What stands behind the name of a plate, to tell the two of one outline apart."""

_MOST = 1000  # wishes looked at one by one: more than anybody reads mistakes of


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """A wish of the plan: `first` is put on before `then`; two parts of one frame, or two frames or battens.

    Parts are named as `Part.name` has it, frames as `Frame.name` ("F5"), battens as `Batten.name`.
    """

    first: str
    then: str
    source: Source

    @property
    def frame(self) -> str:
        """The number of the frame that the two are parts of; empty for two that are set up on the strongback."""
        return frame_of(self.first)


def as_reported(name: str, reader: LabelReader) -> str:
    """What reports call the part that a plan names as its label has it ("3 P side": "F3 port side"); else the name."""
    label, comma, face = name.rpartition(", ")
    if face not in FACES:
        label, comma, face = name, "", ""
    read = reader.alone(label)
    return f"F{read.frame} {read.label}{comma}{face}" if read.frame in reader.numbers and read.what else name


def order_mistakes(content: Mapping[str, Any], places: TomlPlaces) -> Iterator[tuple[Loc, str]]:
    """What is wrong with `[[order]]` as far as the plan alone can tell: the key path, and what."""
    wishes = content.get("order")
    if not isinstance(wishes, list):
        return
    numbers, battens = _numbers(content), _battens(content)
    marks = content.get("labels")
    words = {mark: said for mark, said in marks.items() if isinstance(said, str)} if isinstance(marks, dict) else {}
    reader = LabelReader(numbers=tuple(numbers), words=words)
    whole = [
        (index, wish["first"], wish["then"])
        for index, wish in enumerate(wishes)
        if isinstance(wish, dict) and all(isinstance(wish.get(key), str) for key in _KEYS)  # else refused already
    ]
    wrong = [found for wish in whole[:_MOST] for found in _wrong(*wish, numbers, battens, reader)]
    yield from wrong
    if not wrong:
        yield from _circle([(n, as_reported(a, reader), as_reported(b, reader)) for n, a, b in whole], places)


def _wrong(
    index: int, first: str, then: str, numbers: Collection[str], battens: Collection[str], reader: LabelReader
) -> Iterator[tuple[Loc, str]]:
    one, other = as_reported(first, reader), as_reported(then, reader)
    unknown = [key for key, name in zip(_KEYS, (one, other), strict=True) if not _is_known(name, numbers, battens)]
    for key in unknown:
        name = first if key == "first" else then
        if frame_of(name):
            yield ("order", index, key), f"a part of a frame that the plan has is wanted (got {quoted(name)})"
            continue
        near = did_you_mean(name, [*(f"F{number}" for number in numbers), *battens])
        yield ("order", index, key), f"there is no such frame, part or batten{near} (got {quoted(name)})"
    if unknown:
        return
    if one == other:
        yield ("order", index, "then"), f"something else than `first` is wanted (got {quoted(then)})"
    elif _own_frame(one, battens) != _own_frame(other, battens):
        what = "two parts of one frame, or two of the frames and battens, are wanted"
        yield ("order", index, "then"), f"{what} (got {quoted(then)} after {quoted(first)})"


def _circle(wishes: Sequence[Wish], places: TomlPlaces) -> Iterator[tuple[Loc, str]]:
    """The first wish, in the order of the file, that together with those above it runs in a circle."""
    if _round(wishes) is None:
        return
    least = bisect_left(range(len(wishes)), True, key=lambda last: _round(wishes[: last + 1]) is not None)
    index, first, _ = wishes[least]
    names = _round(wishes[: least + 1]) or []
    start = names.index(first)
    circle = [*names[start:-1], *names[:start], first]
    pairs = set(pairwise(circle))
    lines = [str(places.line_of("order", other)) for other, *pair in wishes[:least] if tuple(pair) in pairs]
    others = f"with line{'s' if len(lines) > 1 else ''} {', '.join(lines)} this"
    yield ("order", index), f"{others} runs in a circle: {' before '.join(map(quoted, circle))}"


def _round(wishes: Iterable[Wish]) -> list[str] | None:
    """A circle that these run in, each name before the next, the first once more at the end; None if there is none."""
    before: dict[str, list[str]] = {}
    for _, first, then in wishes:
        before.setdefault(then, []).append(first)
    try:
        TopologicalSorter(before).prepare()
    except CycleError as circle:
        names: list[str] = circle.args[1]
        return names
    return None


def _numbers(content: Mapping[str, Any]) -> list[str]:
    frames = content.get("frames")
    listed = frames if isinstance(frames, list) else []
    return [str(frame["number"]) for frame in listed if isinstance(frame, dict) and "number" in frame]


def _battens(content: Mapping[str, Any]) -> list[str]:
    """The battens' names as reports have them."""
    battens = content.get("battens")
    listed = battens if isinstance(battens, dict) else {}
    out = []
    for kind, batten in listed.items():
        sides = batten.get("sides") if isinstance(batten, dict) else None
        out += (
            [kind]
            if sides == "centre"
            else [f"{side} {kind}" for side in ("port", "starboard") if sides in (side, "both")]
        )
    return out


def _is_known(name: str, numbers: Collection[str], battens: Collection[str]) -> bool:
    """Whether it names a frame, a batten, or something in a frame of the plan."""
    own_frame = frame_of(name) or name.removeprefix("F")
    return name in battens or (name.startswith("F") and own_frame in numbers)


def _own_frame(name: str, battens: Collection[str]) -> str:
    return "" if name in battens else frame_of(name)
