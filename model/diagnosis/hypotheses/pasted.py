"""A part is drawn as that of another frame: pasted in from there, to the hundredth of a millimetre."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import WRITTEN

from ...boat.evidence import subjects
from ...boat.frame import Frame
from ...boat.part import Part
from ..case import Case, Hypothesis

Values = NDArray[np.float64]

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
            if not own or part.shape.centroid.x < -WRITTEN:  # its image to port tells of both
                continue
            twins = [(twin, other) for other in case.boat.frames if other is not frame and (twin := _twin(part, other))]
            for twin, other in twins:
                here = _is_there(part, twin)
                if len(found.get(twin.name, [])) >= len(own) or not (here or (len(twins) == 1 and part.face == "core")):
                    continue
                if sum(_twin(each, other) is not None for each in frame.parts) > _MOST * len(frame.parts):
                    continue
                names = {
                    each.name for each in frame.parts if each.label.partition(" ")[2] == part.label.partition(" ")[2]
                }
                names = {each for each in names | {part.name} if _twin(case.parts[each], other) is not None}
                yield Hypothesis(
                    says=Sentence.of(
                        "{part} is drawn as {twin} is{where}",
                        part=part,
                        twin=twin,
                        where=", in the same place" if here else ", to the same form",
                    ),
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
    """The part of another frame with the same name, face and outline, wherever it is drawn."""
    size = np.subtract(part.shape.bounds[2:], part.shape.bounds[:2])
    for each in other.parts:
        if (
            (each.label, each.face) == (part.label, part.face)
            and len(each.drawn.points) == len(part.drawn.points)
            and np.allclose(np.subtract(each.shape.bounds[2:], each.shape.bounds[:2]), size, rtol=0.0, atol=WRITTEN)
            and abs(each.shape.area - part.shape.area) <= WRITTEN * part.shape.length
            and np.allclose(_middle(each), _middle(part), rtol=0.0, atol=WRITTEN)
        ):
            return each
    return None


def _middle(part: Part) -> Values:
    """Where the middle of a part's area lies, from the corner of its bounds, mm."""
    return np.asarray(shapely.get_coordinates(part.shape.centroid)[0] - part.shape.bounds[:2])


def _is_there(part: Part, twin: Part) -> bool:
    """Whether both lie in the same place of their frames."""
    return np.allclose(part.shape.bounds, twin.shape.bounds, rtol=0.0, atol=WRITTEN)
