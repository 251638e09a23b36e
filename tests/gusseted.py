"""An open or ring frame of square timbers, 100 mm deep, 18 mm thick, with gussets over its joints, for their tests.

The floor runs from y = -400 to 400 at v = 0 to 100, the sides stand upright at y = 300 to 400, up to v = 600;
in a ring frame the deck beam lies across at v = 500 to 600. Joints are mitred at 45 degrees; or square, with
the sides standing on the floor. A gusset reaches `arm` past the inner end of a mitre along either part.
"""

from dataclasses import replace

import making

from scrieve.model.geometry.outline import Outline

DEEP, HALF, HIGH = 100.0, 400.0, 600.0
INSIDE = HALF - DEEP
LIMIT = 4 * 18.0  # gusset_lap, mm


def ring(points, *, side=1):
    """The outline of these corners of the port side, or its mirror image."""
    outline = Outline.of(points)
    return outline if side > 0 else outline.mirrored()


def named(name, side):
    """The name on this side."""
    return f"{'port' if side > 0 else 'starboard'} {name}"


def core(*, mitred=True, kind="open", sides=(1, -1), out=0.0, **more):
    """Floor, sides and in a ring frame the deck beam; `out` is how far the port-most side is moved outward."""
    low = [(HALF, 0), (INSIDE, DEEP)] if mitred else [(HALF, 0), (HALF, DEEP), (INSIDE, DEEP)]
    floor = [*low, *((-y, v) for y, v in reversed(low))]
    parts = [making.part("floor", Outline.of(floor), **more)]
    foot = [(HALF, 0), (INSIDE, DEEP)] if mitred else [(HALF, DEEP), (INSIDE, DEEP)]
    top = [(INSIDE, HIGH - DEEP), (HALF, HIGH)] if kind == "ring" else [(INSIDE, HIGH), (HALF, HIGH)]
    for n, side in enumerate(sides):
        moved = out if n == 0 else 0.0
        corners = [(y + moved, v) for y, v in (*foot, *top)]
        parts.append(making.part(named("side", side), ring(corners, side=side), **more))
    if kind == "ring":
        beam = [(HALF, HIGH), (-HALF, HIGH), (-INSIDE, HIGH - DEEP), (INSIDE, HIGH - DEEP)]
        parts.append(making.part("deck beam", Outline.of(beam), **more))
    return parts


def corner_gusset(side=1, *, face="forward", arm=80.0, along=None, proud=0.0, low=True, corners=None, **more):
    """The L-shaped gusset over the mitre at the chine, or (`low` False) at the sheer, on one face.

    `arm` is its reach up the side, `along` that over floor or beam, if another. `proud` is how far it stands past
    the outer line of floor or beam.
    """
    along = arm if along is None else along
    points = corners or [
        (INSIDE - along, -proud), (HALF, -proud), (HALF, DEEP + arm), (INSIDE, DEEP + arm), (INSIDE, DEEP),
        (INSIDE - along, DEEP),
    ]  # fmt: skip
    points = points if low else [(y, HIGH - v) for y, v in points]
    label = named("chine gusset" if low else "sheer gusset", side)
    outline = ring(points, side=side)
    return making.part(label, outline, face=face, thickness=9.0, **more)


def both_faces(side=1, **more):
    """The gusset drawn once for both faces: two parts of one outline, named apart."""
    return faces_of(corner_gusset(side, **more))


def faces_of(plate):
    """Forward and aft plate of one drawn outline."""
    spans = {"forward": (18.0, 27.0), "aft": (-9.0, 0.0)}
    return [
        replace(plate, name=f"{plate.name}, {face}", face=face, low=low, high=high)
        for face, (low, high) in spans.items()
    ]


def frame(parts, **more):
    """A frame of these parts."""
    return making.frame(parts, **more)


def full(*, kind="open", mitred=True, port=None, **more):
    """A frame with gussets on both faces of all its joints; `port` changes those over the port chine."""
    parts = core(kind=kind, mitred=mitred)
    parts += both_faces(1, **(port or {}))
    parts += both_faces(-1)
    if kind == "ring":
        parts += [*both_faces(1, low=False), *both_faces(-1, low=False)]
    return frame(parts, kind=kind, **more)


def mirrored(whole):
    """The frame's mirror image, its parts named after the side they come to lie on."""
    images = {id(part.drawn): part.drawn.mirrored() for part in whole.parts}
    shapes = {key: drawn.polygon() for key, drawn in images.items()}
    swap = {"port": "starboard", "starboard": "port"}
    parts = []
    for part in whole.parts:
        name, label = (" ".join(swap.get(word, word) for word in text.split()) for text in (part.name, part.label))
        drawn, shape = images[id(part.drawn)], shapes[id(part.drawn)]
        parts.append(replace(part, name=name, label=label, drawn=drawn, shape=shape))
    return making.frame(
        parts, number=whole.number, kind=whole.kind, station=whole.placement.station, rake=whole.placement.rake
    )
