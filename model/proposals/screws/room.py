"""Where in a frame a screw could go instead, with nothing there that the checks of screws find fault with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.limits import Limits
from scrieve.shared.tolerances import COINCIDENT, SLIVER

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Screw, drive
from ...plan.plan_order import Before
from ...relations.fouls.fouls_of_screws import batten_fouls, part_fouls_of
from ...relations.fouls.passing import battens_passing
from ...relations.notches.notch import Crossing
from ...relations.screws.shafts import Shafts
from ...sequence.laying import laid_before

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScrewRoom:
    """What the screws of one frame have to keep clear of besides one another: edges, parts, battens.

    `widest` mm apart they keep clear of one another.
    """

    frame: Frame
    crossings: tuple[Crossing, ...]
    limits: Limits
    widest: float
    order: Sequence[Before] = ()

    @classmethod
    def of(cls, frame: Frame, assembly: Assembly) -> ScrewRoom:
        """The room in a frame of this assembly."""
        crossings = battens_passing(frame, assembly)
        limits = assembly.limits
        widest = Shafts.of(frame.screws).widest(limits)
        return cls(frame=frame, crossings=crossings, limits=limits, widest=widest, order=assembly.order)

    def has_wood(self, screw: Screw, reach: float) -> bool:
        """Whether within `reach` mm of a screw there is any place far enough from the edges of all its plies."""
        if not screw.plies:
            return False
        # rounded corners are flattened: a little less is asked for here than of a place
        need = self.limits["screw_edge_warning"] * screw.size.diameter * 0.99
        near = shapely.box(*np.subtract(screw.at, reach + need), *np.add(screw.at, reach + need))
        wood = shapely.intersection(screw.plies[0].wood, near)
        for ply in screw.plies:
            wood = shapely.difference(wood, shapely.intersection(ply.wood.boundary, near).buffer(need))
        return bool(shapely.distance(wood, shapely.Point(screw.at)) <= reach)

    def clear(self, screw: Screw, places: Floats, others: Sequence[Screw]) -> NDArray[np.bool_]:
        """Which of `places` (n, 2) are in the screw's first ply, clear of the others and of the edges of its plies.

        (n,), for the screw at the level it has.
        """
        good = self._clear_of_screws(screw, places, others)
        need = self.limits["screw_edge_warning"] * screw.size.diameter
        for n, ply in enumerate(screw.plies):
            some = np.flatnonzero(good)
            if not len(some):
                break
            points = shapely.points(places[some])
            off = shapely.distance(ply.wood.boundary, points) >= need
            good[some] = off & shapely.contains(ply.wood, points) if n == 0 else off
        return good

    def moved(self, screw: Screw, at: tuple[float, float]) -> Screw:
        """The screw, driven afresh at another place."""
        return drive(
            self.frame.parts, name=screw.name, frame=screw.frame, size=screw.size, at=at,
            driven_from=screw.driven_from, face=screw.head, source=screw.source,
        )  # fmt: skip

    def holds(self, screw: Screw, at: tuple[float, float]) -> bool:
        """Whether the screw, driven afresh at this place, holds as much there and meets nothing it should not.

        It must pass none but plies that it passes now, and leave as much beyond its tip as it should, or does now:
        then it holds as much beyond the first as well.
        """
        moved = self.moved(screw, at)
        kept = {ply.part for ply in screw.plies}
        left = min(screw.left_beyond, self.limits["screw_bite"])
        return (
            all(ply.part in kept for ply in moved.plies)
            and moved.left_beyond >= left - COINCIDENT
            and not self.fouls(moved)
            and self.bars(moved) <= self.bars(screw)
        )

    def fouls(self, screw: Screw) -> bool:
        """Whether a screw meets a part that it does not pass, or a batten."""
        return any(part_fouls_of(self.frame, [screw], self.limits)) or any(
            batten_fouls(self.frame, [screw], self.crossings, self.limits)
        )

    def bars(self, screw: Screw) -> set[Part]:
        """The parts that lie there when the screw is driven and leave no room for a driver over its head."""
        width, length = self.limits["driver_width"], self.limits["driver_length"]
        forward = screw.driven_from == "forward"
        axis = shapely.Point(screw.at)
        found = set()
        for part in laid_before(screw, self.frame, self.order):
            for each in part.prisms:
                near, far = (each.low - screw.head, each.high - screw.head)
                near, far = (near, far) if forward else (-far, -near)
                above = far > SLIVER and near < length - COINCIDENT
                if above and shapely.dwithin(each.shape, axis, width / 2 - COINCIDENT):
                    found.add(part)
        return found

    def _clear_of_screws(self, screw: Screw, places: Floats, others: Sequence[Screw]) -> NDArray[np.bool_]:
        if not others:
            return np.ones(len(places), dtype=np.bool_)
        shafts = Shafts.of([screw, *others])
        them = np.arange(1, len(others) + 1)
        _, need = shafts.apart(np.zeros_like(them), them, self.limits)
        y, v = (places[:, None, axis] - shafts.at[them, axis] for axis in (0, 1))
        return np.asarray(np.all(np.sqrt(y * y + v * v) >= need, axis=1))
