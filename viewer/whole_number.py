"""Whole numbers on the command line: the parser alone would round 1.5, and take 0x10."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cyclopts import CoercionError, Token

_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")


def whole_number(_: object, tokens: Sequence[Token]) -> int:
    """The number in the one token. Raises CoercionError for any other word; made for a Parameter's `converter`."""
    (token,) = tokens
    if not _WHOLE.fullmatch(token.value):
        raise CoercionError(token=token, target_type=int)
    return int(token.value)
