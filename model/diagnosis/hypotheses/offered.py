"""A key of the plan that findings offer to set: what they say of one frame or batten may explain the rest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scrieve.shared.edits import Key, SetKey
from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Name, Sentence

from ..case import Case, Hypothesis

_KEYS = ("section", "sides", "arris", "origin", "extent", "station", "mirror", "rake", "diameter")


def propose(case: Case) -> Iterator[Hypothesis]:
    """Each key of a table with each value that is offered for it."""
    offered: dict[tuple[Key, str], list[tuple[SetKey, Finding]]] = defaultdict(list)
    for finding in case.findings:
        edit = finding.edits[0] if len(finding.edits) == 1 else None
        if isinstance(edit, SetKey) and edit.value and edit.key[-1] in _KEYS and edit.key[0] != "cutter":
            offered[edit.key, edit.value].append((edit, finding))
    for (key, value), offers in offered.items():
        edit, first = offers[0]
        where, frame, more = _reach(case, key)
        said = case.plan.places.values.get(key)
        trace = dict.fromkeys(map(id, (*(finding for _, finding in offers), *more)))
        yield Hypothesis(
            says=Sentence.of(
                "{where} is drawn with {key} = {value}, {said}",
                where=where,
                key=Name(key[-1]),
                value=Name(value),
                said=Sentence.of("the plan says {was}", was=Name(_text(case, said)))
                if said
                else "which the plan leaves out",
            ),
            cure=Sentence.of("set {key} of {where} to {value}", key=Name(key[-1]), where=where, value=Name(value)),
            edits=(edit,),
            trace=tuple(finding for finding in case.findings if id(finding) in trace),
            frame=frame,
            source=case.plan.source_of(*key),
            subjects=first.subjects if frame else (),
        )


def _reach(case: Case, key: Key) -> tuple[Name, str, tuple[Finding, ...]]:
    """What the table of a key is called, the number of its frame, and what is found of it."""
    table, name = key[0], key[1]
    if table == "frames" and isinstance(name, int):
        number = case.plan.frames[name].number
        return Name(f"F{number}"), number, case.in_frames(number)
    if table == "battens":
        kinds = {batten.name for batten in case.boat.battens if batten.kind == name}
        return Name(f"the {name}"), "", case.about(lambda each: each.kind == "batten" and each.name in kinds)
    return Name(f"[{key[0]}]"), "", case.of("dowel")


def _text(case: Case, extent: tuple[tuple[int, int], tuple[int, int]]) -> str:
    (line, start), (last, end) = extent
    return case.plan.places.text.split("\n")[line - 1][start - 1 : end - 1 if last == line else None]
