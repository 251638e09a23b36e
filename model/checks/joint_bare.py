"""Check `joint-bare`: a butt joint without a gusset on a face that should have one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Ghost
from scrieve.shared.sentences import Sentence
from scrieve.shared.tolerances import SLIVER
from scrieve.shared.wording import at_least, listed, mm, place

from ..boat.assembly import Assembly
from ..boat.editing import add_outline, remove
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..relations.joints.gusset import ALLOWED_BARE, Cover, covers, gussets_of, member_edge
from ..relations.joints.joint import Joint
from ..relations.joints.outer_line import closed
from ..relations.transom import outer_face
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every butt joint on every face where a gusset is missing, or leaves too much of it bare."""
    found = [_unless_unread(cover, frame, assembly) for cover in covers(frame, assembly)]
    # covers come two by two, forward before aft
    for forward, aft in zip(found[::2], found[1::2], strict=True):
        if frame.kind == "bulkhead":
            if forward and aft and forward.is_bare and aft.is_bare:
                worse = min(forward, aft, key=lambda cover: cover.bare)
                yield _finding(frame, assembly, worse, (), "on either face")
            continue
        outside = outer_face(frame, assembly)
        for cover, opposite in ((forward, aft), (aft, forward)):
            if cover and cover.is_bare and cover.face != outside:
                gussets = opposite.gussets if opposite else ()
                yield _finding(frame, assembly, cover, gussets, f"on the {cover.face} face")


def _one_faced(joint: Joint, assembly: Assembly) -> bool:
    """Whether several frames have gussets, and all of them on one and the same face: so their designer wants them.

    Or all that lie over joints of parts with these roles, as butt blocks do.
    """
    frames = [frame for frame in assembly.frames if frame.kind in ("open", "ring")]
    found = [{gusset.face for gusset in gussets_of(frame)} for frame in frames]
    if sum(map(bool, found)) > 1 and len(set().union(*found)) == 1:
        return True
    roles = _roles(joint, assembly)
    alike = [[c for c in covers(frame, assembly) if _roles(c.joint, assembly) == roles] for frame in frames]
    found = [{cover.face for cover in here if cover.gussets} for here in alike]
    return "" not in roles and sum(map(bool, found)) > 1 and len(set().union(*found)) == 1


def _roles(joint: Joint, assembly: Assembly) -> tuple[str, ...]:
    read = assembly.label_reader.alone
    return tuple(sorted(read(part.label).what for part in (joint.first, joint.second)))


def _unless_unread(cover: Cover, frame: Frame, assembly: Assembly) -> Cover | None:
    """The cover; None if there is no gusset, but near the joint an outline that could not be taken as it stands."""
    wrong = [d.at for d in frame.defects if d.check == "outline" and d.level is Level.ERROR and d.at is not None]
    if cover.gussets or not wrong:
        return cover
    near = cover.joint.length + 2 * assembly.limits["gusset_lap"] * frame.core_thickness
    return None if shapely.dwithin(shapely.points(wrong), cover.joint.line, near).any() else cover


def _finding(frame: Frame, assembly: Assembly, cover: Cover, opposite: Sequence[Part], where: str) -> Finding:
    """The finding on a cover that has `opposite` on the frame's other face; a note where all gussets lie there."""
    joint = cover.joint
    wanted = bool(opposite) and _one_faced(joint, assembly)
    both = {"first": joint.first, "second": joint.second}
    pieces, outward = _bare_pieces(cover)
    longest = max(pieces, key=lambda piece: (round(piece.length, 3), piece.bounds))
    mark = Marker(frame=frame, w=frame.core_high if cover.face == "forward" else frame.core_low)
    at = shapely.get_coordinates(shapely.line_interpolate_point(longest, 0.5, normalized=True))[0]
    ghosts: tuple[Ghost, ...] = ()
    edits: tuple[Edit, ...] = ()
    if cover.gussets:
        names = listed(gusset.name for gusset in cover.gussets)
        message = Sentence.of(
            "the joint of {first} and {second} is bare {where} over {bare} of {length}, up to {allowed} beside "
            "{gussets} is allowed",
            **both, where=where, bare=mm(cover.bare, cover.allowed), length=mm(joint.length),
            allowed=mm(cover.allowed, cover.bare), gussets=names,
        )  # fmt: skip
        cure = Sentence.of(
            "widen {gussets} over the joint by {least} at least, about {place}",
            gussets=names, least=at_least(cover.bare - cover.allowed), place=place(*at),
        )  # fmt: skip
    else:
        message = Sentence.of("{first} and {second} butt without a gusset {where}", **both, where=where)
        if wanted:
            message = Sentence.of("{message}, where no joint of its like has one", message=message)
        reach = assembly.limits["gusset_lap"] * frame.core_thickness
        cure = Sentence.of(
            "add a gusset {where} over {start} to {end}, reaching {reach} past the joint into both",
            where=where, start=place(*_end(joint.line, 0)), end=place(*_end(joint.line, -1)), reach=at_least(reach),
        )  # fmt: skip
        plates = [part for part in frame.parts if _is_plate_over(part, cover)]
        if plates:
            edits = assembly.keys.set(("layers", plates[0].source.layer), "role", "gusset")
            cure = Sentence.of(
                'give the layer of {plates} role = "gusset" if that is what it is; or {cure}',
                plates=listed(part.name for part in plates), cure=cure,
            )  # fmt: skip
        shapes = [gusset.shape for gusset in opposite] or _wanted(frame, assembly, joint, reach)
        thick = max((gusset.thickness for gusset in opposite or gussets_of(frame)), default=frame.core_thickness)
        low, high = sorted((mark.w, mark.w + (thick if cover.face == "forward" else -thick)))
        ghosts = tuple(mark.ghost(shape, low, high) for shape in shapes)
        edits = edits or _copied(frame, assembly, cover, opposite)
    ends = shapely.get_coordinates(longest)[[0, -1]] + outward
    is_straight = abs(float(np.hypot(*(ends[1] - ends[0]))) - cover.bare) <= SLIVER
    return Finding(
        check="joint-bare",
        level=Level.NOTE if wanted else Level.ERROR,
        message=message,
        frame=frame.number,
        at=mark.at(at),
        cure=cure,
        edits=edits,
        source=joint.first.source,
        subjects=subjects(joint.first, joint.second, *cover.gussets),
        measure=Measure(value=cover.bare, limit=cover.allowed, words="no gusset along {value}"),
        evidence=(
            *((mark.span(*ends),) if is_straight else ()),
            *(mark.line(shapely.get_coordinates(piece) + outward) for piece in pieces),
            *ghosts,
        ),
    )


def _copied(frame: Frame, assembly: Assembly, cover: Cover, opposite: Sequence[Part]) -> tuple[Edit, ...]:
    """The gusset of the other face drawn on a layer of this one, or in its own place on one of both."""
    if len(opposite) != 1:
        return ()
    (there,) = opposite
    gussets = [part for each in assembly.frames for part in gussets_of(each)]
    others = {part.source for part in gussets if part.face != cover.face}
    here = sorted((part.source for part in gussets if part.face == cover.face), key=lambda one: one in others)
    if not here:
        return ()
    instead = remove(frame, there) if here[0] in others else ()
    return (*instead, *add_outline(frame, replace(here[0], file=there.source.file), there.drawn, there.label))


def _wanted(frame: Frame, assembly: Assembly, joint: Joint, reach: float) -> list[shapely.Polygon]:
    """Where a gusset would lie, (y, v): along the joint and `reach` mm past it, within the frame's outer line."""
    along = shapely.buffer(joint.line, reach, cap_style="flat", join_style="mitre")
    pieces = shapely.get_parts(shapely.intersection(along, closed(frame, assembly)))
    return [piece for piece in pieces if piece.geom_type == "Polygon" and piece.area > SLIVER]


def _bare_pieces(cover: Cover) -> tuple[list[shapely.LineString], NDArray[np.float64]]:
    """What of the joint is bare, (y, v), just inside the wood of the part where more is; and from there to its edge."""
    edges = [member_edge(cover.joint, first=first, inside=SLIVER) for first in (True, False)]
    left = shapely.difference(edges, cover.shape)
    most = int(shapely.length(left).argmax())
    outward = np.multiply(cover.joint.way, SLIVER if most == 0 else -SLIVER)
    return list(shapely.get_parts(shapely.line_merge(left[most]))), outward


def _end(line: shapely.MultiLineString, end: int) -> tuple[float, float]:
    """One of the ends of a joint's line."""
    points = sorted(map(tuple, shapely.get_coordinates(line).tolist()))
    return points[end]


def _is_plate_over(part: Part, cover: Cover) -> bool:
    """Whether a part of another role lies over the joint on that face."""
    if part.role != "plate" or part.face != cover.face:
        return False
    under = shapely.intersection(cover.joint.line, part.shape)
    return bool(under.length > cover.joint.length - cover.allowed - SLIVER)


CHECK = Check(
    slug="joint-bare",
    spanless="what is bare of a joint may lie in several pieces or go round a bend",
    title="A butt joint without a gusset",
    level=Level.ERROR,
    limits=(),
    rests_on="gussets",
    on_frame=check,
    page=Page(
        looks_at=(
            "Every joint where two core parts butt, as `joint-gap` finds them, and the gussets (layers with "
            'role = "gusset") on either face. A gusset counts as far as it passes the joint into both parts. Floor, '
            "sides and deck beam want one on both faces; the pieces of a transom on its inner face, forward of a stern "
            "transom and abaft that of the bow, the other being planed and seen; those of a bulkhead on one face, "
            "whichever. Where all gussets of several frames lie on one face, the other is a note. A leg that butts "
            "against the frame wants none: its outer ply laps it. Where an outline nearby could not be taken as "
            "it stands, that comes first: it may be the gusset."
        ),
        matters=(
            "End grain to end grain, glue alone holds next to nothing: the gussets are the joint. With one on one face "
            "only, the frame hinges about it as soon as it is lifted off the board."
        ),
        limit=(
            f"No gusset may leave more than {ALLOWED_BARE:g} of the joint's length bare; common practice, no source. "
            "That leaves room for standing back from the planking and for letting a batten through. There is nothing "
            "to set. A joint that is scarfed or halved is not a butt joint, but drawn as one outline against the "
            "other it looks like one: waive it, with that reason."
        ),
        cure=(
            "Draw a gusset over the joint on the face that is named, reaching past it on both sides as far as "
            "`gusset-lap` wants. If it is drawn already, its layer lacks the role, or it lies on the other face: "
            'face = "both" makes two of one outline.'
        ),
    ),
)
