"""Check `joint-bare`: a butt joint without a gusset on a face that should have one."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import SLIVER

from ..assembly import Assembly
from ..frame import Frame
from ..joints.gusset import ALLOWED_BARE, Cover, covers, member_edge
from ..part import Part
from ..wording import at_least, listed, mm, place
from .check import Check, Page


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every butt joint on every face where a gusset is missing, or leaves too much of it bare."""
    found = [_unless_unread(cover, frame, assembly) for cover in covers(frame, assembly)]
    # covers come two by two, forward before aft
    for forward, aft in zip(found[::2], found[1::2], strict=True):
        if frame.kind == "bulkhead":
            if forward and aft and forward.is_bare and aft.is_bare:
                yield _finding(frame, assembly, min(forward, aft, key=lambda cover: cover.bare), "on either face")
            continue
        for cover in (forward,) if frame.kind == "transom" else (forward, aft):
            if cover and cover.is_bare:
                yield _finding(frame, assembly, cover, f"on the {cover.face} face")


def _unless_unread(cover: Cover, frame: Frame, assembly: Assembly) -> Cover | None:
    """The cover; None if there is no gusset, but near the joint an outline that could not be taken as it stands."""
    wrong = [d.at for d in frame.defects if d.check == "outline" and d.level is Level.ERROR and d.at is not None]
    if cover.gussets or not wrong:
        return cover
    near = cover.joint.length + 2 * assembly.limits["gusset_lap"] * frame.core_thickness
    return None if shapely.dwithin(shapely.points(wrong), cover.joint.line, near).any() else cover


def _finding(frame: Frame, assembly: Assembly, cover: Cover, where: str) -> Finding:
    joint = cover.joint
    both = f"{joint.first.name} and {joint.second.name}"
    bare = _bare_line(cover)
    y, v = shapely.get_coordinates(shapely.line_interpolate_point(bare, 0.5, normalized=True))[0].tolist()
    if cover.gussets:
        names = listed(gusset.name for gusset in cover.gussets)
        message = (
            f"the joint of {both} is bare {where} over {mm(cover.bare, cover.allowed)} of {mm(joint.length)}, "
            f"up to {mm(cover.allowed, cover.bare)} beside {names} is allowed"
        )
        cure = f"widen {names} over the joint by {at_least(cover.bare - cover.allowed)} at least, about {place(y, v)}"
    else:
        message = f"{both} butt without a gusset {where}"
        reach = assembly.limits["gusset_lap"] * frame.core_thickness
        cure = (
            f"add a gusset {where} over {place(*_end(joint.line, 0))} to {place(*_end(joint.line, -1))}, "
            f"reaching {at_least(reach)} past the joint into both"
        )
        plates = [part.name for part in frame.parts if _is_plate_over(part, cover)]
        if plates:
            cure = f'give the layer of {listed(plates)} role = "gusset" if that is what it is; or {cure}'
    return Finding(
        check="joint-bare",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        parts=(joint.first.name, joint.second.name, *(gusset.name for gusset in cover.gussets)),
        at=frame.placement.point(y, v, frame.core_high if cover.face == "forward" else frame.core_low),
        measured=cover.bare,
        limit=cover.allowed,
        unit="mm",
        cure=cure,
        source=joint.first.source,
    )


def _bare_line(cover: Cover) -> shapely.LineString:
    """The longest piece of the joint that is bare."""
    edges = [member_edge(cover.joint, first=first, inside=SLIVER) for first in (True, False)]
    left = shapely.difference(edges, cover.shape)
    pieces = shapely.get_parts(shapely.line_merge(left[shapely.length(left).argmax()]))
    return max(pieces, key=lambda piece: (round(piece.length, 3), piece.bounds))


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
    title="A butt joint without a gusset",
    level=Level.ERROR,
    limits=(),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every joint where two core parts butt, as `joint-gap` finds them, and the gussets (layers with "
            'role = "gusset") on either face. A gusset counts as far as it passes the joint into both parts. Floor, '
            "sides and deck beam want one on both faces; the pieces of a transom on the forward face, its aft face "
            "being planed and seen; those of a bulkhead on one face, whichever. A leg that butts against the frame "
            "wants none: its outer ply laps it. Where an outline nearby could not be taken as it stands, that comes "
            "first: it may be the gusset."
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
