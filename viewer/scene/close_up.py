"""A finding close up: the bodies it is about, what they share, the ends of what it measures, and a view of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.shared.findings import Finding

from .bodies import piece_of
from .body import Body
from .finding_signs import signs_of
from .sharing import Solid, nearest, shared_by, together
from .sides import ALL_ROUND, Room, View, view_along
from .sign_case import around
from .signs import Ends, Points, Signs
from .span import Span, span_of
from .thing import ON_RAILS, frame_of, place_in
from .triple import Triple, triple

_AROUND = 90.0
"""mm on each side of a finding's place that its close-up shows where nothing is measured."""

_FRAME = 320.0
"""mm; the same where no body is named, so that one sees where one is."""

_NEAREST, _FARTHEST = 42.0, 180.0
"""mm; the same where something is: what is measured is seen large, and something about it."""

_TIMES = 7.0
"""how many times what is measured is seen to each side."""

_PIECE = 0.42
"""of the height of the picture: how far to each side of the place battens and rails are seen. More would lie
before the eye."""

_UPWARD = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CloseUp:
    """What a finding is about. `bodies` by number; `shared` (points, triangles) is what two of them both fill.

    `gap` are the ends of what is measured; where nothing is, and the bodies are two that do not meet, of the
    shortest way from the one to the other. Hull axes, mm. `measures`: the ends are those of what is measured.
    `signs` is what is drawn besides, `also` by number what else is seen; of the bodies that are `pieces`
    no more is seen than these.
    """

    at: Triple
    bodies: tuple[int, ...]
    shared: Solid | None
    gap: Ends | None
    measures: bool
    view: View
    signs: Signs
    also: tuple[int, ...]
    pieces: Mapping[int, Body]

    @property
    def whole(self) -> frozenset[int]:
        """The bodies that are seen as they are."""
        return frozenset((*self.bodies, *self.also)) - frozenset(self.pieces)


def close_up(
    finding: Finding, bodies: Sequence[Body], assembly: Assembly, aspect: float, room: Room = ALL_ROUND
) -> CloseUp | None:
    """The close-up of a finding in a picture of this width by height; None for one that has no place."""
    if finding.at is None:
        return None
    frame = frame_of(finding, assembly)
    named = _named(finding, bodies)
    span = span_of(finding, assembly)
    signs = signs_of(finding, assembly, span)
    number = {body.name: n for n, body in enumerate(bodies)}
    also = tuple(sorted(number[name] for name in signs.also if name in number and number[name] not in named))
    fouling = finding.check == "foul"
    shared = together(signs.shared) if signs.shared else shared_by([bodies[n] for n in named], fouling=fouling)
    ends = signs.ends or (None if span is None or frame is None else _ends(span, frame))
    measures = ends is not None
    if finding.measured is None and shared is None and len(named) == 2 and not signs.ghosts:
        ends = nearest(bodies[named[0]], bodies[named[1]], finding.at, _AROUND)
    about = _about(finding, bool(named), span, frame, signs, shared)
    toward, up = _toward(finding, [bodies[n] for n in named], frame, span)
    view = view_along(signs.toward or toward, signs.up if signs.toward else up, about, aspect, room)
    reach = max(_PIECE * view.height_at_target(), float(np.abs(signs.about[:, 0] - finding.at[0]).max(initial=0.0)))
    pieces = {
        n: piece
        for n in (*named, *also)
        if (piece := piece_of(bodies[n], assembly, finding.at[0] - reach, finding.at[0] + reach)) is not None
    }
    return CloseUp(
        at=finding.at, bodies=named, shared=shared, gap=ends, measures=measures, view=view, signs=signs, also=also,
        pieces=pieces,
    )  # fmt: skip


def _named(finding: Finding, bodies: Sequence[Body]) -> tuple[int, ...]:
    """The bodies that a finding names, and the rail beneath where it is about that as well."""
    assert finding.at is not None
    number = {body.name: n for n, body in enumerate(bodies)}
    names = list(finding.parts)
    if finding.check in ON_RAILS:
        names.append("port rail" if finding.at[1] > 0 else "starboard rail")
    return tuple(number[name] for name in names if name in number)


def _ends(span: Span, frame: Frame) -> Ends:
    a, b = frame.placement.to_hull([span.start, span.end])
    return triple(a), triple(b)


def _about(
    finding: Finding, is_named: bool, span: Span | None, frame: Frame | None, signs: Signs, shared: Solid | None
) -> Points:
    """(n, 3): what has to be in sight."""
    if len(signs.about):
        return signs.about
    middle, half = np.array(finding.at), _AROUND if is_named else _FRAME
    if span is not None and frame is not None:
        middle = np.mean(_ends(span, frame), axis=0)
        half = float(np.clip(_TIMES * span.length, _NEAREST, _FARTHEST))
    if shared is not None:  # all of it, unless it is large
        near = shared[0][np.all(np.abs(shared[0] - middle) < _FARTHEST, axis=1)]
        half = max(half, 1.5 * float(np.abs(near - middle).max(initial=0.0)))
    off = np.array([0.3, 1.0, 1.0]) * half
    return around([middle - off, middle + off])


def _toward(finding: Finding, named: Sequence[Body], frame: Frame | None, span: Span | None) -> tuple[Triple, Triple]:
    """To an eye square to what is measured, so that it is seen at its length; else to the face on which it lies."""
    assert finding.at is not None
    normal = np.array([1.0, 0.0, 0.0]) if frame is None else frame.placement.vector_to_hull([(0.0, 0.0, 1.0)])[0]
    outboard = np.array([0.0, 1.0 if finding.at[1] >= 0 else -1.0, 0.0])
    face = normal * _side(finding, named, frame, normal)
    lean = 0.45 * outboard + (0.0, 0.0, 0.4)
    way = face + lean
    if span is not None and frame is not None:
        a, b = (np.array(end) for end in _ends(span, frame))
        along = (b - a) / np.linalg.norm(b - a)
        way = (face if span.across else outboard) + 0.8 * lean
        way = way - along * (way @ along)
    return triple(way), triple(_UPWARD)


def _side(finding: Finding, named: Sequence[Body], frame: Frame | None, normal: Points) -> float:
    """1 for the forward face, -1 for the aft one: that of the parts, or of the core the one at which the place is."""
    outward = float(sum((np.array(body.outward) for body in named), np.zeros(3)) @ normal)
    if abs(outward) < 1e-9 and frame is not None:
        depth = place_in(frame, finding)[2]
        middle = (frame.core_low + frame.core_high) / 2
        return -1.0 if depth < middle - 0.25 * frame.core_thickness else 1.0
    return 1.0 if outward >= 0.0 else -1.0
