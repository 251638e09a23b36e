"""A part is drawn on another layer than in all other frames: it has their face, stock and role, and not its own."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from scrieve.shared.findings import Finding
from scrieve.shared.names import is_settled, plate_of
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import WRITTEN
from scrieve.shared.wording import listed

from ...boat.evidence import subjects
from ...boat.frame import Frame
from ...boat.part import Part
from ...geometry.plane import mirrored
from ..case import Case, Hypothesis

_FEWEST = 2  # other frames that draw it, all on one layer
_ABOUT = 5.0  # mm round a part; what it takes from others, or leaves them, lies no further


def propose(case: Case) -> Iterator[Hypothesis]:
    """The parts of a frame that much is found of and that all others draw as core, or as plates, by the layer of these.

    One without its label, which may stand on the other layer, is known by its image on the other side.
    """
    layers: dict[str, dict[str, str]] = {}
    for each in case.boat.parts():
        layers.setdefault(each.label, {})[each.frame] = each.source.layer
    for frame in case.boat.frames:
        wrong: dict[tuple[str, str, str], list[Part]] = {}
        for part in frame.parts:
            others = [on for number, on in layers[part.label].items() if number != frame.number]
            meant, where = others[0] if others else "", "in all other frames"
            if not is_settled(part.label):
                twin = _image_of(part, frame)
                meant, where = (twin.source.layer, twin.name) if twin else ("", "")
            elif len(others) < _FEWEST or len(set(others)) > 1 or not _is_other(case, part, meant):
                continue
            if meant not in ("", part.source.layer):
                wrong.setdefault((part.source.layer, meant, where), []).append(part)
        for (drawn, meant, where), parts in wrong.items():
            names = listed(dict.fromkeys(plate_of(part.name) for part in parts))
            yield Hypothesis(
                says=Sentence.of(
                    "{parts} {are} drawn on layer {drawn}, {where} on {meant}",
                    parts=names,
                    are="are" if len({plate_of(part.name) for part in parts}) > 1 else "is",
                    drawn=Name(drawn),
                    where=Name(where),
                    meant=Name(meant),
                ),
                cure=Sentence.of("put {parts} on layer {meant}", parts=names, meant=Name(meant)),
                edits=(),
                trace=_trace(case, frame, parts),
                frame=frame.number,
                source=parts[0].source,
                subjects=subjects(*parts),
                evident=True,
            )


def _is_other(case: Case, part: Part, layer: str) -> bool:
    """Whether it is core here and a plate there, or the reverse: plates of an end frame may lie as they like."""
    return (part.face == "core") != (case.plan.layers[layer].face == "core")


def _image_of(part: Part, frame: Frame) -> Part | None:
    """The part of the frame on the other side that has this one's form and place there, on whichever layer."""
    image = mirrored(part.shape).bounds
    for each in frame.parts:
        if (
            each is not part
            and is_settled(each.label)
            and np.allclose(each.shape.bounds, image, rtol=0.0, atol=WRITTEN)
        ):
            return each
    return None


def _trace(case: Case, frame: Frame, parts: list[Part]) -> tuple[Finding, ...]:
    """What is found of these parts, or about them in their frame."""
    names = {part.name for part in parts}
    wood = shapely.union_all([part.shape for part in parts])
    return tuple(
        each
        for each in case.findings
        if any(subject.name in names for subject in each.subjects)
        or (
            each.frame == frame.number
            and each.at is not None
            and wood.distance(shapely.Point(frame.placement.to_frame([each.at])[0][:2])) <= _ABOUT
        )
    )
