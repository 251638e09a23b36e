"""Lines of a frame's core could not be taken: until they can, nothing that is found in the frame says more."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.findings import Finding, Level
from scrieve.shared.sentences import Name, Sentence

from ..case import Case, Hypothesis

_READ = ("outline", "label")
"""which tell what is drawn, whatever else is."""


def propose(case: Case) -> Iterator[Hypothesis]:
    """The first of what is wrong with the lines of a frame's core, where no plain change cures it."""
    for frame in case.boat.frames:
        roots = [each for each in case.of("outline") if each.frame == frame.number and _of_core(case, each)]
        if not roots or any(each.edits for each in roots):
            continue
        yield Hypothesis(
            says=roots[0].message,
            cure=roots[0].cure,
            edits=(),
            trace=(
                *roots,
                *(each for each in case.in_frames(frame.number) if each.check not in _READ),
                *(each for each in case.of("cut-sheet") if not each.frame and _names(case, each.message, frame.number)),
            ),
            frame=frame.number,
            source=roots[0].source or case.boat.source,
            root=roots[0],
            evident=True,
        )


def _of_core(case: Case, finding: Finding) -> bool:
    """Whether it is about lines that were drawn for the core, and that no outline came of."""
    layer = case.plan.layers.get(finding.source.layer) if finding.source else None
    drawn = layer is not None and layer.makes == "part" and layer.face == "core"
    return drawn and finding.level is Level.ERROR and not any(each.kind == "part" for each in finding.subjects)


def _names(case: Case, text: str, number: str) -> bool:
    """Whether a sentence names a part of that frame as drawings label it."""
    if isinstance(text, Sentence):
        return any(_names(case, value, number) for value in text.values.values())
    return isinstance(text, Name) and case.plan.label_reader.alone(text.strip(' "')).frame == number
