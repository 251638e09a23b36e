"""How far battens stand out of the open sides of their notches, or lie back in them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ...boat.assembly import Assembly
from ...boat.batten import Batten
from ...relations.fouls.passing import battens_passing
from ...relations.joints.outer_line import edges_about
from ...relations.notches.notch import Crossing, crossings
from .found_notch import Slot, Values, slots_of

_CORNER = 2  # walls; such a notch may as well be the corner of two edges that run on
_FACING = float(np.cos(np.pi / 4))  # an edge of the outer line that looks more that way than any other is that side's
_FAR = 0.5  # of the batten's side; where it lies back by more in a corner of two walls, these run on past it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AtMouth:
    """A batten at an open side of its notch: it stands `by` mm past the mouth, negative where it lies back.

    Taken at the nearer face of the core: what a batten askew takes up, `lean`, may lie on either side of the mouth.
    `way` is the unit direction (y, v) out of the mouth, `at` the middle of it; `side` how thick the batten is that way,
    `behind` how far off the bottom it lies.
    """

    crossing: Crossing
    slot: Slot
    way: Values
    at: Values
    by: float
    lean: float
    side: float
    behind: float


def stands(batten: Batten, assembly: Assembly) -> Iterator[AtMouth]:
    """A batten at each open side of each notch that it lies in; without those in whose mouth another batten lies."""
    for crossing in crossings(batten, assembly.frames):
        frame = crossing.frame
        rings = crossing.rings[frame.core_low], crossing.rings[frame.core_high]
        middle = np.concatenate(rings).mean(axis=0)
        slots = slots_of(frame, assembly.cutter_diameter, max(each.arris for each in assembly.battens))
        near = [(slot.apart((float(middle[0]), float(middle[1]))), slot) for slot in slots]
        around = [
            (off, -np.isfinite(slot.walls).sum(), float(np.prod(slot.size)), n) for n, (off, slot) in enumerate(near)
        ]
        if around and min(around)[0] < batten.short:
            slot = near[min(around)[3]][1]
            for axis, end in np.argwhere(np.isnan(slot.walls)).tolist():
                sign = 1.0 if end else -1.0
                corner = np.isfinite(slot.walls).sum() <= _CORNER
                stand = _stand(crossing, slot, rings, middle, axis, sign)
                if corner and stand.by > 0.0:
                    stand = _past_outer_line(stand, rings, assembly)
                runs_on = corner and stand.by < -_FAR * stand.side
                if not runs_on and stand.behind <= batten.long and not _filled(stand, assembly):
                    yield stand


def _stand(
    crossing: Crossing, slot: Slot, rings: tuple[Values, Values], middle: Values, axis: int, sign: float
) -> AtMouth:
    way = slot.axes[axis] * sign
    mouth = float(slot.mouths[axis, 1 if sign > 0 else 0]) * sign
    out = sorted(float((ring @ way).max()) - mouth for ring in rings)
    by = 0.0 if out[0] <= 0.0 <= out[1] else min(out, key=abs)
    return AtMouth(
        crossing=crossing,
        slot=slot,
        way=way,
        at=middle + way * (mouth - float(middle @ way)),
        by=by,
        lean=out[1] - out[0],
        side=float(np.ptp(rings[0] @ way)),
        behind=min(float((ring @ way).min()) for ring in rings) - float(slot.walls[axis, 0 if sign > 0 else 1]) * sign,
    )


def _past_outer_line(stand: AtMouth, rings: tuple[Values, Values], assembly: Assembly) -> AtMouth:
    """The same batten past the edge of the frame instead, at the open side of a corner of two walls.

    One wall ends there, which is no mouth. A side of the batten that leans against the frame's outer line, or its top,
    is planed down to it: past it stands only what does so with all its breadth.
    """
    frame, batten = stand.crossing.frame, stand.crossing.batten
    left, bottom, right, top = (*(stand.at - batten.long), *(stand.at + batten.long))
    edges = edges_about(frame, assembly).within((left, bottom, right, top), 0.0)
    edges = edges.only(edges.facing @ stand.way > _FACING)
    if not len(edges):
        return replace(stand, by=0.0)
    off = np.sum((stand.at - edges.starts) * edges.along, axis=1)
    off = np.maximum(np.maximum(-off, off - edges.lengths), 0.0)  # how far along it the nearest wood lies
    nearest = int(np.argmin(off))
    way = edges.facing[nearest]
    line = float(edges.starts[nearest] @ way)
    halves = stand.crossing.long * batten.long / 2, stand.crossing.short * batten.short / 2
    out, beside = sorted(halves, key=lambda half: -abs(half @ stand.way) / np.hypot(*half))
    out = out if out @ stand.way > 0 else -out
    heights = [float((ring.mean(axis=0) + out + each) @ way) - line for ring in rings for each in (beside, -beside)]
    by, middle = max(0.0, min(heights)), stand.at - way * (float(stand.at @ way) - line)
    return replace(stand, way=way, at=middle, by=by, lean=max(heights) - min(heights))


def _filled(stand: AtMouth, assembly: Assembly) -> bool:
    """Whether another batten passes about the middle of the mouth, just within it."""
    crossing = stand.crossing
    y, v = stand.at - stand.way * max(0.0, -stand.by) / 2
    others = [other for other in battens_passing(crossing.frame, assembly) if other.batten is not crossing.batten]
    boxes = [other.bounds(crossing.frame.core_low, crossing.frame.core_high) for other in others]
    return any(box[0] <= y <= box[2] and box[1] <= v <= box[3] for box in boxes)
