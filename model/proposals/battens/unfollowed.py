"""Battens of a plan that cannot be followed through their frames: told with the notches nearest to what they want."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

import numpy as np
import shapely

from scrieve.shared.findings import Level
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import place

from ...boat.batten import Batten
from ...boat.defect import Defect
from ...boat.frame import Frame
from ...plan.plan import Plan
from .batten_names import batten_side, kind_of
from .found_extending import STRAY
from .found_notch import Slot

_NAMED = 3  # notches that are quoted
_FEWEST = 2  # frames; in one alone nothing can be followed


def unfollowed(
    plan: Plan, name: str, count: int, frames: Sequence[Frame], spare: Mapping[str, Sequence[Slot]]
) -> Defect:
    """What is said of a batten that `count` frames, none or one, hold: no check looks at it.

    An error, as the plan says that there is such a batten; a note in a boat of one frame.
    """
    shown = "no frame shows" if count == 0 else "only one frame shows"
    kind = kind_of(plan, name)
    whole = sum(bool(frame.core) for frame in frames) >= _FEWEST
    return Defect(
        message=Sentence.of(
            "the {batten} batten is not checked: {shown} its section or a notch that fits it, two or more are needed "
            "to follow it{near}",
            batten=Name(name),
            shown=shown,
            near=_nearest(plan, name, frames, spare),
        ),
        level=Level.ERROR if whole else Level.NOTE,
        source=plan.source_of("battens", kind, "section"),
        cure=Sentence.of(
            "set battens.{kind}.section to what its notches hold, cut the notches for it, or draw its section in each "
            'frame it passes, labelled "{batten}"',
            kind=Name(kind),
            batten=Name(name),
        ),
    )


def interrupted(
    plan: Plan, name: str, held: Collection[str], frames: Sequence[Frame], spare: Mapping[str, Sequence[Slot]]
) -> Iterator[Defect]:
    """An error for each frame of those that the plan says a batten runs through in which it is not found."""
    kind = kind_of(plan, name)
    ends = plan.battens[kind].frames
    if ends is None:
        return
    at = [i for i, frame in enumerate(frames) if frame.number in ends]
    for frame in frames[min(at) : max(at) + 1]:
        if frame.number not in held:
            yield Defect(
                message=Sentence.of(
                    "the {batten} runs from F{first} to F{last} by the plan, but {frame} has no notch for it{near}",
                    batten=Name(name),
                    first=Name(ends[0]),
                    last=Name(ends[1]),
                    frame=frame,
                    near=_nearest(plan, name, [frame], spare),
                ),
                source=plan.source_of("battens", kind, "frames"),
                cure=Sentence.of(
                    "cut its notch in {frame}, draw its section there, or set battens.{kind}.frames to where it ends",
                    frame=frame,
                    kind=Name(kind),
                ),
            )


def stopping_short(plan: Plan, batten: Batten, frames: Sequence[Frame]) -> Iterator[Defect]:
    """An error for each end of a batten found by its notches past which another frame stands about where it would pass.

    Nothing where the plan says from where to where it runs.
    """
    if plan.battens[batten.kind].frames is not None:
        return
    held = {section.frame for section in batten.sections}
    own = [i for i, frame in enumerate(frames) if frame.number in held]
    for end, i in ((batten.sections[0], min(own) - 1), (batten.sections[-1], max(own) + 1)):
        if end.drawn is not None or not 0 <= i < len(frames) or not frames[i].core or frames[i].unread:
            continue
        frame = frames[i]
        away = float(np.min(np.abs(batten.centres[:, 0] - batten.meets(frame.placement))))
        passage = batten.passage(frame.placement, frame.core_low, frame.core_high)
        gaps = [(float(shapely.distance(part.shape, passage)), part) for part in frame.core]
        gap, wood = min(gaps, key=lambda each: each[0])
        if gap <= batten.long + STRAY * away:
            at = float(passage.centroid.x), float(passage.centroid.y)
            yield Defect(
                message=Sentence.of(
                    "the {batten} is found by its notches as far as F{last}: run on, it comes to {wood} at {place}, "
                    "which has no notch for it",
                    batten=Name(batten.name),
                    last=Name(end.frame),
                    wood=Name(wood.name),
                    place=place(*at),
                ),
                source=wood.source,
                at=at,
                cure=Sentence.of(
                    "cut its notch in {frame}, or set battens.{kind}.frames in the plan to where it ends",
                    frame=frame,
                    kind=Name(batten.kind),
                ),
            )


def _nearest(plan: Plan, name: str, frames: Sequence[Frame], spare: Mapping[str, Sequence[Slot]]) -> Name | Sentence:
    """The notches that no batten has on its side of the boat, one a frame, those most of its size first."""
    long, short = sorted(plan.battens[kind_of(plan, name)].section, reverse=True)
    side = batten_side(plan, name)
    found = []
    for frame in frames:
        here = []
        for slot in spare.get(frame.number, ()):
            y = float(slot.middle[0])
            where = "centre" if abs(y) < short / 2 else "port" if y > 0 else "starboard"
            if where == side and any(slot.shut(axis) for axis in (0, 1)):
                wide, narrow = sorted(slot.size.tolist(), reverse=True)
                here.append((max(abs(wide - long), abs(narrow - short)), frame.name, slot, wide, narrow))
        found += sorted(here, key=lambda each: each[:2])[:1]
    if not found:
        return Name("")
    told = "; ".join(
        f"{wide:.1f} x {narrow:.1f} mm in {frame} at {place(float(slot.middle[0]), float(slot.middle[1]))}"
        for _, frame, slot, wide, narrow in sorted(found, key=lambda each: each[:2])[:_NAMED]
    )
    return Sentence.of(". The nearest notches that no batten has: {told}", told=Name(told))
