"""A half drawing is taken for a whole one, or a whole one for a half."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.edits import Edit
from scrieve.shared.sentences import Quantity, Sentence
from scrieve.shared.wording import listed

from ...boat.frame import Frame
from ..case import Case, Hypothesis

_OVER = 1.0  # mm; what reaches less across the centreline lies to one side of it


def propose(case: Case) -> Iterator[Hypothesis]:
    """All frames that are half drawn or not against what the plan says, together; and each of them alone."""
    halves = [number for number, frame in case.frames.items() if not frame.view.half and _is_half(frame)]
    wholes = [number for number, frame in case.frames.items() if frame.view.half and case.in_frames(number)]
    for mirror, numbers in ((True, halves), (False, wholes)):
        for these in [numbers, *([[number] for number in numbers] if not mirror and len(numbers) > 1 else [])]:
            edits: tuple[Edit, ...] = ()
            for number in these:
                edits += case.plan.keys.set(("frames", case.index_of(number)), "mirror", mirror)
            yield Hypothesis(
                says=Sentence.of(
                    "only half of {frames} is drawn, and the plan does not say so"
                    if mirror
                    else "all of {frames} is drawn, and the plan says only half is",
                    frames=listed(f"F{number}" for number in these),
                ),
                cure=Sentence.of(
                    "set mirror = {mirror} for {frames}",
                    mirror=str(mirror).lower(),
                    frames=listed(f"F{number}" for number in these) if these else Quantity.of(0, "none"),
                ),
                edits=edits,
                trace=tuple(
                    {id(each): each for each in (*case.in_frames(*these), *case.of("outline") * (not mirror))}.values()
                ),
                frame=these[0] if len(these) == 1 else "",
                source=case.plan.source_of("frames", case.index_of(these[0]), "mirror") if these else case.boat.source,
            )


def _is_half(frame: Frame) -> bool:
    """Whether all that is drawn of a frame lies to port."""
    return bool(frame.core) and all(part.drawn.points[:, 0].min() > -_OVER for part in frame.parts)
