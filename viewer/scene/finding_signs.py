"""The signs of a finding: each check has its own, and some need none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding

from .boat_signs import astray, bent
from .motion_signs import barred_way, still_moves
from .screw_signs import near_edge, no_room, side_by_side, through, too_few
from .shape_signs import bare, images, in_board, in_corner, past_line, to_its_place, too_short
from .sign_case import Case
from .signs import NO_SIGNS, Signs
from .span import Span
from .thing import frame_of, place_in

_SIGNS: Mapping[str, Callable[[Case], Signs]] = MappingProxyType(
    {
        "bend": bent,
        "board": in_board,
        "corner": in_corner,
        "dowel-hold": still_moves,
        "driver": no_room,
        "fair": to_its_place,
        "gusset-lap": too_short,
        "joint-bare": bare,
        "leg-bottom": to_its_place,
        "leg-pair": images,
        "leg-side": to_its_place,
        "mirror": images,
        "proud": past_line,
        "screw-bite": through,
        "screw-count": too_few,
        "screw-edge": near_edge,
        "screw-foul": side_by_side,
        "station": astray,
        "way-in": barred_way,
    }
)


def signs_of(finding: Finding, assembly: Assembly, span: Span | None) -> Signs:
    """What is drawn of a finding besides its bodies and its span; none where it has no frame or no place in one."""
    frame = frame_of(finding, assembly)
    way = _SIGNS.get(finding.check)
    if frame is None or finding.at is None or way is None:
        return NO_SIGNS
    return way(Case(finding=finding, frame=frame, assembly=assembly, at=place_in(frame, finding), span=span))
