"""How deep to drill and how wide for the screws of a step."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from scrieve.shared.screw_table import pilot_holes

from ...boat.screw import Screw
from ..measurements.screw_positions import ScrewPosition, screw_positions
from .step import Driving
from .words import in_a_row, numbered, sideless


def drivings(screws: Iterable[Screw], *, left: float) -> tuple[Driving, ...]:
    """These screws, those that are drilled for alike together, in the order given.

    `left` is the wood that the drill has to leave beyond its point, mm.
    """
    alike: dict[tuple[object, ...], list[Screw]] = {}
    for screw in screws:
        alike.setdefault((screw.driven_from, screw.size, stop(screw, left)), []).append(screw)
    return tuple(
        Driving(
            screws=tuple(screw.name for screw in same),
            size=same[0].size.name,
            driven_from=same[0].driven_from,
            stop=stop(same[0], left),
            pilot=None if same[0].size.gauge is None else pilot_holes(same[0].size.gauge),
            clearance=same[0].size.diameter,
            places=screw_positions(same),
        )
        for same in alike.values()
    )


def stop(screw: Screw, left: float) -> float:
    """How far the drill's point goes below the face that the head sits on, mm, rounded down to a tenth.

    To the tip of the screw; less where that would leave less than `left` of the wood along its line.
    """
    wood = abs(screw.far - screw.head)
    return float(np.floor(round(max(min(screw.size.length, wood - left), 0.0) * 10, 4)) / 10)


def drilling(driving: Driving) -> str:
    """ "forward screws 1 to 4, No. 8 x 3/4 in: STOP 19.0 mm below the face; 4.2 through the chine gusset, then ..." """
    pilot = "as the screw's maker says"
    if driving.pilot is not None:
        pilot = f"{driving.pilot[0]:.1f} (hard wood {driving.pilot[1]:.1f})"
    through = in_a_row(sorted({sideless(place.plate) for place in driving.places})) or "first ply"
    left = min((place.left for place in driving.places), default=0.0)
    stays = f"; {left:.1f} left beyond the tip" if left > 0 else ""
    return (
        f"{numbered(driving.screws)}, {driving.size}: STOP {driving.stop:.1f} mm below the face, head flush; "
        f"{driving.clearance:.1f} through the {through}, then {pilot}{stays}"
    )


def set_out(places: Iterable[ScrewPosition]) -> list[str]:
    """Where screws stand on their plates, those alike together: "gusset, from its lower and upper edge: 1 2.0, 3.0"."""
    told: dict[tuple[str, tuple[str, ...]], dict[tuple[str, ...], list[str]]] = {}
    for place in places:
        edges = sorted(place.edges, key=lambda edge: edge.edge)
        of_plate = told.setdefault((sideless(place.plate), tuple(edge.edge for edge in edges)), {})
        number = place.name.rpartition(" ")[2]
        of_plate.setdefault(tuple(f"{edge.distance:.1f}" for edge in edges), []).append(number)
    return [
        f"{plate}, from its {in_a_row(edges)} edge: "
        + "; ".join(f"{in_a_row(numbers)} {', '.join(distances)}" for distances, numbers in rows.items())
        for (plate, edges), rows in told.items()
        if edges
    ]
