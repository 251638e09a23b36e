"""What to watch in a step: measured on the boat, said in a sentence each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from scrieve.shared.tolerances import SLIVER
from scrieve.shared.wording import mm

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from ...relations.joints.joint import joints
from ...relations.joints.lap import seat_of
from ...relations.legs.leg import footings
from ..turning import Turning
from .words import in_a_row, named, short, sideless


def which_way_round(turnings: Sequence[Turning]) -> Iterator[str]:
    """Which parts of a step may go either way up, and which are twins."""
    either = [turning.part for turning in turnings if turning.either_way]
    if either:
        fits = "fits" if len(either) == 1 else "fit"
        yield f"{named(either)} {fits} either face up: turn the marks to the side you want"
    twins = [turning for turning in turnings if turning.twins and not turning.either_way]
    here = {turning.part for turning in twins}
    pairs = [turning.part for turning in twins if here.issuperset(turning.twins)]
    if pairs:
        both = dict.fromkeys(sideless(name) for name in pairs)
        yield f"to bring the marks to the other face, swap port for starboard, turned over: {in_a_row(list(both))}"
    for turning in twins:
        if turning.part not in pairs:
            its = in_a_row([short(twin) for twin in turning.twins])
            yield f"mirror twin of the {its}: read the label; swapped, both turned over, their marks change face"


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


def leg_lengths(plies: Iterable[Part], frame: Frame, assembly: Assembly) -> Iterator[str]:
    """How long each ply of the legs is from its foot on the rail, or over all without rails; alike ones together."""
    wanted = list(plies)
    lengths: dict[str, list[str]] = {}
    for leg in frame.legs:
        feet = {}
        if assembly.strongback is not None:
            found = footings(leg, frame, assembly.strongback, assembly.cutter_diameter)
            feet = {footing.ply: footing.bearing for footing in found}
        for ply in (ply for ply in leg.plies if ply in wanted):
            _, low, _, high = ply.shape.bounds
            foot = feet.get(ply)
            if foot is not None:
                from_foot = high - foot.inner[1] if assembly.build == "upright" else foot.inner[1] - low
                lengths.setdefault(f"{from_foot:.1f} mm from the foot on the rail", []).append(ply.name)
            else:
                lengths.setdefault(f"{high - low:.1f} mm over all", []).append(ply.name)
    for length, names in lengths.items():
        yield f"{named(names)}: {length}"


def outer_plies(plies: Iterable[Part]) -> Iterator[str]:
    """On which face of the frame the plies of the legs lie that are not in its core."""
    faces = sorted({ply.face for ply in plies} - {"core"})
    if faces:
        yield (
            f"plies outside the core on the {in_a_row(faces)} face"
            if len(faces) > 1
            else f"outer ply on the {faces[0]} face"
        )


def open_notches(frame: Frame) -> str:
    """The battens whose notches have to stay free of glue: "keel, port and starboard chine"; empty for none."""
    return named(section.batten for section in frame.sections)
