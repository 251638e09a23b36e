"""Check `leg-bottom`: a leg's bearing edge is off the datum plane."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import exceeds

from ..assembly import Assembly
from ..frame import Frame
from ..legs.leg import Bearing, footings
from ..part import Part
from ..strongback import Strongback
from ..wording import at_least, mm
from .check import Check, Page

_ALIKE = 0.05  # mm; lengths that are told alike


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """At most one finding for each leg, on its worst ply, and one for each ply with no edge to stand on."""
    strongback, limit = assembly.strongback, assembly.limits["leg_bottom"]
    if strongback is None:
        return
    for leg in frame.legs:
        standing = footings(leg, frame, strongback, assembly.cutter_diameter)
        for footing in standing:
            if footing.bearing is None:
                yield _without(frame, footing.ply, strongback)
        bearings = [(f.bearing, f.ply) for f in standing if f.bearing is not None]
        off = [(bearing, ply) for bearing, ply in bearings if exceeds(abs(bearing.worst), limit)]
        if off:
            yield _finding(frame, off, strongback, limit)


def _finding(frame: Frame, off: list[tuple[Bearing, Part]], strongback: Strongback, limit: float) -> Finding:
    bearing, ply = max(off, key=lambda pair: abs(pair[0].worst))
    height = bearing.worst
    tilted = exceeds(abs(bearing.heights[0] - bearing.heights[1]), limit)
    inner = abs(bearing.heights[0]) >= abs(bearing.heights[1])
    side = "above" if strongback.down < 0 else "below"
    stands = (
        f"stands {mm(height, limit)} {side} the rail" if height > 0 else f"reaches {mm(-height, limit)} into the rail"
    )
    where = f" at its {'inner' if inner else 'outer'} end" if tilted else ""
    names = tuple(sorted(part.name for _, part in off))
    y, v = bearing.inner if inner else bearing.outer
    if not tilted:
        y = (bearing.inner[0] + bearing.outer[0]) / 2
    return Finding(
        check="leg-bottom",
        level=Level.ERROR,
        message=f"{ply.name} {stands}{where}, up to {mm(limit, abs(height))} is allowed",
        frame=frame.number,
        parts=names,
        at=frame.placement.point(y, v, (ply.low + ply.high) / 2),
        measured=abs(height),
        limit=limit,
        unit="mm",
        cure=_cure(frame, bearing, tilted, [other.worst for other, _ in off]),
        source=ply.source,
    )


def _cure(frame: Frame, bearing: Bearing, tilted: bool, heights: list[float]) -> str:
    """Lengths are in the plane of the frame, where the ply is cut; `heights` are those of all plies that are off."""
    inner, outer = (height / float(np.cos(frame.placement.rake)) for height in bearing.heights)
    if tilted:
        return f"recut its bearing edge level: {_change(inner)} at its inner end, {_change(outer)} at its outer end"
    alike = max(heights) - min(heights) < _ALIKE
    on_all = "" if len(heights) == 1 else " on every ply" if alike else "; the other plies by their own amounts"
    return f"{_change(max(inner, outer, key=abs))}{on_all}"


def _change(height: float) -> str:
    if abs(height) < _ALIKE:
        return "leave it"
    return f"lengthen by {at_least(height)}" if height > 0 else f"cut {at_least(-height)} off"


def _without(frame: Frame, ply: Part, strongback: Strongback) -> Finding:
    left, bottom, right, top = ply.shape.bounds
    v = bottom if strongback.down < 0 else top
    return Finding(
        check="leg-bottom",
        level=Level.ERROR,
        message=f"{ply.name} has no level edge over the rail to stand on",
        frame=frame.number,
        parts=(ply.name,),
        at=frame.placement.point((left + right) / 2, v, (ply.low + ply.high) / 2),
        cure=(
            f"give it a straight level edge at z 0, between y {strongback.inside_width / 2:.1f} and "
            f"{strongback.inside_width / 2 + strongback.width:.1f} on its side"
        ),
        source=ply.source,
    )


CHECK = Check(
    slug="leg-bottom",
    title="A leg does not stand true on the strongback",
    level=Level.ERROR,
    limits=("leg_bottom",),
    page=Page(
        looks_at=(
            "Every ply of every leg. The bearing edge is the straight level edge that faces the rail and lies over it, "
            "the nearest to it if there are several. Both its ends have to lie on the datum plane, which is the top "
            "of the rails (their under side, if the boat is built upside down). A raked frame touches with one corner "
            "of its legs' thickness first, and that corner counts. Without a strongback in the plan nothing is judged."
        ),
        matters=(
            "The legs are all that sets the height of a frame. One that is 2 mm long lifts its frame 2 mm, tips it, or "
            "both, and the fair curve of every batten goes with it. On the strongback that shows late and is cured "
            "with shims that somebody has to remember."
        ),
        limit=(
            "leg_bottom, 0.5 mm, at the worse end of the edge. Common practice, no source: about what the rails "
            "themselves can be levelled to."
        ),
        cure=(
            "Cut off or add what is named, measured in the plane of the frame. If all legs of a boat are out by the "
            "same amount, look at the drawings' origin first: the datum line may not be where the plan says."
        ),
    ),
    on_frame=check,
)
