"""Screws for gussets that are drawn without any: laid out by computation, each tried as a drawn one would be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

import shapely

from scrieve.shared.findings import Level, Source
from scrieve.shared.screw_table import ScrewSize
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import COINCIDENT, falls_short
from scrieve.shared.wording import listed, mm, plain

from ...boat.assembly import Assembly
from ...boat.defect import Defect
from ...boat.frame import Frame
from ...boat.part import Part
from ...boat.screw import Screw, drive
from ...geometry.plane import disc
from ...plan.plan import Plan
from .room import ScrewRoom
from .screw_layout import FromFace, ScrewPlace, Sheet, Shortage, apart, screw_layout

FACES: tuple[FromFace, ...] = ("forward", "aft")


class Kind(NamedTuple):
    """A kind of screw of the plan: its name under [screws], and its measures."""

    name: str
    size: ScrewSize


class Lack(NamedTuple):
    """A gusset that got too few screws into a core part, or none, and why."""

    gusset: str
    member: str
    got: int
    wanted: int
    why: str


class Proposal(NamedTuple):
    """The screws laid out for one frame, from port to starboard and down, and what there was no room for.

    `gussets` are the names of those that had none, one for each face.
    """

    frame: Frame
    gussets: tuple[str, ...]
    screws: tuple[Screw, ...]
    lacks: tuple[Lack, ...]


def kinds(plan: Plan, frames: Iterable[Frame]) -> tuple[Kind, ...]:
    """The kinds of screw that gussets may be meant to get, by name; just one where there is no doubt.

    Those that a drawn screw through a gusset has; where none is drawn those that screw layers name; where there
    are no such layers all of the plan.
    """
    through = {s.size for frame in frames for s in frame.screws if s.plies and s.plies[0].part.role == "gusset"}
    layers = {layer.screw for layer in plan.layers.values() if layer.screw is not None}
    for named in ({name for name, spec in plan.screws.items() if spec.size in through}, layers, set(plan.screws)):
        if named:
            return tuple(Kind(name, plan.screws[name].size) for name in sorted(named))
    return ()


def bare_gussets(frame: Frame) -> tuple[Part, ...]:
    """The gussets of a frame into which no screw is driven from their own face."""
    screwed = {screw.plies[0].part for screw in frame.screws if screw.plies}
    return tuple(part for part in frame.parts if part.role == "gusset" and part not in screwed)


def are_screwed(frame: Frame) -> bool:
    """Whether a screw is drawn through any gusset of the frame; those of its legs say nothing of its gussets."""
    drawn = [screw.plies for screw in frame.screws if not screw.proposed and screw.plies]
    return any(ply.part.role == "gusset" for plies in drawn if plies[0].part.role != "leg" for ply in plies)


def proposal(frame: Frame, assembly: Assembly, size: ScrewSize) -> Proposal:
    """Screws of this size for all gussets of the frame that have none; none of them would be found fault with."""
    bare = bare_gussets(frame)
    room = ScrewRoom.of(frame, assembly)
    plates = {
        face: [_sheet(part) for part in frame.parts if part.role == "gusset" and part.face == face] for face in FACES
    }
    names = {part.name for part in bare}
    layout = screw_layout(
        [_sheet(part) for part in frame.core],
        plates["forward"],
        plates["aft"],
        size=size,
        limits=assembly.limits,
        keep_off=_keep_off(room, size),
        standing=[screw.at for screw in frame.screws],
        screwed=[plate.name for face in FACES for plate in plates[face] if plate.name not in names],
    )
    screws = _numbered(frame, size, layout.places)
    lacks = _lacks(layout.short, apart(size, assembly.limits))
    good: list[ScrewPlace] = []
    wrong: dict[tuple[str, str], list[str]] = {}
    for place, screw in screws:
        why = _wrong(screw, room)
        if why:
            wrong.setdefault((place.gusset, place.member), []).append(why)
        else:
            good.append(place)
    wanted = int(assembly.limits["screw_count"])
    for (gusset, member), whys in sorted(wrong.items()):
        got = sum((place.gusset, place.member) == (gusset, member) for place, _ in screws) - len(whys)
        if got < wanted:
            lacks.append(Lack(gusset, member, got, wanted, whys[0]))
    return Proposal(
        frame=frame,
        gussets=tuple(part.name for part in bare),
        screws=tuple(screw for _, screw in (_numbered(frame, size, good) if wrong else screws)),
        lacks=tuple(sorted(lacks)),
    )


def with_screws(plan: Plan, assembly: Assembly) -> Assembly:
    """The assembly, with screws laid out in frames that have gussets and show no screw through any, and a note of it.

    Unchanged where all frames show some, and where it is in doubt which kind of screw the gussets get.
    """
    some = [f for f in assembly.frames if not are_screwed(f) and "screw" not in f.unread and bare_gussets(f)]
    if not some:
        return assembly
    found = kinds(plan, assembly.frames)
    if len(found) != 1:
        return assembly
    proposals = [proposal(frame, assembly, found[0].size) for frame in some]
    added = {each.frame: each.screws for each in proposals if each.screws}
    if not added:
        return assembly
    frames = tuple(replace(f, screws=(*f.screws, *added[f])) if f in added else f for f in assembly.frames)
    return replace(assembly, frames=frames, defects=(*assembly.defects, _note(plan, proposals, found[0])))


def without_proposals(assembly: Assembly) -> Assembly:
    """The assembly with what is drawn alone."""
    frames = tuple(
        replace(frame, screws=tuple(screw for screw in frame.screws if not screw.proposed)) if frame.screws else frame
        for frame in assembly.frames
    )
    return replace(assembly, frames=frames)


def _note(plan: Plan, proposals: Sequence[Proposal], kind: Kind) -> Defect:
    many = sum(len(each.screws) for each in proposals)
    where = listed(each.frame.name for each in proposals if each.screws)
    lacks = [lack for each in proposals if each.screws for lack in each.lacks]
    message = Sentence.of(
        "no screws are drawn through gussets in {frames}: {many} of {size} were laid out there by computation, and "
        "those the checks looked at",
        frames=where, many=plain(many), size=Name(kind.size.name),
    )  # fmt: skip
    if lacks:
        member, gusset = Name(lacks[0].member), Name(lacks[0].gusset)
        message = Sentence.of(
            "{said}; too few fit into {member} through {gusset}", said=message, member=member, gusset=gusset
        )
    if len(lacks) > 1:
        message = Sentence.of("{said} and {more} more", said=message, more=plain(len(lacks) - 1))
    return Defect(
        message=message,
        level=Level.NOTE,
        source=Source(file=plan.file.name),
        cure="`scrieve screws` writes them as a drawing",
    )


def _sheet(part: Part) -> Sheet:
    return Sheet(name=part.name, shape=part.shape)


def _keep_off(room: ScrewRoom, size: ScrewSize) -> shapely.Geometry | None:
    """What no axis may come near besides the edges of the wood: battens, and dowels of the board."""
    frame = room.frame
    clear = size.diameter / 2 + room.limits["screw_foul"]
    # the battens are straight sweeps between two planes; those of the faces hold all that a screw can reach
    planes = [plane for crossing in room.crossings for plane in crossing.rings]
    closed = [crossing.passage(min(planes), max(planes)).buffer(clear) for crossing in room.crossings]
    closed += [disc(dowel.at, dowel.diameter + 2 * clear) for dowel in frame.dowels]
    return shapely.union_all(closed) if closed else None


def _numbered(frame: Frame, size: ScrewSize, places: Iterable[ScrewPlace]) -> list[tuple[ScrewPlace, Screw]]:
    """The screws at these places, driven, from port to starboard and down; each face counts its own, as if drawn."""
    counted = dict.fromkeys(FACES, 0)
    out = []
    for place in sorted(places, key=lambda place: (-round(place.at[0], 3), -round(place.at[1], 3), place.driven_from)):
        face = place.driven_from
        counted[face] += 1
        screw = drive(
            frame.parts,
            name=f"{frame.name} proposed {face} screw {counted[face]}",
            frame=frame.number,
            size=size,
            at=place.at,
            driven_from=face,
            face=frame.core_high if face == "forward" else frame.core_low,
            source=frame.source,
            proposed=True,
        )
        out.append((place, screw))
    return out


def _wrong(screw: Screw, room: ScrewRoom) -> str:
    """Why a screw cannot stay where it was laid out; empty if it can."""
    limits = room.limits
    if screw.penetration <= COINCIDENT:
        return f"{screw.size.name} does not reach through the gusset into what is behind it"
    left, want = screw.left_beyond, limits["screw_bite"]
    if falls_short(left, want):
        said = f"comes {mm(-left)} through" if left < 0 else f"leaves only {mm(left, want)} of wood beyond its tip"
        return f"{screw.size.name} {said}, want {mm(want, left)} left"
    axis = shapely.Point(screw.at)
    need = limits["screw_edge_warning"] * screw.size.diameter
    for ply in screw.plies:
        distance = float(ply.wood.boundary.distance(axis))
        if falls_short(distance, need):
            return f"its tip reaches {ply.part.name} {mm(distance, need)} from an edge, want {mm(need, distance)}"
    if room.fouls(screw) or room.bars(screw):
        return "another part is in the way"
    return ""


def _lacks(short: Iterable[Shortage], need: float) -> list[Lack]:
    found = []
    for lack in short:
        if lack.width < 2 * need:
            why = f"the wood that they share is {mm(lack.width, 2 * need)} wide at most, one screw "
            why += f"wants {mm(2 * need, lack.width)}"
        else:
            why = f"no more fit there {mm(need)} from one another and from all edges"
        found.append(Lack(lack.gusset, lack.member, lack.got, lack.wanted, why))
    return found
