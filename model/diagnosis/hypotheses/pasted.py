"""A part is drawn as that of another frame: pasted in from there, to the hundredth of a millimetre."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Sentence

from ...boat.evidence import subjects
from ...boat.frame import Frame
from ...boat.part import Part
from ..case import Case, Hypothesis

_SAME = 0.02  # mm; drawings are written to less
_ABOUT = 50.0  # mm round a part; what it should meet lies no further
_MOST = 0.5  # share of a frame's parts that may be those of the other: else they are of one form, or one drawing


def propose(case: Case) -> Iterator[Hypothesis]:
    """Each part that much is found of and that is the same as its namesake in one other frame, of which less is."""
    found: dict[str, list[Finding]] = {}
    for finding in case.findings:
        for each in finding.subjects:
            found.setdefault(each.name, []).append(finding)
    for frame in case.boat.frames:
        for part in frame.parts:
            own = found.get(part.name, [])
            if not own or part.shape.centroid.x < -_SAME:  # its image to port tells of both
                continue
            for other in case.boat.frames:
                twin = _twin(part, other)
                if twin is None or other is frame or len(found.get(twin.name, [])) >= len(own):
                    continue
                if sum(_twin(each, other) is not None for each in frame.parts) > _MOST * len(frame.parts):
                    continue
                names = {
                    each.name for each in frame.parts if each.label.partition(" ")[2] == part.label.partition(" ")[2]
                }
                names = {each for each in names | {part.name} if _twin(case.parts[each], other) is not None}
                yield Hypothesis(
                    says=Sentence.of("{part} is drawn as {twin} is, in the same place", part=part, twin=twin),
                    cure=Sentence.of("draw {part} as {frame} wants it", part=part, frame=frame),
                    edits=(),
                    trace=tuple(each for each in case.findings if _is_of(each, names) or _is_by(each, frame, names)),
                    fewest=3,
                    frame=frame.number,
                    source=part.source,
                    subjects=subjects(part, twin),
                    evident=True,
                )


def _is_of(finding: Finding, names: set[str]) -> bool:
    return any(each.name in names for each in finding.subjects)


def _is_by(finding: Finding, frame: Frame, names: set[str]) -> bool:
    """Whether a finding of the frame lies about one of these parts."""
    if finding.frame != frame.number or finding.at is None:
        return False
    at = shapely.Point(frame.placement.to_frame([finding.at])[0][:2])
    return any(part.shape.distance(at) <= _ABOUT for part in frame.parts if part.name in names)


def _twin(part: Part, other: Frame) -> Part | None:
    """The part of another frame with the same name, face and outline, in the same place."""
    for each in other.parts:
        if (
            (each.label, each.face) == (part.label, part.face)
            and len(each.drawn.points) == len(part.drawn.points)
            and np.allclose(each.shape.bounds, part.shape.bounds, rtol=0.0, atol=_SAME)
            and abs(each.shape.area - part.shape.area) <= _SAME * part.shape.length
        ):
            return each
    return None
