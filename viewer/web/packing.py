"""Bodies as bytes for the page: coordinates of 16 bits within each form, and forms that are alike kept once."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..scene.body import Body, Mesh

_MOST = 65535


class Packed(NamedTuple):
    """`bytes64` are those of all forms, base64; `forms` [points, triangles, edges, bytes of a number, mm of a step].

    `places` [form, x, y, z] are of the bodies, in their order: mm, hull axes, of the form's least corner.
    The bytes are, form by form: points (n, 3) as uint16 steps, then triangles and edges as numbers of points, in
    uint16 or uint32; each form begins at a multiple of 4.
    """

    bytes64: str
    forms: list[list[float]]
    places: list[list[float]]


def packed(bodies: Sequence[Body]) -> Packed:
    """The bodies packed; coordinates are off by half a step at most, 1/130,000 of a body's greatest extent."""
    number: dict[bytes, int] = {}
    forms: list[list[float]] = []
    places: list[list[float]] = []
    pieces: list[bytes] = []
    for body in bodies:
        start, step, piece, wide = _form(body.points, body.triangles, body.edges)
        if piece not in number:
            number[piece] = len(forms)
            forms.append([len(body.points), len(body.triangles), len(body.edges), wide, step])
            pieces.append(piece)
        places.append([number[piece], *start])
    return Packed(base64.b64encode(b"".join(pieces)).decode("ascii"), forms, places)


def packed_mesh(mesh: Mesh) -> dict[str, object]:
    """One mesh as JSON has it, for what is small: points in hundredths of a mm, flat, and numbers of points."""
    points, triangles, edges = mesh
    return {
        "points": np.round(points * 100).astype(np.int64).ravel().tolist(),
        "triangles": triangles.ravel().tolist(),
        "edges": edges.ravel().tolist(),
    }


def _form(points: np.ndarray, triangles: np.ndarray, edges: np.ndarray) -> tuple[list[float], float, bytes, int]:
    """The least corner and the step, mm, the bytes, and how many of these a number of a point takes."""
    if not len(points):  # cut away whole
        return [0.0, 0.0, 0.0], 1.0, b"", 2
    least = points.min(axis=0)
    # rounded, so that forms that are alike but for the last bits of a number are one
    step = round(float(np.ptp(points, axis=0).max()) / _MOST + 5e-7, 6)
    steps = np.clip(np.round((points - least) / step), 0, _MOST).astype("<u2")
    kind = "<u2" if len(points) <= _MOST else "<u4"
    piece = steps.tobytes() + triangles.astype(kind).tobytes() + edges.astype(kind).tobytes()
    return [round(float(v), 3) for v in least], step, piece + bytes(-len(piece) % 4), int(kind[-1])


def runs(numbers: Sequence[int]) -> list[int]:
    """First and one past the last of each run of numbers."""
    out: list[int] = []
    for n in numbers:
        if out and out[-1] == n:
            out[-1] = n + 1
        else:
            out += [n, n + 1]
    return out
