"""What to watch in a step: measured on the boat, said in a sentence each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from scrieve.shared.tolerances import SLIVER
from scrieve.shared.wording import mm

from ...boat.frame import Frame
from ...boat.part import Part
from ...relations.joints.joint import joints
from ...relations.joints.lap import seat_of
from ..measurements.leg_lengths import LegLength, LegPlyLength
from .words import in_a_row, named, short, sideless


def pockets_lie(parts: Iterable[Part], up: str) -> Iterator[str]:
    """On which face each part has pockets, how deep they are, and whether that face lies `up`."""
    for part in parts:
        cut = sorted({(pocket.face, pocket.depth) for pocket in part.pockets})
        for face in dict.fromkeys(face for face, _ in cut):
            depths = in_a_row([f"{depth:g}" for own, depth in cut if own == face])
            way = "up" if face == up else "down"
            yield f"{short(part.name)}: pockets {depths} mm deep in its {face} face, which lies {way}"


def let_in(parts: Iterable[Part], frame: Frame) -> Iterator[str]:
    """Which plates are let into the core, and how they end."""
    for plate in parts:
        seat = seat_of(plate, frame)
        if seat is not None:
            out = standing_out(plate, frame)
            ends = "flush with" if abs(out) <= SLIVER else f"{abs(out):.1f} mm {'past' if out > 0 else 'below'}"
            yield f"{short(plate.name)}: let into the {short(seat[0].name)}, {ends} its {plate.face} face"


def standing_out(plate: Part, frame: Frame) -> float:
    """How far a plate stands out of the face of the core that it lies on, mm; negative where it ends below it."""
    return plate.high - frame.core_high if plate.face == "forward" else frame.core_low - plate.low


def joints_made(part: Part, placed: Iterable[Part], frame: Frame) -> Iterator[str]:
    """The joints of a core part with those that lie already, where they are drawn tight or open."""
    there = set(placed)
    for joint in joints(frame):
        if part not in (joint.first, joint.second) or joint.other(part) not in there:
            continue
        other = short(joint.other(part).name)
        if joint.overlap > SLIVER:
            yield f"tight against the {other}: drawn {mm(joint.overlap)} over it, ease it until it goes in by hand"
        if joint.gap > SLIVER:
            yield f"open against the {other}: drawn {mm(joint.gap)} off it, to be filled with glue"


def leg_measures(legs: Sequence[LegLength], *, on_rails: bool) -> Iterator[str]:
    """How long the plies of these legs are, those of both hands together where they are alike, and where they stand."""
    said: dict[str, list[str]] = {}
    for ply in (ply for leg in legs for ply in leg.plies):
        said.setdefault(_ply_measures(ply, on_rails=on_rails), []).append(ply.name)
    for measures, names in said.items():
        yield f"{named(names)}: {measures}"
    across = {(f"{ply.across[0]:.1f}", f"{ply.across[1]:.1f}") for leg in legs for ply in leg.plies}
    rails = {f"{leg.rail:.1f}" for leg in legs if leg.rail is not None}
    for inner, outer in across if len(across) == 1 else ():
        rail = f", the edge for the rail at {rails.pop()}" if len(rails) == 1 else ""
        yield f"from {inner} to {outer} mm off the centreline{rail}"
    feet = {f"{leg.off_core:.1f}" for leg in legs if leg.off_core is not None}
    if len(feet) == 1:
        yield f"feet {feet.pop()} mm from the lowest edge of the core"


def _ply_measures(ply: LegPlyLength, *, on_rails: bool) -> str:
    edges = [f"{name} edge {length:.1f}" for name, length in (("outer", ply.outer), ("inner", ply.inner)) if length]
    on = f"; on the {ply.face} face" if ply.face != "core" else ""
    if not on_rails or not edges:
        return f"{ply.whole:.1f} mm over all{on}"
    tongue = f"; {ply.whole:.1f} with its tongue of {ply.tongue:.1f}" if ply.tongue > SLIVER else ""
    lap = f", {ply.lap:.1f} of it on the core" if ply.lap > SLIVER else ""
    return f"{', '.join(edges)} mm from the foot{tongue}{on}{lap}"


def open_notches(frame: Frame) -> str:
    """The battens whose notches have to stay free of glue: "keel, chine"; empty for none."""
    return ", ".join(dict.fromkeys(sideless(section.batten) for section in frame.sections))
