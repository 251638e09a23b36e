"""What the texts of a drawing say of its frames: their numbers, the side they are seen from, their stations."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePosixPath

import numpy as np
import shapely

from scrieve.shared.errors import UseError
from scrieve.shared.plain_text import plain
from scrieve.shared.units import MM_PER_UNIT, length

from ..drawing import DrawnText
from ..plan.label_reading import LabelReader
from ..plan.plan import Seen, is_frame_number
from .frames_found import FoundFrame

_WORD = r"(?:[^\W\d_]{1,9}[\s.:#_-]{0,3})?"
_NUMBER = r"0*(?P<number>\d{1,4}[a-z]?)"
_IN_FRONT = re.compile(rf"^\W*{_WORD}{_NUMBER}(?![\w.])", re.IGNORECASE)
_BEHIND = re.compile(rf"(?:^|[\s,;:/_(.-]){_WORD}{_NUMBER}\W*$", re.IGNORECASE)
_IN_NAME = re.compile(r"0*(\d{1,4}[a-z]?)(?!.*\d)", re.IGNORECASE)
_TITLE = re.compile(rf"\b(?:frame|fr|f|spant|couple|cuaderna|ordinata)\.?[\s#:-]*{_NUMBER}(?!\w)", re.IGNORECASE)
"""How a frame is called, in some tongues; from memory."""

_ENDING = re.compile(r"(?<![^\W_])([a-z]{1,2})$", re.IGNORECASE)
_LETTER = re.compile(
    r"^\W*(?:(?:frame|fr|spant|couple|cuaderna|ordinata)\b[\s.:#_-]*)?([a-z]{1,2})\b(?=\W*\w)", re.IGNORECASE
)
_SOME = 0.3  # of the frames whose texts begin with their letters; in others the letter may be left out
_BY_FILE = "the drawing's name"

_STATION = re.compile(
    r"\b(?:station|stn|sta|st|x)\b[\s.:=@]*(?P<value>[-+]?\d+(?:\.\d+)?)\s*(?P<unit>mm|cm|m|in|ft|\"|')?(?!\w)",
    re.IGNORECASE,
)
_LEAST_STATION = 100.0  # a number without a unit that is less counts stations, or frames

_FORWARD: Seen = "from forward"
_AFT: Seen = "from aft"


@dataclass(frozen=True, kw_only=True, eq=False)
class NamedFrame:
    """A frame with its number; `because` says how it is known. `station`, mm, is None where none is written.

    `texts` are those that lie nearest to it; so many of them say that it is seen from aft, and from forward: `views`.
    It is `told` by nothing where its number is its place, or the order of the drawings.
    """

    found: FoundFrame
    number: str
    because: str
    texts: tuple[DrawnText, ...]
    told: bool = True
    station: float | None = None
    views: tuple[int, int] = (0, 0)

    @property
    def drawing(self) -> str:
        """The drawing that shows it."""
        return self.found.content.drawing.shown


def named(frames: Sequence[FoundFrame], words: Mapping[str, str]) -> list[NamedFrame]:
    """The frames with their numbers, no two alike, in the order of these; other views of one are left out.

    `words` are those of labels that mean a side. Raises UseError where folders hold a boat each.
    """
    by_drawing: dict[str, list[FoundFrame]] = defaultdict(list)
    for frame in frames:
        by_drawing[frame.content.drawing.shown].append(frame)
    texts = {id(frame): own for group in by_drawing.values() for frame, own in zip(group, _texts(group), strict=True)}
    out: list[NamedFrame] = []
    for shown, group in by_drawing.items():
        told = [_told(frame, texts[id(frame)], words) for frame in group]
        kept = _one_view_each(told)
        alone = len(kept) == 1
        for place, each in enumerate(kept, start=1):
            out.append(_numbered(each, shown if alone else "", place))
    out = _lettered(out)
    taken = Counter(frame.number for frame in out)
    _one_boat(out)
    if max(taken.values(), default=0) > 1:  # what names several names none
        out = [
            replace(frame, number=str(n), because="the order of the drawings", told=False)
            for n, frame in enumerate(out, start=1)
        ]
    return sorted(out, key=lambda frame: _order(frame.number))


def _lettered(frames: list[NamedFrame]) -> list[NamedFrame]:
    """The frames; those known by their drawings' names alone by letters, if these end in some that texts begin with.

    As "fr_a" and "fr_b" with "A floor", "B P side" in them: letters are no number but beside one another.
    """
    ends = [_ENDING.search(PurePosixPath(frame.drawing).stem) for frame in frames]
    if len(frames) < 2 or any(frame.told and frame.because != _BY_FILE for frame in frames) or not all(ends):
        return frames
    letters = [end[1].casefold() for end in ends if end is not None]
    said = [Counter(hit[1] for text in frame.texts if (hit := _LETTER.search(text.text))) for frame in frames]
    spelt = [sorted(each for each in found if each.casefold() == own) for own, found in zip(letters, said, strict=True)]
    if len(set(letters)) < len(letters) or sum(map(bool, spelt)) < _SOME * len(frames):
        return frames
    upper = all(each[0].isupper() for each in spelt if each)
    numbers = [each[0] if each else own.upper() if upper else own for own, each in zip(letters, spelt, strict=True)]
    because = "the drawing's name, as labels have it"
    return [replace(frame, number=number, because=because) for frame, number in zip(frames, numbers, strict=True)]


def _one_boat(frames: Sequence[NamedFrame]) -> None:
    """Raises UseError where folders that each number their frames have one of the same number."""
    folders: dict[str, dict[str, NamedFrame]] = defaultdict(dict)
    for frame in frames:
        own = folders[str(PurePosixPath(frame.drawing).parent)]
        if frame.number in own:  # so numbers tell nothing
            return
        own[frame.number] = frame
    first: dict[str, NamedFrame] = {}
    for frame in frames:
        if (other := first.setdefault(frame.number, frame)) is not frame:
            what = f"one boat is wanted: frame {frame.number} is drawn in {plain(frame.drawing)} too"
            raise UseError.at(f"{what}; name the folder of one", path=plain(other.drawing))


def seen_of(frames: Sequence[NamedFrame]) -> tuple[Seen, str]:
    """How the drawings look, and how that is known; "" for how where they do not show it."""
    aft, forward = (sum(frame.views[n] for frame in frames) for n in (0, 1))
    if aft != forward:
        side = "left" if aft > forward else "right"
        return (_AFT if aft > forward else _FORWARD), f"labels say port on the {side}"
    halves = Counter(frame.found.half for frame in frames if frame.found.half)
    if halves:
        side = halves.most_common(1)[0][0]
        return (_AFT if side == "left" else _FORWARD), f"the port half is drawn, on the {side}"
    return _AFT, ""


def _told(frame: FoundFrame, texts: tuple[DrawnText, ...], words: Mapping[str, str]) -> NamedFrame:
    """A frame with what its texts say; its number is "" where they say none."""
    said = [text.text for text in texts]
    found = Counter(number for text in said for number in _numbers(text))
    number, many = max(found.items(), key=lambda item: item[1], default=("", 0))
    because = "most labels say so"
    if many < 2 or 2 * many < len([text for text in said if any(c.isalpha() for c in text)]):
        titles = {m["number"] for text in said if (m := _TITLE.search(text))}
        number, because = (titles.pop(), "a title says so") if len(titles) == 1 else ("", "")
    unit = frame.content.drawing.unit
    stations = {place for text in said if (place := _station(text, unit)) is not None}
    reader = LabelReader(numbers=(number,) if number else (), words=words)
    sides = reader.of_frame(said, number)
    views = [0, 0]
    for text in texts:
        side = sides[text.text].side
        off = text.middle[0] - frame.origin[0]
        if side and off:
            views[(side == "port") != (off < 0)] += 1
    station = stations.pop() if len(stations) == 1 else None
    return NamedFrame(
        found=frame, number=number, because=because, texts=texts, station=station, views=(views[0], views[1])
    )


def _numbers(text: str) -> set[str]:
    """What stands for a number in front of a text, or behind it."""
    return {hit["number"] for hit in (_IN_FRONT.search(text), _BEHIND.search(text)) if hit is not None}


def _numbered(frame: NamedFrame, file: str, place: int) -> NamedFrame:
    """The frame with a number: its own, else that of the `file` that it is alone in, else its `place`."""
    number, because = frame.number, frame.because
    if not number and file:
        stem = PurePosixPath(file).stem
        inside = _IN_NAME.search(stem)
        number, because = (inside[1] if inside else stem), _BY_FILE
    if not is_frame_number(number):
        why = "its place in the drawing, from left to right"
        return replace(frame, number=str(place), because=why, told=False)
    return replace(frame, number=number, because=because)


def _one_view_each(frames: Sequence[NamedFrame]) -> list[NamedFrame]:
    """Of two views of one frame in a drawing the one that is seen as most are, or the first.

    Two are of one frame if they are of one form and either of one number, or seen from opposite sides, or as far apart
    as others that are.
    """
    as_most = sum(frame.views[0] - frame.views[1] for frame in frames) >= 0
    ranked = sorted(
        frames, key=lambda frame: frame.views[0] != frame.views[1] and (frame.views[0] > frame.views[1]) != as_most
    )
    forms = {id(frame): _form(frame) for frame in frames}
    pairs = [(one, other) for n, one in enumerate(ranked) for other in ranked[:n] if forms[id(one)] == forms[id(other)]]
    sure = [pair for pair in pairs if pair[0].number == pair[1].number != "" or _opposite(*pair)]
    ways = {_way(*pair) for pair in sure}
    dropped = {id(one) for one, other in pairs if _way(one, other) in ways}
    return [frame for frame in frames if id(frame) not in dropped]


def _opposite(one: NamedFrame, other: NamedFrame) -> bool:
    return (one.views[0] - one.views[1]) * (other.views[0] - other.views[1]) < 0


def _way(one: NamedFrame, other: NamedFrame) -> tuple[int, int]:
    """From one frame's origin to another's, mm."""
    here, there = one.found.origin, other.found.origin
    return round(there[0] - here[0]), round(there[1] - here[1])


def _form(frame: NamedFrame) -> tuple[tuple[str, float, float], ...]:
    found, stack = frame.found, frame.found.content.stack
    sizes = (np.abs(stack.areas[found.pieces]), stack.lengths[found.pieces])
    return tuple(sorted(zip(found.layers.tolist(), *(np.round(size, 0).tolist() for size in sizes), strict=True)))


def _texts(frames: Sequence[FoundFrame]) -> list[tuple[DrawnText, ...]]:
    """The texts that lie nearest to each of the frames of one drawing, those nearer to other things left out."""
    texts = frames[0].content.drawing.texts
    boxes = [frame.box for frame in frames] + [tuple(row) for row in frames[0].others.tolist()]
    if not texts:
        return [() for _ in frames]
    points = shapely.points([text.at for text in texts])
    away = np.array([shapely.distance(shapely.box(*box), points) for box in boxes])
    nearest = away.argmin(axis=0)
    return [tuple(text for text, n in zip(texts, nearest.tolist(), strict=True) if n == k) for k in range(len(frames))]


def _station(text: str, unit: str) -> float | None:
    """The station that a text names, mm; a bare number is in `unit`."""
    found = _STATION.search(text)
    if found is None:
        return None
    if found["unit"]:
        return length(f"{found['value']} {found['unit']}")
    value = float(found["value"])
    return value * MM_PER_UNIT[unit] if abs(value) >= _LEAST_STATION else None


def _order(number: str) -> tuple[int, int, str]:
    digits = re.match(r"\d+", number)
    return (0, int(digits[0]), number) if digits else (1, 0, number)
