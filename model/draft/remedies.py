"""Which values of a lines file would let it be drafted: found by drafting with them, never by a rule of thumb."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel

from scrieve.shared.screw_table import gauges
from scrieve.shared.tolerances import COINCIDENT

from .lines import LinesFile
from .refusal import Key, Knob, Reason
from .worked_out import files_of, work_out

_MOST_TRIED = 400
"""frames worked out; a search that has not come to an end by then gives up, its reasons are told without advice."""

_CHECKED = 40  # as many frames as the dowels and the checks of a whole boat take the time of

_MOST_CHANGES = 8
_STEPS = (1.03, 1.07, 1.12, 1.2, 1.3, 1.45, 1.65, 1.9, 2.3, 3.0, 4.0)  # of a length, times or divided by
_ALONG = (5.0, 10.0, 20.0, 40.0, 70.0, 110.0, 160.0, 230.0, 320.0, 450.0, 700.0, 1000.0, 1500.0)  # mm, either way


@dataclass(frozen=True, slots=True, kw_only=True)
class NewValue:
    """A value in place of the file's, as the file writes it."""

    at: Key
    value: Any
    frame: str = ""

    def __str__(self) -> str:
        names = [str(key) for key in self.at if not isinstance(key, int) and key != "frames"]
        return f"{'.'.join(names)} = {_shown(self.value)}" + (f" for frame {self.frame}" if self.frame else "")


@dataclass(slots=True)
class _Search:
    """The file with the changes found so far, how many frames may yet be worked out, what no value of would do."""

    file: LinesFile
    left: int = _MOST_TRIED
    changes: list[NewValue] = field(default_factory=list)
    none: set[str] = field(default_factory=set)


def remedied(file: LinesFile, reasons: Sequence[Reason]) -> list[tuple[Reason, str]]:
    """Each reason with what to say: the fact and, where it was found, a value with which that reason is gone.

    The values together have been drafted with. A reason that no value mends is told without.
    """
    search = _Search(file=file)
    cured: dict[tuple[Key, str], NewValue] = {}
    left = list(reasons)
    given_up: set[tuple[Key, str]] = set()
    while left and len(search.changes) < _MOST_CHANGES:
        target = next((reason for reason in left if _name(reason) not in given_up), None)
        if target is None:
            break
        found = _best(search, target, left)
        if found is None:
            given_up.add(_name(target))
            continue
        change, search.file, after = found
        search.changes = [old for old in search.changes if old.at != change.at] + [change]
        remaining = {_name(reason) for reason in after}
        for reason in left:
            if _name(reason) not in remaining:
                cured[_name(reason)] = change
        left = after
    whole = not left
    told = [(reason, _told(reason, cured.get(_name(reason)), search.changes, whole=whole)) for reason in reasons]
    none = {_name(reason): k.name for reason in reasons for k in reason.knobs if k.spans and k.name in search.none}
    return [
        (reason, f"{said}; no {none[_name(reason)]} suits all frames" if _name(reason) in none else said)
        for reason, said in told
    ]


def _told(reason: Reason, change: NewValue | None, changes: Sequence[NewValue], *, whole: bool) -> str:
    # a change that a later one of the same value took the place of
    change = next((other for other in changes if change is not None and other.at == change.at), None)
    if change is None or not whole:
        return reason.what
    with_it = [str(other) for other in changes if other is not change]
    return f"{reason.what}; {change} would do" + (f", with {' and '.join(with_it)}" if with_it else "")


def _name(reason: Reason) -> tuple[Key, str]:
    return reason.at, reason.subject


def _best(
    search: _Search, target: Reason, reasons: Sequence[Reason]
) -> tuple[NewValue, LinesFile, list[Reason]] | None:
    """The change that mends the target and leaves the fewest reasons; the first of its knobs among equals.

    A place that other reasons name too is tried before one that only the target does, and on until none names it.
    """
    best: tuple[NewValue, LinesFile, list[Reason]] | None = None
    before = {_name(reason) for reason in reasons}
    shared = Counter(at for reason in reasons for at in _places(search.file, reason))
    knobs = [(knob, _place(search.file, knob, target.at)) for knob in target.knobs]
    for knob, at in sorted(knobs, key=lambda each: -shared[each[1]]):
        aim = target
        for value in _common(search, knob, at, reasons) if knob.spans else _values(search.file, knob, at):
            changed = _changed(search.file, at, value)
            if changed is None:
                continue
            after = _reasons(search, changed, aim)
            if after is None:
                continue
            names = {_name(reason) for reason in after}
            if _name(target) not in names and (len(after) < len(reasons) or not names & before):
                if best is None or len(after) < len(best[2]):
                    best = _change(changed, at), changed, after
                naming = [reason for reason in after if at in _places(changed, reason)]
                if not naming:
                    break
                aim = naming[0]
        if best is not None and {_name(reason) for reason in best[2]} < before:
            break
    return best


def _places(file: LinesFile, reason: Reason) -> set[Key]:
    return {_place(file, knob, reason.at) for knob in reason.knobs}


def _reasons(search: _Search, file: LinesFile, target: Reason) -> list[Reason] | None:
    """All that speaks against drafting these lines; None if the target still does, or if the search is at its end."""
    if target.at[0] == "frames":  # told by one frame for the price of one
        search.left -= 1
        if search.left < 0 or any(_name(reason) == _name(target) for reason in work_out(file, only=target.at)[1]):
            return None
    search.left -= len(file.frames)
    if search.left < 0:
        return None
    worked, reasons = work_out(file)
    if worked is not None:
        search.left -= _CHECKED
        reasons = files_of(file, worked)[2] if search.left >= 0 else [target]
    return None if any(_name(reason) == _name(target) for reason in reasons) else reasons


def _change(file: LinesFile, at: Key) -> NewValue:
    """What the file has in a place; of a section both sides."""
    frame = file.frames[at[1]].number if at[0] == "frames" and isinstance(at[1], int) else ""
    at = at[:-1] if isinstance(at[-1], int) else at
    return NewValue(at=at, value=_at(file, at), frame=frame)


def _common(search: _Search, knob: Knob, at: Key, reasons: Sequence[Reason]) -> Iterator[Any]:
    """The value nearest to the file's that suits every frame; without one that is kept in mind."""
    now, spans = _at(search.file, at), knob.spans
    for _ in search.file.frames:
        for other in (own.spans for reason in reasons for own in reason.knobs if own.name == knob.name and own.spans):
            both = ((max(a, c), min(b, d)) for a, b in spans for c, d in other)
            spans = tuple((low, high) for low, high in both if low <= high)
        if not spans:
            search.none.add(knob.name)
            return
        value = min((min(max(now, low), high) for low, high in spans), key=lambda each: abs(each - now))
        search.left -= len(search.file.frames)
        _, reasons = work_out(_changed(search.file, at, value))
        if not any(own.name == knob.name and own.spans for reason in reasons for own in reason.knobs):
            yield value
            return


def _place(file: LinesFile, knob: Knob, at: Key) -> Key:
    table, *rest = knob.name.split(".")
    if table == "stock":  # whose names may have dots
        return ("stock", knob.name.removeprefix("stock.").removesuffix(".size"), "size")
    frame = knob.frame if knob.frame is not None else at[1] if at[0] == "frames" else 0
    if table == "frames":
        return ("frames", frame, *rest)
    if at[0] == "frames" and isinstance(frame, int) and getattr(file.frames[frame], rest[0], None) is not None:
        return ("frames", frame, *rest)
    return (table, *(int(key) if key.isdigit() else key for key in rest))


def _values(file: LinesFile, knob: Knob, at: Key) -> Iterator[Any]:
    """What to try in a place, likeliest first, then nearest to what stands there."""
    now = _at(file, at)
    kind = at[-1]
    if kind == "kind":
        yield from () if now == "bulkhead" else ("bulkhead",)
        return
    if kind == "layers":
        yield from (int(value) for value in knob.tries if isinstance(value, int | float))
        yield from range((now or 1) + 1, 9)
        return
    yield from knob.tries
    if kind == "gauge":
        yield from sorted((gauge for gauge in gauges() if gauge < now), reverse=True)
    elif kind in ("station", "base"):
        yield from (round(now + way * step) for step in _ALONG for way in (1.0, -1.0))
    elif kind == "rake":
        yield from (round(now * share, 1) for share in (0.75, 0.5, 0.25, 0.0) if now)
    elif isinstance(now, int | float) and now > 0 and (not knob.tries or len(knob.tries) != 1):
        seen = {now}
        for value in (round(now * factor, 0 if now > 10 else 1) for step in _STEPS for factor in (step, 1 / step)):
            if value > 0 and value not in seen:
                seen.add(value)
                yield value


def _at(file: LinesFile, at: Key) -> Any:
    value: Any = file
    for key in at:
        if isinstance(key, int) or isinstance(value, dict):
            value = value[key]
        else:
            value = getattr(value, _FIELDS.get(str(key), str(key)))
    return value


_FIELDS = {"from": "start", "to": "end"}


def _changed(table: Any, at: Key, value: Any) -> Any:
    """The table with another value in one place; None where the file's own rules would not take it."""
    if not at:
        return value
    key = at[0]
    if isinstance(table, tuple):
        below = _changed(table[int(key)], at[1:], value)
        return None if below is None else (*table[: int(key)], below, *table[int(key) + 1 :])
    if isinstance(table, BaseModel):
        name = _FIELDS.get(str(key), str(key))
        below = _changed(getattr(table, name), at[1:], value)
        changed = None if below is None else table.model_copy(update={name: below})
        return changed if changed is not None and _takes(changed) else None
    below = _changed(table[key], at[1:], value)
    return None if below is None else {**table, key: below}


def _takes(table: BaseModel) -> bool:
    """Whether a table's values agree with one another."""
    section, arris = getattr(table, "section", None), getattr(table, "arris", None)
    return section is None or (section[0] >= section[1] and arris <= section[1] / 2 + COINCIDENT)


def _shown(value: Any) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(_shown(each) for each in value)}]"
    return f'"{value}"' if isinstance(value, str) else f"{round(value, 3):.10g}"
