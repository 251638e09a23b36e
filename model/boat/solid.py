"""Solids in hull axes, in double precision, for what does not lie in one frame's plane."""

from __future__ import annotations

from typing import Any

import manifold3d
import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.errors import GeometryError

from ..geometry.placement import Placement
from .batten import Batten
from .screw import Screw

Solid = Any  # manifold3d ships no types

FACETS = 64
"""Flat sides of a round solid: at the rim of a No. 8 head they lie 0.005 mm inside the round."""


def prism(shape: shapely.Polygon, low: float, high: float, placement: Placement) -> Solid:
    """`shape` in a frame's (y, v) from `low` to `high` along its normal, in hull axes, mm.

    Raises GeometryError where no sound solid of area times thickness comes out.
    """
    rings = [np.asarray(shapely.get_coordinates(ring))[:-1] for ring in (shape.exterior, *shape.interiors)]
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    upright = manifold3d.Manifold.extrude(section, high - low)
    move = placement.matrix[:3].copy()
    move[:, 3] += move[:, 2] * low
    return checked(upright.transform(move), float(shape.area) * (high - low))


def screw_solid(screw: Screw, placement: Placement, facets: int = FACETS) -> Solid:
    """The screw in hull axes, mm: its head a cone flush with the wood, its shank, its tip tapered to a point.

    Round about it has so many flat sides whose corners lie on the true round.
    """
    depths, radii = np.array(screw.profile).T
    inward = 1.0 if screw.tip > screw.head else -1.0
    half = np.concatenate([[(0.0, 0.0)], np.column_stack([radii, depths * inward])])
    section = manifold3d.CrossSection([half], manifold3d.FillRule.EvenOdd)
    upright = manifold3d.Manifold.revolve(section, facets)
    move = placement.matrix[:3].copy()
    move[:, 3] += move[:, :3] @ (*screw.at, screw.head)
    squares = radii[:-1] ** 2 + radii[:-1] * radii[1:] + radii[1:] ** 2
    flat = facets / 2 * np.sin(2 * np.pi / facets)  # of the area of a circle of radius 1
    return checked(upright.transform(move), float(flat / 3 * np.sum(np.diff(depths) * squares)))


def box(least: tuple[float, float, float], greatest: tuple[float, float, float]) -> Solid:
    """A box between two corners, hull axes."""
    size = np.subtract(greatest, least)
    return checked(manifold3d.Manifold.cube(size).translate(least), float(np.prod(size)))


def batten_solid(batten: Batten, start: float, end: float, *, step: float = 25.0) -> Solid:
    """The stretch of a batten from x = `start` to `end`, swept with its twist, a section every `step` mm."""
    x = np.linspace(start, end, max(2, int(np.ceil((end - start) / step)) + 1))
    _, long, short = batten.axes(x)
    profile = batten.profile
    rings = (
        batten.centre(x)[:, None, :]
        + profile[None, :, :1] * long[:, None, :]
        + profile[None, :, 1:] * short[:, None, :]
    )
    return checked(_swept(rings), None)


def _swept(rings: NDArray[np.float64]) -> Solid:
    """The closed mesh through (m, k, 3) rings, capped flat at both ends."""
    m, k, _ = rings.shape
    here = np.arange(k)
    beside = (here + 1) % k
    faces = []
    for i in range(m - 1):
        a, b = i * k, (i + 1) * k
        faces.append(np.column_stack([a + here, b + here, b + beside]))
        faces.append(np.column_stack([a + here, b + beside, a + beside]))
    fan = np.column_stack([np.zeros(k - 2, dtype=int), here[1:-1], here[2:]])
    faces += [fan, fan[:, ::-1] + (m - 1) * k]
    triangles = np.concatenate(faces)[:, ::-1]
    mesh = manifold3d.Mesh64(
        np.ascontiguousarray(rings.reshape(-1, 3)), np.ascontiguousarray(triangles, dtype=np.uint64)
    )
    return manifold3d.Manifold(mesh)


def checked(solid: Solid, volume: float | None) -> Solid:
    """The solid itself; raises GeometryError if the kernel reports a fault or another volume than `volume`."""
    status = solid.status()
    got = solid.volume()
    if status != manifold3d.Error.NoError or got <= 0:
        raise GeometryError.at(f"no sound solid came of an outline ({status}, volume {got:g} mm3)")
    if volume is not None and abs(got - volume) > 1e-6 * max(volume, 1.0):
        raise GeometryError.at(f"a solid came out at {got:.6g} mm3 instead of {volume:.6g} mm3")
    return solid
