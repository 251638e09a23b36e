"""How deep to drill and how wide for the screws of a step."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from scrieve.shared.screw_table import pilot_holes

from ...boat.screw import Screw
from ..measurements.screw_positions import ScrewPosition, screw_positions
from .step import Driving
from .words import numbered, sideless


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


def drill(driving: Driving) -> str:
    """ "No. 8 x 3/4 in: clearance hole 4.2 mm through the plate, pilot hole 2.3 mm in the core (hard wood ..." """
    pilot = "as the screw's maker says"
    if driving.pilot is not None:
        pilot = f"{driving.pilot[0]:.1f} mm in the core (hard wood {driving.pilot[1]:.1f} mm)"
    return (
        f"{driving.size}: clearance hole {driving.clearance:.1f} mm through the plate, pilot hole {pilot}; "
        "countersink until the head is flush"
    )


def wood_left(driving: Driving) -> str:
    """How much wood stays beyond the tips, mm, "1.9"; empty where it is not known or none does."""
    least = min((place.left for place in driving.places), default=0.0)
    return f"{least:.1f}" if least > 0 else ""


def stops(driving: Driving, *, sized: bool = True, spared: bool = True) -> str:
    """ "forward screws 1 to 4, No. 8 x 3/4 in: STOP 19.0 mm, 1.9 mm left"; without size and what is left if wanted."""
    size = f", {driving.size}" if sized else ""
    stays = f", {wood_left(driving)} mm left" if spared and wood_left(driving) else ""
    return f"{numbered(driving.screws)}{size}: STOP {driving.stop:.1f} mm{stays}"


def set_out(places: Iterable[ScrewPosition]) -> list[str]:
    """Where screws stand on their plates, those alike together: "gusset, lower, outboard: 1+8 2.0, 3.0"."""
    told: dict[tuple[str, tuple[str, ...]], dict[tuple[str, ...], list[str]]] = {}
    for place in places:
        edges = sorted(place.edges, key=lambda edge: edge.edge)
        of_plate = told.setdefault((sideless(place.plate), tuple(edge.edge for edge in edges)), {})
        number = place.name.rpartition(" ")[2]
        of_plate.setdefault(tuple(f"{edge.distance:.1f}" for edge in edges), []).append(number)
    return [
        f"{plate}, {', '.join(edges)}: "
        + "; ".join(f"{'+'.join(numbers)} {', '.join(distances)}" for distances, numbers in rows.items())
        for (plate, edges), rows in told.items()
        if edges
    ]
