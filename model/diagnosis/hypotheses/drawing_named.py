"""One drawing is named for two frames: one of them has a drawing of its own that the plan does not name."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from scrieve.shared.sentences import Name, Sentence

from ...plan.plan import FrameSpec
from ..case import Case, Hypothesis

_TRIED = 2  # drawings for one frame


def propose(case: Case) -> Iterator[Hypothesis]:
    """The drawings in the same folder that no frame names, for each of two frames that are drawn at one place."""
    named = {spec.drawing for spec in case.plan.frames} | {sheet.drawing for sheet in case.plan.cut_sheets}
    for pair in combinations(case.plan.frames, 2):
        if (pair[0].drawing, pair[0].origin) != (pair[1].drawing, pair[1].origin):
            continue
        for spec, other in (pair, pair[::-1]):
            for drawing in _others(case, spec, other, named)[:_TRIED]:
                index = case.index_of(spec.number)
                yield Hypothesis(
                    says=Sentence.of(
                        "{drawing} is named for F{frame} and for F{other}, and {own} for none",
                        drawing=Name(spec.drawing),
                        frame=Name(spec.number),
                        other=Name(other.number),
                        own=Name(drawing),
                    ),
                    cure=Sentence.of(
                        "set drawing of F{frame} to {own}", frame=Name(spec.number), own=Name(f'"{drawing}"')
                    ),
                    edits=case.plan.keys.set(("frames", index), "drawing", drawing),
                    trace=tuple(
                        finding
                        for finding in case.findings
                        if finding.frame == spec.number or any(each.frame == spec.number for each in finding.subjects)
                    ),
                    fewest=2,
                    frame=spec.number,
                    alike=frozenset((spec.number, other.number)),
                    source=case.plan.source_of("frames", index, "drawing"),
                )


def _others(case: Case, spec: FrameSpec, other: FrameSpec, named: set[str]) -> list[str]:
    """Drawings beside that of a frame that are not named, the one that is called as the frame is first."""
    beside = (case.plan.folder / spec.drawing).parent
    found = [f"{spec.drawing.rpartition('/')[0]}/{file.name}".lstrip("/") for file in sorted(beside.glob("*.dxf"))]
    free = [drawing for drawing in found if drawing not in named]
    return sorted(free, key=lambda drawing: drawing != spec.drawing.replace(other.number, spec.number))
