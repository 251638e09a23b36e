"""Port and starboard in other tongues than ours: the words of these that labels use, for the plan to explain."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

SIDES: Mapping[str, str] = {
    "backbord": "port",
    "bb": "port",
    "bâbord": "port",
    "babord": "port",
    "babor": "port",
    "bombordo": "port",
    "bakboord": "port",
    "sinistra": "port",
    "steuerbord": "starboard",
    "sb": "starboard",
    "tribord": "starboard",
    "styrbord": "starboard",
    "estribor": "starboard",
    "estibordo": "starboard",
    "boreste": "starboard",
    "stuurboord": "starboard",
    "dritta": "starboard",
}
"""German, French, Scandinavian, Spanish, Portuguese, Dutch, Italian; from memory."""

_WORD = re.compile(r"[^\W\d_]+")


def side_words(texts: Iterable[str]) -> dict[str, str]:
    """Those words in the texts, as first written, and what they mean; none where only one of the sides is named."""
    found: dict[str, str] = {}
    for text in texts:
        for word in _WORD.findall(text):
            if word.casefold() in SIDES:
                found.setdefault(word.casefold(), word)
    if {SIDES[word] for word in found} != {"port", "starboard"}:
        return {}
    return {found[word]: SIDES[word] for word in sorted(found)}
