"""A finding close up: the bodies it is about, what its marks say of them, and a view of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding

from .bodies import piece_of
from .body import Body
from .sides import ALL_ROUND, Margins, View, view_along
from .signs import Points, Signs, signs_of
from .triple import Triple
from .viewpoint import viewpoint

_PIECE = 0.42
"""of the height of the picture: how far to each side of the place battens and rails are seen. More would lie
before the eye."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CloseUp:
    """What a finding is about: `bodies` by number, the worst first, and its `signs`.

    `about` (n, 3) mm, hull axes, is in sight in the `view`; `faint` lets one see through wood. `also` by number is
    what else is seen; of the bodies that are `pieces` no more is seen than these.
    """

    at: Triple
    bodies: tuple[int, ...]
    view: View
    about: Points
    faint: bool
    signs: Signs
    also: tuple[int, ...]
    pieces: Mapping[int, Body]

    @property
    def whole(self) -> frozenset[int]:
        """The bodies that are seen as they are."""
        return frozenset((*self.bodies, *self.also)) - frozenset(self.pieces)


def close_up(
    finding: Finding, bodies: Sequence[Body], assembly: Assembly, aspect: float, room: Margins = ALL_ROUND
) -> CloseUp | None:
    """The close-up of a finding in a picture of this width by height; None for one that has no place."""
    if finding.at is None:
        return None
    named = subjects_among(finding, bodies)
    signs = signs_of(finding, bodies)
    also = tuple(sorted({*_also(finding, signs, bodies)} - {*named}))
    seen = viewpoint(finding, signs, [bodies[n] for n in named or also], assembly)
    view = view_along(seen.toward, seen.up, seen.about, aspect, room)
    reach = max(_PIECE * view.height_at_target(), float(np.abs(seen.about[:, 0] - finding.at[0]).max()))
    pieces = {
        n: piece
        for n in (*named, *also)
        if (piece := piece_of(bodies[n], assembly, finding.at[0] - reach, finding.at[0] + reach)) is not None
    }
    return CloseUp(
        at=finding.at, bodies=named, view=view, about=seen.about, faint=seen.faint, signs=signs, also=also,
        pieces=pieces,
    )  # fmt: skip


def subjects_among(finding: Finding, bodies: Sequence[Body]) -> tuple[int, ...]:
    """The bodies, by number, that a finding is about, the worst first; frames are none."""
    number = {body.name: n for n, body in enumerate(bodies)}
    return tuple(number[subject.name] for subject in finding.subjects if subject.name in number)


def _also(finding: Finding, signs: Signs, bodies: Sequence[Body]) -> Iterator[int]:
    """What has an axis that is marked; and of whole frames, where the marks lie between them, their parts."""
    yield from (axis.body for axis in signs.axes if axis.body is not None)
    first = finding.subjects[0].kind if finding.subjects else ""
    if first == "frame" and not any(mark.frame for mark in finding.evidence):
        frames = {subject.frame for subject in finding.subjects if subject.kind == "frame"}
        small = ("screw", "dowel")
        yield from (n for n, body in enumerate(bodies) if body.frame in frames and body.kind not in small)
