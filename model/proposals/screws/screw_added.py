"""Where one more screw could go through a gusset into a part, clear of all that the checks of screws look at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.tolerances import COINCIDENT

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Screw
from ...relations.joints.gusset import GussetFace
from .moving import moves_in
from .room import ScrewRoom

_GRID = 2.0  # mm between the places that are tried

Place = tuple[float, float]


def places_for_more(
    frame: Frame, assembly: Assembly, gusset: Part, member: Part, count: int, taken: Sequence[Screw] = ()
) -> list[Screw]:
    """Up to `count` screws more, driven through the gusset into the member, as far as there is room for them.

    Each is of the size of one that is driven through the gusset already, or else on that face, or else in the
    frame; none is given where the frame has no screw. Each stands as far as it can from all others and from
    those in `taken`, at whole tenths of a millimetre. A frame's mirror image gives the mirror image of it.
    """
    like = _like(frame, gusset)
    if like is None:
        return []
    room = ScrewRoom.of(frame, assembly)
    need = assembly.limits["screw_edge_warning"] * like.size.diameter
    free = shapely.buffer(shapely.intersection(gusset.shape, member.shape), -need)
    free = shapely.difference(free, shapely.union_all([part.shape for part in _before(like, frame, gusset, member)]))
    places = _places(free)
    added: list[Screw] = []
    while len(added) < count and len(places):
        others = [*frame.screws, *taken, *added]
        probe = _first_through(room, like, places, gusset, member)
        if probe is None:
            break
        good = places[room.clear(probe, places, others)]
        from_others = np.hypot(*(good[:, None, :] - np.array([other.at for other in others])).transpose(2, 0, 1))
        order = np.lexsort((good[:, 1], np.abs(good[:, 0]), -np.round(from_others.min(axis=1), 1)))
        found = next((at for at in map(_place, good[order]) if room.holds(probe, at)), None)
        if found is None:
            break
        added.append(room.moved(probe, found))
    return added


def moved_screws(frame: Frame, assembly: Assembly) -> list[Screw]:
    """The screws of a frame that other cures move, each where it goes (see `moves`)."""
    moves = moves_in(frame, assembly).of(sorted(frame.screws, key=lambda s: (s.name, s.at)))
    room = ScrewRoom.of(frame, assembly) if moves else None
    return [room.moved(move.screw, move.at) for move in moves] if room is not None else []


def _like(frame: Frame, gusset: Part) -> Screw | None:
    """The screw whose size a further one takes, driven from the gusset's face."""
    ranked = sorted(
        frame.screws,
        key=lambda s: (all(ply.part is not gusset for ply in s.plies), s.driven_from != gusset.face, s.name),
    )
    face: GussetFace = "forward" if gusset.face == "forward" else "aft"
    head = gusset.high if face == "forward" else gusset.low
    return replace(ranked[0], driven_from=face, head=head) if ranked else None


def _before(like: Screw, frame: Frame, gusset: Part, member: Part) -> list[Part]:
    """The parts that a screw would pass before the member, the gusset apart."""
    if like.driven_from == "forward":
        return [part for part in frame.parts if part is not gusset and part.high > member.high + COINCIDENT]
    return [part for part in frame.parts if part is not gusset and part.low < member.low - COINCIDENT]


def _places(free: shapely.Geometry) -> NDArray[np.float64]:
    """(n, 2) places in a region on a grid of whole tenths that is its own mirror image about the middle."""
    if free.is_empty:
        return np.empty((0, 2))
    left, low, right, high = free.bounds
    (y, v), width, height = np.round(((left + right) / 2, (low + high) / 2), 1), right - left, high - low
    steps = [np.arange(-np.ceil(size / 2 / _GRID), np.ceil(size / 2 / _GRID) + 1) * _GRID for size in (width, height)]
    grid = np.stack(np.meshgrid(y + steps[0], v + steps[1]), axis=-1).reshape(-1, 2)
    return np.asarray(np.round(grid[shapely.contains_xy(free, *grid.T)], 1))


def _first_through(
    room: ScrewRoom, like: Screw, places: NDArray[np.float64], gusset: Part, member: Part
) -> Screw | None:
    """The screw at the first of the places where it passes the gusset and then the member."""
    for at in map(_place, places):
        screw = room.moved(like, at)
        if [ply.part for ply in screw.plies[:2]] == [gusset, member]:
            return screw
    return None


def _place(at: NDArray[np.float64]) -> Place:
    return float(at[0]), float(at[1])
