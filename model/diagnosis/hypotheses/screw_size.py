"""The screws of a kind are of another length, or another gauge, than the plan says."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.findings import Finding
from scrieve.shared.screw_table import gauge_diameter, gauges, inch_lengths, inches
from scrieve.shared.sentences import Name, Sentence

from ...plan.plan import ScrewSpec
from ..case import Case, Hypothesis

_MILLIMETRES = (10.0, 12.0, 13.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0)
"""mm; the lengths that metric screws are sold in (DIN 7997, from memory)."""

_DIAMETERS = (3.0, 3.5, 4.0, 4.5, 5.0, 6.0)
"""mm; the shanks that they are sold in (the same)."""

_MANY, _SHARE = 8, 0.4  # findings, and share of the screws of a kind; a few may be wrong of themselves


def propose(case: Case) -> Iterator[Hypothesis]:
    """The longest length on sale that leaves wood before every tip, and the thickest shank that stands clear."""
    for kind, spec in case.plan.screws.items():
        own = {name for name, screw in case.screws.items() if screw.kind == kind}
        about = case.about(lambda subject, own=own: subject.name in own)  # type: ignore[misc]
        long = tuple(each for each in about if each.check == "screw-bite")
        thick = tuple(each for each in about if each.check in ("screw-edge", "screw-foul", "driver"))
        if len(long) >= min(_MANY, _SHARE * len(own)):
            yield from _shorter(case, kind, spec, own, long)
        if len(thick) >= _SHARE * len(own):
            yield from _thinner(case, kind, spec, thick)


def _shorter(case: Case, kind: str, spec: ScrewSpec, own: set[str], trace: tuple[Finding, ...]) -> Iterator[Hypothesis]:
    told = {subject.name for finding in trace for subject in finding.subjects} & own
    wood = [screw.left_beyond + spec.length for name in told if (screw := case.screws[name]).plies]
    if not wood:
        return
    most = min(wood) - case.boat.limits["screw_bite"]
    lengths = [length for length in (inch_lengths() if spec.gauge else _MILLIMETRES) if length <= most]
    if not lengths:
        return
    length = lengths[-1]
    yield Hypothesis(
        says=Sentence.of(
            "the {kind} screws are too long: {longest} leaves wood before every tip, the plan says {said}",
            kind=Name(kind),
            longest=_told(length),
            said=_told(spec.length),
        ),
        cure=Sentence.of("set screws.{kind}.length to {length}", kind=Name(kind), length=_told(length)),
        edits=case.plan.keys.set(("screws", kind), "length", length),
        trace=trace,
        source=case.plan.source_of("screws", kind, "length"),
    )


def _thinner(case: Case, kind: str, spec: ScrewSpec, trace: tuple[Finding, ...]) -> Iterator[Hypothesis]:
    now = spec.size.diameter
    room = [now * each.measured / each.limit for each in trace if each.measured is not None and each.limit]
    if not room:
        return
    key = "gauge" if spec.gauge else "diameter"
    sizes = [(n, gauge_diameter(n)) for n in gauges()] if spec.gauge else [(size, size) for size in _DIAMETERS]
    fitting = [size for size, diameter in sizes if diameter <= min(room) and diameter < now]
    if not fitting:
        return
    size = fitting[-1]
    said = spec.gauge or spec.diameter
    yield Hypothesis(
        says=Sentence.of(
            "the {kind} screws are too thick: {key} {size} stands clear of all edges, the plan says {said}",
            kind=Name(kind),
            key=key,
            size=f"{size:g}",
            said=f"{said:g}",
        ),
        cure=Sentence.of("set screws.{kind}.{key} to {size}", kind=Name(kind), key=key, size=f"{size:g}"),
        edits=case.plan.keys.set(("screws", kind), key, size),
        trace=trace,
        source=case.plan.source_of("screws", kind),
    )


def _told(length: float) -> str:
    return inches(length) or f"{length:g} mm"
