"""Battens followed into notches that do not quite fit them: so that a notch cut wrong is judged, not passed over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from ...boat.batten import Batten
from ...boat.frame import Frame
from .found_naming import Followed
from .found_notch import Slot
from .found_track import Track, TrackPlace
from .seat import Seat, settled

_LEAST, _MOST = 0.5, 1.6  # times its side; a notch as far from a batten's size as that is another thing's
STRAY = 0.1  # mm for each mm along the boat from the last frame that holds it, by which a run may turn aside
_APART = 1.0  # mm along the boat; no two frames that hold a batten are closer
_ASKEW = 0.5  # rad; a notch turned more from the batten is not its own


def extended(followed: Followed, run: Sequence[Frame], spare: Mapping[str, Sequence[Slot]]) -> Followed:
    """The batten with the spare notches of `run` taken that lie about where it passes, though they differ from it.

    Between its ends, and frame by frame past them as long as there are such notches. A reach of about the batten
    itself: what lies further off is left to be told as a notch that no batten comes to.
    """
    batten, track = followed.batten, followed.track
    held = [next(i for i, frame in enumerate(run) if frame is place.frame) for place in track if place.frame in run]
    if not held:
        return followed
    first, last = min(held), max(held)
    ways = (range(first, last + 1), range(last + 1, len(run)), range(first - 1, -1, -1))
    for indices in ways:
        for i in indices:
            frame = run[i]
            if any(place.frame is frame for place in track):
                continue
            place = _place(batten, frame, spare.get(frame.number, ()))
            if place is not None:
                batten, track = _with(batten, track, place)
            elif i > last or i < first:
                break
    return replace(followed, batten=batten, track=track)


def _with(batten: Batten, track: Track, place: TrackPlace) -> tuple[Batten, Track]:
    pairs = [*zip(track, batten.sections, strict=True), (place, place.section)]
    pairs.sort(key=lambda pair: pair[0].point[0])
    longer = replace(
        batten,
        sections=tuple(section for _, section in pairs),
        placements=tuple(each.frame.placement for each, _ in pairs),
    )
    whole = tuple(each for each, _ in pairs)
    return settled(longer, [each.seat for each in whole]), whole


def _place(batten: Batten, frame: Frame, spare: Sequence[Slot]) -> TrackPlace | None:
    """The spare notch of a frame nearest to where the batten passes it, if one lies about there."""
    cut = batten.cuts([frame.placement], [(frame.core_low + frame.core_high) / 2])
    centre = cut.centre[0]
    angle = float(np.arctan2(cut.long[0, 1], cut.long[0, 0]))
    away = float(np.min(np.abs(batten.centres[:, 0] - float(batten.cuts([frame.placement], [0.0]).x[0]))))
    if away < _APART:  # it is held in another frame at this very place
        return None
    near = [
        (float(np.hypot(*(seat.middle - centre))), n, seat)
        for n, slot in enumerate(spare)
        for seat in _seats(slot, batten.long, batten.short)
        if abs((seat.angle - angle + np.pi / 2) % np.pi - np.pi / 2) < _ASKEW
    ]
    if not near:
        return None
    off, _, seat = min(near, key=lambda each: each[:2])
    return TrackPlace.found(batten.name, seat, labelled=False) if off <= batten.long + STRAY * away else None


def _seats(slot: Slot, long: float, short: float) -> list[Seat]:
    """The ways in which a batten might have been meant to lie in a notch."""
    more = slot.frame.core_thickness
    return [
        Seat(slot=slot, along=along, sides=sides)
        for along, sides in ((0, (long, short)), (1, (short, long)))
        if all(_LEAST * s <= size <= _MOST * s + more for s, size in zip(sides, slot.size.tolist(), strict=True))
    ]
