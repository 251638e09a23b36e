"""GLB and STL, through trimesh, which is loaded with this module."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import trimesh
from trimesh.visual.material import PBRMaterial

from ..scene.kinds import Kind
from ..scene.looks import COLOURS
from ..scene.solid_mesh import together
from .solids import ExchangeSolid

_AXES = [1, 2, 0]
"""Of the format's x, y and z: y, z and x of the hull. Its y is up, its z forward, its x to port."""

_METRE = 1000.0


def glb(name: str, solids: Sequence[ExchangeSolid]) -> bytes:
    """A boat as binary glTF 2.0, in metres, y up: a node a solid under that of its frame, all under one of the boat.

    Nodes carry what is known of the solid as `extras`, lengths in mm.
    """
    scene = trimesh.Scene(base_frame=_free("world", name, solids))
    scene.graph.update(frame_to=(boat := _free(name, "", solids)))
    nodes = {number: _free(f"F{number}", boat, solids) for number in dict.fromkeys(s.frame for s in solids) if number}
    for frame in nodes.values():
        scene.graph.update(frame_from=boat, frame_to=frame)
    materials = {kind: _material(kind) for kind in COLOURS}
    for solid in solids:
        mesh = trimesh.Trimesh(solid.points[:, _AXES] / _METRE, solid.triangles, process=False)
        mesh.visual = trimesh.visual.TextureVisuals(material=materials[solid.kind])
        scene.add_geometry(
            mesh, node_name=solid.name, geom_name=solid.name, parent_node_name=nodes.get(solid.frame, boat)
        )
    facts = {solid.name: dict(solid.facts) for solid in solids}

    def finish(tree: dict[str, Any]) -> None:
        tree["asset"]["generator"] = "scrieve"
        for node in tree["nodes"]:
            if node["name"] in facts:
                node["extras"] = facts[node["name"]]
        for mesh in tree["meshes"]:
            mesh.pop("extras", None)

    return bytes(scene.export(file_type="glb", tree_postprocessor=finish))


def stl(solids: Sequence[ExchangeSolid]) -> bytes:
    """All solids in one binary STL, hull axes, mm."""
    points, triangles = together([(solid.points, solid.triangles) for solid in solids])
    return bytes(trimesh.Trimesh(points, triangles, process=False).export(file_type="stl"))


def _free(wanted: str, other: str, solids: Sequence[ExchangeSolid]) -> str:
    """The name, or one like it that no solid and not the other one has."""
    taken = {other, *(solid.name for solid in solids)}
    while not wanted or wanted in taken:
        wanted += "_"
    return wanted


def _material(kind: Kind) -> Any:
    """Dull, in the colour of the kind, which the format wants in linear light."""
    shares = np.array([int(COLOURS[kind][n : n + 2], 16) for n in (1, 3, 5)]) / 255
    linear = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
    return PBRMaterial(name=kind, baseColorFactor=[*linear, 1.0], metallicFactor=0.0, roughnessFactor=0.9)
