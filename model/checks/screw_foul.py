"""Check `screw-foul`: screws of one frame whose paths or heads meet."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import COINCIDENT, ROUNDING, falls_short

from ..assembly import Assembly
from ..frame import Frame
from ..screw import Screw
from ..screws.moves import REACH, Moves, moves_in
from ..screws.shafts import Shafts
from ..wording import at_least, mm
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every pair of screws of the frame that stand too close over a depth they share."""
    if len(frame.screws) < 2:
        return
    limits = assembly.limits
    shafts = Shafts.of(frame.screws)
    i, j = shafts.close(limits)
    axes = np.hypot(*(shafts.at[i] - shafts.at[j]).T)
    error, warning = shafts.apart(i, j, limits)
    for n in np.flatnonzero(axes < warning - ROUNDING):
        is_error = falls_short(float(axes[n]), float(error[n]))
        first, second = sorted((shafts.screws[i[n]], shafts.screws[j[n]]), key=lambda s: (s.name, s.at))
        cure = _cure(moves_in(frame, assembly), first, second, float(warning[n] - axes[n]))
        limit = float((error if is_error else warning)[n])
        yield _finding(frame, shafts, first, second, float(axes[n]), limit, is_error, cure)


def _finding(
    frame: Frame,
    shafts: Shafts,
    first: Screw,
    second: Screw,
    axes: float,
    limit: float,
    is_error: bool,
    cure: str,
) -> Finding:
    low, high = max(first.low, second.low), min(first.high, second.high)
    middle = np.add(first.at, second.at) / 2
    return Finding(
        check="screw-foul",
        level=Level.ERROR if is_error else Level.WARNING,
        message=_message(shafts, first, second, axes, limit, is_error),
        frame=frame.number,
        parts=(first.name, second.name),
        at=frame.placement.point(float(middle[0]), float(middle[1]), (low + high) / 2),
        measured=axes,
        limit=limit,
        unit="mm",
        cure=cure,
        source=first.source,
    )


def _message(shafts: Shafts, first: Screw, second: Screw, axes: float, limit: float, is_error: bool) -> str:
    i, j = (np.array([n]) for n in shafts.places(first, second))
    shared = float(shafts.shared(i, j)[0])
    same = first.driven_from == second.driven_from
    faces = f"both driven from the {first.driven_from} face" if same else "driven from opposite faces"
    if axes <= COINCIDENT:
        where = "stand in one and the same place" if same else f"meet on one axis and overlap by {mm(shared)}"
        return f"{first.name} and {second.name}, {faces}, {where}; their axes must be {mm(limit)} apart"
    far, need = f"{mm(axes, limit)} apart", mm(limit, axes)
    shanks = (first.size.diameter + second.size.diameter) / 2
    touch = float(shafts.touch(i, j)[0])
    if is_error and axes < touch - COINCIDENT and touch > shanks + COINCIDENT and abs(limit - touch) <= COINCIDENT:
        if same and abs(first.head - second.head) <= COINCIDENT:
            return f"the heads of {first.name} and {second.name} overlap: axes {far}, heads need {need}"
        head, other = (first, second) if shafts.over_shank(i, j)[0] else (second, first)
        return f"the head of {head.name} meets {other.name}, {faces}: axes {far}, want {need}"
    verb = "foul" if is_error else "stand close"
    return (
        f"{first.name} and {second.name}, {faces}, {verb}: they run side by side over {mm(shared)} with axes "
        f"{far}, want {need}"
    )


def _cure(moves: Moves, first: Screw, second: Screw, least: float) -> str:
    """Which of the two to move, how far at least, and the place that suits all screws (see `moves`)."""
    said = moves.said_of((first, second), f"at least {at_least(least)} away, e.g. ")
    if said:
        return said
    out = next((screw.name for screw in (second, first) if moves.leaves_out(screw)), "one")
    return (
        f"move {second.name} at least {at_least(least)} away from {first.name}; no place within {REACH:g} mm "
        f"of either is clear of all screws and edges, so leave {out} out or lay the joint's screws out afresh"
    )


CHECK = Check(
    slug="screw-foul",
    title="Screws that meet",
    level=Level.ERROR,
    limits=("screw_foul", "screw_foul_warning"),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every two screws of one frame, whichever face they are driven from. Each screw is taken as a straight "
            "shaft of its full shank diameter from its flush head to its tip. Two screws matter to one another where "
            "their shafts lie at the same depth in the wood: then the distance between their axes is measured. "
            "Screws from opposite faces whose tips stop short of one another may share an axis. Countersunk heads, "
            "taken as cones, must not meet one another nor a shank beside them either."
        ),
        matters=(
            "A screw that meets another stops dead with glue already spread, or turns aside and comes out through the "
            "face or an edge. The pilot drill breaks on the first screw. With a frame turned over between the "
            "two sides, nobody sees the screws of the first side while the second is driven. Screws close "
            "together without touching split the veneers between them."
        ),
        limit=(
            "Error: axes closer than the mean shank diameter plus `screw_foul`, 1 mm of wood (common practice, no "
            "source), or than the sum of the radii where a head meets the other's head or shank (greatest head sizes "
            "of ASME B18.6.1, as restated in trade tables). Warning: closer than `screw_foul_warning`, 2.5 diameters "
            "of the thicker screw, the spacing between staggered rows in the ANSI/AWC NDS Commentary (1999/2004), "
            "Table C12.1.5.7, which is advice for solid timber. EN 1995-1-1, 8.3.1.1(7) lets fasteners from both "
            "faces overlap only in a middle member thicker than the point by 4 diameters; sheet frames never are. "
            "This is a check of fit, not of strength."
        ),
        cure=(
            "Move one of the two along the line between them by the length the finding gives, or to the place it "
            "names, which is clear of all other screws of the frame as they stand and as they are to be moved, of the "
            "edges of the plies it passes there and of the battens. `check --cure FILE` writes all such moves as a "
            "drawing or a table. For screws from opposite faces, stagger one face's row by half the spacing, or take "
            "screws short enough that the tips stay apart."
        ),
    ),
)
