"""Gussets over butt joints: which of them lie over a joint on which face, and what they leave bare of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.kept import kept
from scrieve.shared.tolerances import GUSSET_LAP, SLIVER, exceeds

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.part import Part
from .bridged_joint import bridged_joints
from .joint import Joint, joints

GussetFace: TypeAlias = Literal["forward", "aft"]
FACES: tuple[GussetFace, ...] = ("forward", "aft")

ALLOWED_BARE = 0.25
"""share of a joint's length that its gusset may leave bare: where it stands back from the planking and the batten
is let through. Common practice, no source."""


class Cover(NamedTuple):
    """The gussets over one butt joint on one face of a frame, by name; none where there are none.

    `bare` is the length of the joint, mm, over which no gusset reaches past it into both parts.
    """

    joint: Joint
    face: GussetFace
    gussets: tuple[Part, ...]
    bare: float

    @property
    def shape(self) -> shapely.Geometry:
        """All that its gussets cover, (y, v)."""
        return self.gussets[0].shape if len(self.gussets) == 1 else shapely.union_all([g.shape for g in self.gussets])

    @property
    def allowed(self) -> float:
        """How much of the joint may be bare, mm."""
        return ALLOWED_BARE * self.joint.length

    @property
    def is_bare(self) -> bool:
        """Whether more is bare than may be."""
        return exceeds(self.bare, self.allowed)


@kept
def covers(frame: Frame, assembly: Assembly) -> tuple[Cover, ...]:
    """The gussets over each butt joint of a frame, forward face before aft; in the order of the joints.

    A gusset lies over a joint if it passes it into both parts along GUSSET_LAP of it, or half of one that is
    shorter. The joints are those of `joints` and of `bridged_joints`; joints with a leg want no gusset.
    """
    found = (*joints(frame), *bridged_joints(frame, assembly))
    if not found:
        return ()
    gussets = gussets_of(frame)
    sides = [member_edge(joint, first=first, inside=SLIVER) for joint in found for first in (True, False)]
    lengths = _lengths(sides, gussets)
    whole = shapely.length(sides)
    out = []
    for n, joint in enumerate(found):
        covered = lengths[2 * n : 2 * n + 2].min(axis=0)
        for face in FACES:
            least = min(GUSSET_LAP, joint.length / 2)
            over = [k for k, gusset in enumerate(gussets) if gusset.face == face and covered[k] >= least]
            bare = max(
                whole[m] - _length_under(sides[m], [gussets[k] for k in over], lengths[m, over].tolist())
                for m in (2 * n, 2 * n + 1)
            )
            out.append(
                Cover(joint=joint, face=face, gussets=tuple(gussets[k] for k in over), bare=max(0.0, float(bare)))
            )
    return tuple(out)


def gussets_of(frame: Frame) -> tuple[Part, ...]:
    """The gussets on either face of a frame, by name."""
    return tuple(part for part in frame.parts if part.role == "gusset" and part.face != "core")


def member_edge(joint: Joint, *, first: bool, inside: float = 0.0) -> shapely.MultiLineString:
    """The edge of the first part of a joint, or of the second, along it, (y, v); or `inside` mm into the wood."""
    sign = -inside if first else inside
    lines = [np.add(s.first if first else s.second, np.multiply(s.way, sign)) for s in joint.stretches]
    return shapely.multilinestrings(shapely.linestrings(lines))


def _lengths(lines: Sequence[shapely.Geometry], gussets: Sequence[Part]) -> NDArray[np.float64]:
    """(n, m) mm: how much of each line lies under each gusset. A plate for both faces is measured once."""
    shapes = list(dict.fromkeys(gusset.shape for gusset in gussets))
    numbers = {shape: n for n, shape in enumerate(shapes)}
    if not shapes:
        return np.zeros((len(lines), 0))
    line_boxes, boxes = shapely.bounds(lines), shapely.bounds(shapes)
    apart = (line_boxes[:, None, :2] > boxes[None, :, 2:]) | (line_boxes[:, None, 2:] < boxes[None, :, :2])
    i, j = np.nonzero(~apart.any(axis=2))
    out = np.zeros((len(lines), len(shapes)))
    out[i, j] = shapely.length(shapely.intersection(np.array(lines)[i], np.array(shapes)[j]))
    return out[:, [numbers[gusset.shape] for gusset in gussets]]


def _length_under(line: shapely.Geometry, gussets: Sequence[Part], lengths: Sequence[float]) -> float:
    """How much of a line lies under any of the gussets, of which each covers one of `lengths`, mm."""
    if len(gussets) < 2:
        return sum(lengths)
    return float(shapely.intersection(line, shapely.union_all([gusset.shape for gusset in gussets])).length)
