"""What a label says: the frame's number, the side and the name in it, read in one place for all who need them.

People write "port side", "F3 PORT SIDE", "3 P side", "SIDE, STBD", "5A", or marks of their own that the plan explains.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

Side = Literal["port", "starboard", ""]

_WORDS: Mapping[str, Side] = {"port": "port", "starboard": "starboard", "stbd": "starboard", "stb": "starboard"}
_LETTERS: Mapping[str, Side] = {"p": "port", "s": "starboard"}
_FRAME = r"(?:frame|fr|f)[\s.#_-]*"
_GAP = r"[\s,;:/_().–-]*"
_SHORT = 2  # letters; capitals so few are a mark or an abbreviation and stay as they are
_HELD = "\0"
_OF_TITLES = re.compile(
    r"\b(?:boat|hull|scale|drawing|drawn|sheet|station|date|title|design|plan|view|seen|looking|rev|revision|\d+:\d+)\b",
    re.IGNORECASE,
)
_NOTHING_LEFT = "frame"  # the name of a part that is labelled with its frame's number alone


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelRead:
    """A label: its `text` as drawn, the number of the `frame` that it names, its `side`, and `what` is left of it.

    `frame` and `side` are "" where it names none.
    """

    text: str
    what: str
    frame: str = ""
    side: Side = ""

    @property
    def label(self) -> str:
        """The label as the rest of the model has it: "port side"; without a number or a side the text as drawn."""
        return f"{self.side} {self.what}".strip() or _NOTHING_LEFT


@dataclass(frozen=True, kw_only=True)
class LabelReader:
    """Reads labels: `numbers` are those of the plan's frames, `words` the designer's own marks and what they mean.

    `boat` is her name. `titles` are words, lower case, that stand before the number of a frame where it is drawn.
    With `sided` a single P or S is a side in every drawing, since it is in one of them.
    """

    numbers: tuple[str, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)
    boat: str = ""
    titles: frozenset[str] = frozenset()
    sided: bool = False

    def of_frame(self, texts: Iterable[str], own: str) -> dict[str, LabelRead]:
        """What the labels in the drawing of the frame numbered `own` say, by their text.

        A bare number in front is a frame's if it is `own`, or if most labels here have one and the same in front: else
        parts are numbered. Behind, only `own` may be one. A single letter P or S is a side if the frame is named too,
        if its counterpart is here, or in a boat that is `sided`.
        """
        these = sorted(set(texts))
        bare = Counter(number for text in these if (number := self._bare(text)))
        of_frames = 2 * max(bare.values(), default=0) > sum(bare.values()) > 1
        letters = {found[0].casefold() for text in these for found in _TOKEN.finditer(text)} & set(_LETTERS)
        sided = self.sided or letters == set(_LETTERS)
        behind = self._of_own_behind(these, own)
        return {
            text: self._read(
                text, bare=of_frames or self._bare(text) == own, letters=sided, behind=own if text in behind else ""
            )
            for text in these
        }

    def is_title(self, read: LabelRead) -> bool:
        """Whether a label names no part: the frame alone, the boat, or what is said of a drawing."""
        what = read.what.casefold()
        return not what or bool(_OF_TITLES.search(what)) or bool(self.boat and self.boat.casefold() in what)

    def numbered(self, text: str) -> tuple[str, str]:
        """The words, lower case, before a frame's number, and the number; ("", "") where other words follow, or none.

        What is set off behind the number counts for nothing ("spant 5, 2300 mm").
        """
        found = self._at_the_end.fullmatch(text.strip())
        return (found["words"].casefold(), self._plain(found["number"])) if found else ("", "")

    def titles_of(self, texts: Iterable[str], own: str) -> tuple[set[str], set[str]]:
        """Which of the texts in a frame's drawing are a word and its own number; and that if the word is of `titles`.

        None where several words stand before it, or the word before other numbers too: so parts are labelled.
        """
        read = [(text, *self.numbered(text)) for text in texts]
        these = {text for text, _, number in read if number == own}
        words = {words for text, words, _ in read if text in these}
        if len(words) != 1 or any(number != own for _, word, number in read if word in words):
            return set(), set()
        return these, these if words <= self.titles else set()

    def alone(self, text: str, *, letters: bool = False) -> LabelRead:
        """What a label that stands by itself says, on a cut sheet or in a plan: any frame's number may be in front.

        With `letters` a single P or S is a side even where no frame is named.
        """
        return self._read(text, bare=True, letters=letters)

    def _of_own_behind(self, texts: Sequence[str], own: str) -> set[str]:
        """The texts that end in the frame's own number alone, where that counts no parts.

        Parts are counted where the same words stand before other numbers too. Digits have to end most that end so.
        """
        if own.casefold() in _LETTERS:
            return set()
        found = {text: match for text in texts if (match := self._bare_behind.search(text))}
        before: dict[str, set[str]] = {}
        for text, match in found.items():
            before.setdefault(text[: match.start()].casefold(), set()).add(self._plain(match["number"]))
        these = {text for text, match in found.items() if before[text[: match.start()].casefold()] == {own}}
        return these if not own[:1].isdigit() or 1 < len(these) > len(found) / 2 else set()

    def _bare(self, text: str) -> str:
        found = self._in_front.match(text)
        return self._plain(found["number"]) if found and not found["word"] else ""

    def _read(self, text: str, *, bare: bool, letters: bool, behind: str = "") -> LabelRead:
        frame, rest = (behind, self._bare_behind.sub("", text)) if behind else self._frame(text, bare=bare)
        said = self._own_marks.sub(lambda mark: self._meanings[mark[0].casefold()], rest) if self.words else rest
        side, rest = _side(said, letters=letters or bool(frame))
        if rest == text:
            return LabelRead(text=text, what=text)
        what = (
            rest
            if any(c.islower() for c in text)
            else " ".join(word.lower() if len(word) > _SHORT else word for word in rest.split())
        )
        return LabelRead(text=text, what=what, frame=frame, side=side)

    def _frame(self, text: str, *, bare: bool) -> tuple[str, str]:
        """The number of the frame that a text names, and what is left; ("", text) if it names none."""
        found = self._in_front.match(text)
        if found and (found["word"] or bare):
            return self._plain(found["number"]), text[found.end() :]
        found = self._behind.search(text) or _UNKNOWN.match(text)
        if found is None:
            return "", text
        return self._plain(found["number"]), text[: found.start()] + text[found.end() :]

    def _plain(self, number: str) -> str:
        """The number as the plan spells it."""
        spelt = {each.casefold(): each for each in self.numbers}
        return spelt.get(number.casefold(), number)

    @cached_property
    def _one_of(self) -> str:
        longest = sorted(self.numbers, key=lambda number: (-len(number), number))
        return "|".join(re.escape(number) for number in longest) or r"(?!)"

    @cached_property
    def _in_front(self) -> re.Pattern[str]:
        # a letter may follow a digit ("5A"), and a digit a letter never
        ends = r"(?:(?<=\d)(?![\d.]\d*)|(?<!\d)(?!\w))"
        return re.compile(rf"\s*(?P<word>{_FRAME}|#\s*)?0*(?P<number>{self._one_of}){ends}{_GAP}", re.IGNORECASE)

    @cached_property
    def _at_the_end(self) -> re.Pattern[str]:
        # a number that begins with a letter stands apart
        return re.compile(
            rf"(?P<words>[^\W\d_](?:[^\d]*[^\W\d_])?)(?:[\s.:#_–-]+|(?=\d))0*(?P<number>{self._one_of})"
            r"(?:\s*[,;:(/–-].*)?",
            re.IGNORECASE,
        )

    @cached_property
    def _behind(self) -> re.Pattern[str]:
        return re.compile(rf"{_GAP}\b{_FRAME}0*(?P<number>{self._one_of})\b{_GAP}$", re.IGNORECASE)

    @cached_property
    def _bare_behind(self) -> re.Pattern[str]:
        return re.compile(rf"(?<=\w){_GAP}\b0*(?P<number>{self._one_of}|\d+)$", re.IGNORECASE)

    @cached_property
    def _meanings(self) -> dict[str, str]:
        return {mark.casefold(): meaning for mark, meaning in self.words.items()}

    @cached_property
    def _own_marks(self) -> re.Pattern[str]:
        longest = sorted(self.words, key=lambda mark: (-len(mark), mark))
        return re.compile(rf"(?<![^\W\d_])(?:{'|'.join(map(re.escape, longest))})(?!\w)", re.IGNORECASE)


def names_both_sides(texts: Iterable[str]) -> bool:
    """Whether two of the texts are the same but for the one letter P or S: there it is a side."""
    named: dict[str, set[str]] = {}
    for text in texts:
        for found in _TOKEN.finditer(text):
            if (letter := found[0].casefold()) in _LETTERS:
                named.setdefault(f"{text[: found.start()]}{_HELD}{text[found.end() :]}", set()).add(letter)
    return any(len(letters) > 1 for letters in named.values())


def without_side(label: str) -> str:
    """What is left of a label without the side that it begins with; lower case."""
    return _SIDE_IN_FRONT.sub("", label.casefold())


_SIDE_IN_FRONT = re.compile(r"^(port|starboard)\b\s*")

_UNKNOWN = re.compile(rf"\s*{_FRAME}0*(?P<number>\d+[a-z]?)\b{_GAP}", re.IGNORECASE)
"""A frame's number that the plan does not have."""

_TOKEN = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")


def _side(text: str, *, letters: bool) -> tuple[Side, str]:
    """The one side that a text names, and the text without it; ("", text) where it names none, or both."""
    known = {**_WORDS, **_LETTERS} if letters else _WORDS
    found = [
        (token, known[word])
        for token in _TOKEN.finditer(text)
        if (word := token[0].casefold().replace("'", "")) in known
    ]
    if len(found) != 1:
        return "", text
    token, side = found[0]
    held = text[: token.start()] + _HELD + text[token.end() :]
    return side, re.sub(rf"{_GAP}{_HELD}{_GAP}", " ", held).strip()
