"""A part lies off its place one way: what it should meet is off alike, in each finding as it shows there."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Finding
from scrieve.shared.marks import Span
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import WRITTEN
from scrieve.shared.wording import mm, ways

from ...boat.editing import move
from ...boat.evidence import subjects
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.plane import mirrored
from ...relations.twins import swapped
from ..case import Case, Hypothesis

Values = NDArray[np.float64]

_PARTS = 2  # those of which most is found
_WAYS = 2  # for each
_FEWEST = 3  # findings of a part, and spans that agree on how it lies off
_LEAST, _MOST = 0.5, 60.0  # mm; what lies off by less is told as it is, by more is another mistake
_ALIKE = 0.3  # mm by which spans may differ from what they would be
_PLAY = 0.03  # what the span of a notch, which has play, is worth beside one of wood on wood
_UPRIGHT = 0.1  # sine of the angle below which two spans run alike
_SPANS = 24  # of a part, so that they are paired in no time


def propose(case: Case) -> Iterator[Hypothesis]:
    """The parts that most is found of, brought back by what most spans between them and what they meet agree on."""
    about: dict[str, list[Finding]] = {}
    for finding in case.findings:
        for each in finding.subjects:
            if each.kind == "part" and finding.check not in ("cut-sheet", "label"):
                about.setdefault(each.name, []).append(finding)
    for name in sorted(about, key=lambda each: (-len(about[each]), each))[:_PARTS]:
        part = case.parts.get(name)
        if part is None or len(about[name]) < _FEWEST:
            continue
        frame = case.frames[part.frame]
        by_twin = _as_twin(part, frame)
        spanned = [signed for by in _ways(*_spans(about[name], frame)) for signed in (by, -by)]
        for by in [by_twin] if by_twin is not None else spanned:
            yield _moved(frame, part, by, tuple(about[name]))


def _moved(frame: Frame, part: Part, by: Values, trace: tuple[Finding, ...]) -> Hypothesis:
    centre = part.shape.centroid
    size = float(np.hypot(*by))
    off, (there,) = mm(size), frame.placement.vector_to_hull([(*by, 0.0)])
    edits = move(frame, part, (centre.x + float(by[0]), centre.y + float(by[1])))
    return Hypothesis(
        says=Sentence.of("{part} lies {off} too far {there}", part=part, off=off, there=ways(-there)),
        cure=Sentence.of("move {part} {off} {there}", part=part, off=off, there=ways(there)),
        edits=edits,
        trace=trace,
        fewest=_FEWEST,
        frame=frame.number,
        like=True,  # its holes and pockets are not moved with it
        brings=frozenset({"cut-sheet"}),
        source=part.source,
        subjects=subjects(part),
    )


def _as_twin(part: Part, frame: Frame) -> Values | None:
    """(2,) the way to where its image on the other side has it, mm; None without one that lies otherwise."""
    for twin in frame.parts:
        if twin.label == swapped(part.label) != part.label and twin.face == part.face:
            left, low, right, high = mirrored(twin.shape).bounds
            by = np.subtract((left, low, right, high), part.shape.bounds)
            if np.ptp(by[::2]) <= WRITTEN and np.ptp(by[1::2]) <= WRITTEN and _LEAST <= np.hypot(*by[:2]) <= _MOST:
                return np.asarray(by[:2])
    return None


def _spans(findings: list[Finding], frame: Frame) -> tuple[Values, Values]:
    """(n, 2) the spans in the frame's plane that were measured, as vectors, mm; (n,) how much each is worth."""
    out, worth = [], []
    for finding in findings:
        for mark in finding.evidence:
            if isinstance(mark, Span) and mark.frame == frame.number:
                start, end = frame.placement.to_frame([mark.start, mark.end])[:, :2]
                out.append(end - start)
                worth.append(_PLAY if finding.check.startswith("notch") else 1.0)
    vectors = np.array(out).reshape(-1, 2)
    large = np.hypot(*vectors.T) >= _ALIKE
    return vectors[large][:_SPANS], np.array(worth)[large][:_SPANS]


def _ways(spans: Values, worth: Values) -> list[Values]:
    """(2,) each: the ways, up to their sign, that most spans are what shows of them across what is met there."""
    if len(spans) < _FEWEST:
        return []
    sizes = np.hypot(*spans.T)
    normals = spans / sizes[:, None]
    candidates = [*spans]
    for a, b in combinations(range(len(spans)), 2):
        if abs(normals[a, 0] * normals[b, 1] - normals[a, 1] * normals[b, 0]) > _UPRIGHT:
            candidates += [np.linalg.solve(normals[[a, b]], [sizes[a], sign * sizes[b]]) for sign in (1.0, -1.0)]
    tried = np.array(candidates)
    tried = tried[(np.hypot(*tried.T) >= _LEAST) & (np.hypot(*tried.T) <= _MOST)]
    if not len(tried):
        return []
    shown = np.abs(tried @ normals.T)
    agree = (np.abs(shown - sizes) <= _ALIKE).sum(axis=1)
    found: list[Values] = []
    for n in np.lexsort((np.hypot(*tried.T), -agree)).tolist():
        if agree[n] < _FEWEST or len(found) == _WAYS:
            break
        way = _refined(tried[n], normals, sizes, worth)
        if all(min(np.hypot(*(way - each)), np.hypot(*(way + each))) > _ALIKE for each in found):
            found.append(way)
    return found


def _refined(by: Values, normals: Values, sizes: Values, worth: Values) -> Values:
    """The way that fits best all spans that agree with it, by what each is worth."""
    shown = normals @ by
    agree = np.abs(np.abs(shown) - sizes) <= _ALIKE
    weights = worth[agree]
    best, *_ = np.linalg.lstsq(
        normals[agree] * weights[:, None], np.sign(shown)[agree] * sizes[agree] * weights, rcond=None
    )
    return np.asarray(np.round(best, 2))
