"""What a frame is open to the sky at: between its sides, where no deck beam closes it. (y, v), mm."""

from __future__ import annotations

import numpy as np
import shapely

from scrieve.shared.tolerances import SLIVER

from ..geometry.edge import Edges

_UP = 0.25  # sine (14 degrees); what a bay opens to lies above it, however steep the frame of the stem, or of one side
_LARGE = 0.1  # share of the largest; smaller bays are notches, such as those of sheers, which open upward too


def opening(core: shapely.Geometry) -> shapely.Geometry:
    """The bays of the core that open upward: two where something stands in the middle; empty where there are none.

    A bay lies between the core and its convex hull. Hollows in a frame's bottom and sides are none that open upward.
    """
    hull = shapely.convex_hull(core)
    bays = shapely.get_parts(shapely.difference(hull, core))
    upward = bays[[_faces_up(bay, hull) for bay in bays]]
    areas = shapely.area(upward)
    return shapely.union_all(upward[areas >= _LARGE * areas.max(initial=0.0)])


def closes(core: shapely.Geometry) -> bool:
    """Whether the core goes round an opening: a hole in it is larger than what of it is open upward.

    Limber holes, slots and what lightens an open frame are smaller.
    """
    whole = shapely.union_all(shapely.polygons(shapely.get_rings(shapely.get_parts(core))))
    holes = shapely.area(shapely.get_parts(shapely.difference(whole, core)))
    return bool(holes.max(initial=0.0) > shapely.area(opening(whole)))


def _faces_up(bay: shapely.Geometry, hull: shapely.Geometry) -> bool:
    edges = Edges.around(bay)
    middles = shapely.points((edges.starts + edges.ends) / 2)
    lid = edges.only(np.asarray(shapely.dwithin(middles, hull.boundary, SLIVER), dtype=np.bool_))
    return bool((lid.facing[:, 1] > _UP).any())  # it has several where the core is in pieces
