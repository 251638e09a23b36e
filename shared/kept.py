"""Values worked out once and kept by what they were worked out of, for as long as that lives."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

_Work = TypeVar("_Work", bound=Callable[..., Any])


class _Kept(dict[Any, Any]):
    """What one owner keeps: it stays behind where the owner is copied or sent to another process."""

    def __reduce__(self) -> tuple[type[_Kept], tuple[()]]:
        return _Kept, ()


def kept(work: _Work) -> _Work:
    """Has the first argument keep what comes of it and of the others, which are told apart as keys of a dict are."""

    @wraps(work)
    def ask(owner: Any, *others: Any) -> Any:
        values = owner.__dict__.setdefault("_kept", _Kept())
        key = (work, *others)
        if key not in values:
            values[key] = work(owner, *others)
        return values[key]

    return ask  # type: ignore[return-value]
