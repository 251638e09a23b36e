"""A frame on two legs of two plies each, for the tests of legs. Rails 45 mm wide, 560 mm between them."""

import making
import numpy as np

from scrieve.model.geometry.outline import Outline

INNER, OUTER = 280.0, 325.0  # of a rail
KINDS = ("plain", "tongue", "relieved")


def leg_outline(kind="plain", *, short=0.0, wide=0.0, tilt=0.0, lift=0.0, taller=0.0):
    """A port leg: `short` of the rail, its locating edge `wide` outboard, the outer end of its foot `tilt` higher.

    `lift` is added to every v, for raked frames; `taller` raises the outer top corner alone.
    """
    y, v = INNER + wide, short
    top = [(340, 200 + taller), (240, 200)]
    if kind == "plain":
        corners = [(y, v), (340, v + tilt), (340, 200 + taller), (y, 200)]
        return Outline.of([(a, b + lift) for a, b in corners])
    if kind == "tongue":
        corners = [(240, -60), (y, -60), (y, v), (340, v + tilt), *top]
        return Outline.of([(a, b + lift) for a, b in corners])
    # a round relief 10 mm across in the inside corner
    reach = 10 / np.sqrt(2)
    corners = [(240, -60), (y, -60), (y, v - reach), (y + reach, v), (340, v + tilt), *top]
    return Outline.of([(a, b + lift) for a, b in corners], [0, 0, -1.0, 0, 0, 0, 0])


def plies(side=1, *, inner=None, outer=None, kind="plain", upside_down=False, **both):
    """The two plies of one leg, in the core and forward of it; `inner` and `outer` change one of them."""
    out = []
    for label, face, changes in (("inner", "core", inner), ("outer", "forward", outer)):
        outline = leg_outline(kind, **{**both, **(changes or {})})
        if upside_down:
            outline = outline.mirrored().turned(np.pi)
        if side < 0:
            outline = outline.mirrored()
        name = f"{'port' if side > 0 else 'starboard'} leg {label}"
        out.append(making.part(name, outline, role="leg", face=face))
    return out


def floor(left=-400.0, right=400.0, *, upside_down=False, density=500.0):
    """The one other part of the frame."""
    low, high = (-300, -200) if upside_down else (200, 300)
    return making.part("floor", making.rectangle(left, low, right, high), density=density)


def boat(port=None, starboard=None, *, frame_floor=None, build="upright", rails=True, limits=None, **frame):
    """A boat of one frame; True for a true leg, False for none."""
    down = build == "inverted"
    parts = [frame_floor or floor(upside_down=down)]
    for side, leg in ((1, port), (-1, starboard)):
        parts += plies(side, upside_down=down) if leg is None else leg or []
    return making.assembly(
        [making.frame(parts, **frame)],
        strongback=making.rails(build=build) if rails else None,
        build=build,
        limits=limits,
        cutter=10.0,
    )
