"""The known word nearest to one that is not known, for messages that help."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

_LONGEST_WORD = 40
_MOST_WORDS = 200


def nearest(word: str, known: Iterable[str], *, like: float = 0.6) -> str | None:
    """The known word most like `word`, None where none is like it.

    Case, and whether words are joined by `-`, `_` or a space, count as nothing. Only the first 40
    characters and 200 words are looked at: a hint is not worth a wait. `like` is 1 for the same word.
    """
    plain = {_plain(candidate): candidate for candidate in sorted(known)[:_MOST_WORDS]}
    found = get_close_matches(_plain(word), plain, n=1, cutoff=like)
    return plain[found[0]] if found else None


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A tail for a message, `; did you mean "station"?`, empty where nothing is near."""
    found = nearest(word, known)
    return f'; did you mean "{found}"?' if found is not None else ""


def _plain(word: str) -> str:
    return word[:_LONGEST_WORD].casefold().replace("-", "_").replace(" ", "_")
