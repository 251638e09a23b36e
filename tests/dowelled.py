"""Two boards side by side on the assembly board, and the dowels round them, for the tests of dowels.

Each is 300 x 100 mm, butted at y = 0. Two dowels stand below each, one above it and one at its end.
"""

import re

import making

R = 5.0
ROUND_PORT = {"below, in": (50, -R), "below, out": (250, -R), "above": (150, 100 + R), "end": (300 + R, 50)}


def places(*, without=(), port=ROUND_PORT):
    """The places of the dowels by name, "port end" and so on."""
    found = {f"port {name}": at for name, at in port.items()}
    found |= {f"starboard {name}": (-y, v) for name, (y, v) in port.items()}
    return {name: at for name, at in found.items() if name not in without}


def boards(*, side=1):
    """The two boards; mirrored where `side` is -1, names and all."""
    port, starboard = making.rectangle(0, 0, 300, 100), making.rectangle(-300, 0, 0, 100)
    if side < 0:
        port, starboard = starboard, port
    return [making.part("port board", port), making.part("starboard board", starboard)]


def frame(parts=None, *, at=None, side=1, number="5", **more):
    """The frame of these parts and of dowels at these places, port first, mirrored where `side` is -1."""
    parts = boards(side=side) if parts is None else parts
    at = list(places().values()) if at is None else at
    dowels = [
        making.dowel((side * y, v), frame=number, number=n)
        for n, (y, v) in enumerate(sorted(at, key=lambda p: (-side * p[0], -p[1])), start=1)
    ]
    return making.frame(parts, dowels=dowels, number=number, **more)


def places_in(text):
    """The places that a cure gives."""
    return [(float(y), float(v)) for y, v in re.findall(r"y (-?[\d.]+), z (-?[\d.]+)", text)]
