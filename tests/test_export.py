"""`scrieve export`: what other programs get, read back here without the library that wrote it."""

from __future__ import annotations

import io
import json
import os
import shutil
import struct
import subprocess
import zipfile
from importlib.util import find_spec
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import numpy as np
import pocketed
import pytest
from making import assembly, frame, part, rectangle

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.viewer.exchange.meshes import glb, stl
from scrieve.viewer.exchange.print_package import print_package
from scrieve.viewer.exchange.solids import solids_of
from scrieve.viewer.scene.looks import COLOURS
from scrieve.viewer.system import extra
from scrieve.viewer.verbs.commands import run

ROOT = Path(__file__).parents[1]
PRAM = str(ROOT / "hulls" / "pram")
VALIDATOR = ROOT / "build" / "npm" / "node_modules" / "gltf-validator"
EVIL = '<script>alert(1)</script> & "x"'

VALIDATE = """
require(process.argv[1]).validateBytes(new Uint8Array(require('fs').readFileSync(process.argv[2])))
  .then(report => console.log(JSON.stringify(report.issues)))
"""


def volume(points: np.ndarray, triangles: np.ndarray) -> float:
    """What closed triangles enclose, mm3, positive where they face outwards."""
    a, b, c = (points[triangles[:, n]] - points.mean(axis=0) for n in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def read_glb(data: bytes) -> tuple[dict, dict[str, tuple[dict, np.ndarray, np.ndarray]]]:
    """The JSON, and by the name of its node each mesh: the node, points in mm in hull axes, triangles."""
    magic, version, length, size, kind = struct.unpack("<4sIII4s", data[:20])
    assert (magic, version, length, kind) == (b"glTF", 2, len(data), b"JSON")
    tree = json.loads(data[20 : 20 + size])
    binary = data[28 + size :]

    def accessor(number: int) -> np.ndarray:
        entry = tree["accessors"][number]
        view = tree["bufferViews"][entry["bufferView"]]
        numbers, wide = {5125: "<u4", 5126: "<f4"}[entry["componentType"]], {"SCALAR": 1, "VEC3": 3}[entry["type"]]
        start = view.get("byteOffset", 0) + entry.get("byteOffset", 0)
        return np.frombuffer(binary, numbers, entry["count"] * wide, start).reshape(-1, wide)

    found = {}
    for node in tree["nodes"]:
        assert not {"matrix", "translation", "rotation", "scale"} & set(node)
        if "mesh" in node:
            (drawn,) = tree["meshes"][node["mesh"]]["primitives"]
            port, up, forward = accessor(drawn["attributes"]["POSITION"]).astype(float).T * 1000
            points = np.column_stack([forward, port, up])
            node["colour"] = tree["materials"][drawn["material"]]["pbrMetallicRoughness"]["baseColorFactor"]
            found[node["name"]] = node, points, accessor(drawn["indices"]).reshape(-1, 3)
    return tree, found


def read_3mf(data: bytes) -> dict[str, tuple[dict, np.ndarray, np.ndarray]]:
    """By name each object that is built: what is known of it, points, triangles."""
    core = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
    model = ElementTree.fromstring(zipfile.ZipFile(io.BytesIO(data)).read("3D/3dmodel.model"))
    assert model.get("unit") == "millimeter"
    colours = [base.get("displaycolor") for base in model.iter(f"{core}base")]
    built = {item.get("objectid") for item in model.iter(f"{core}item")}
    found = {}
    for each in model.iter(f"{core}object"):
        assert each.get("id") in built
        facts = {fact.get("name"): fact.text for fact in each.iter(f"{core}metadata")}
        facts["colour"] = colours[int(each.get("pindex"))]
        points = np.array([[float(v.get(axis)) for axis in "xyz"] for v in each.iter(f"{core}vertex")])
        triangles = np.array([[int(t.get(v)) for v in ("v1", "v2", "v3")] for t in each.iter(f"{core}triangle")])
        found[each.get("name")] = facts, points, triangles
    return found


@pytest.fixture(scope="module")
def pram() -> SimpleNamespace:
    boat = assemble(read_plan(Path(PRAM)))
    solids = tuple(solids_of(boat))
    return SimpleNamespace(boat=boat, solids=solids, glb=glb(boat.name, solids), mf=print_package(boat.name, solids))


def true_volumes(boat) -> dict[str, float]:
    """By name, mm3: area times thickness, cones and cylinders of 24 sides, boxes."""
    flat = 12 * np.sin(2 * np.pi / 24)
    out = {each.name: each.volume for each in boat.parts()}
    for each in boat.frames:
        for screw in each.screws:
            depths, radii = np.array(screw.profile).T
            squares = radii[:-1] ** 2 + radii[:-1] * radii[1:] + radii[1:] ** 2
            out[screw.name] = flat / 3 * float(np.diff(depths) @ squares)
        for dowel in each.dowels:
            out[dowel.name] = flat * (dowel.diameter / 2) ** 2 * (each.core_high - each.core_low)
    rails = boat.strongback
    for side in ("port", "starboard"):
        out[f"{side} rail"] = rails.width * rails.depth * (rails.end - rails.start)
    return out


def test_glb_and_3mf_hold_every_solid_at_its_volume_and_place(pram):
    _, nodes = read_glb(pram.glb)
    objects = read_3mf(pram.mf)
    true = true_volumes(pram.boat)
    battens = {batten.name: batten for batten in pram.boat.battens}
    assert set(nodes) == set(objects) == {*true, *battens}
    for solid in pram.solids:
        assert solid.name in battens or volume(solid.points, solid.triangles) == pytest.approx(
            true[solid.name], rel=1e-9
        )
    for name, (_, points, triangles) in objects.items():
        got = volume(points, triangles)
        if name in battens:
            rough = battens[name].long * battens[name].short * np.ptp(battens[name].centres[:, 0])
            assert 0.95 * rough < got < 1.15 * rough  # the arrises are eased, the way is bent
        else:
            assert got == pytest.approx(true[name], rel=1e-4)  # the file has four decimals of a mm
        assert volume(*nodes[name][1:]) == pytest.approx(got, rel=1e-3)
        assert np.allclose(nodes[name][1].min(axis=0), points.min(axis=0), atol=1e-3)
        assert np.allclose(nodes[name][1].max(axis=0), points.max(axis=0), atol=1e-3)
    for each in pram.boat.frames:
        for made in each.parts:
            left, low, right, high = made.shape.bounds
            corners = each.placement.to_hull([(y, v, w) for y in (left, right) for v in (low, high)
                                              for w in (made.low, made.high)])  # fmt: skip
            assert np.allclose(objects[made.name][1].min(axis=0), corners.min(axis=0), atol=1e-3)


def test_what_is_known_of_a_part_goes_along(pram):
    tree, nodes = read_glb(pram.glb)
    objects = read_3mf(pram.mf)
    names = {number: node["name"] for number, node in enumerate(tree["nodes"])}
    (root,) = (tree["nodes"][number] for number in tree["scenes"][0]["nodes"])
    assert root["name"] == pram.boat.name
    parents = {names[child]: node["name"] for node in tree["nodes"] for child in node.get("children", ())}
    for each in pram.boat.parts():
        node, facts = nodes[each.name][0], objects[each.name][0]
        assert parents[each.name] == f"F{each.frame}"
        wanted = {"label": each.label, "stock": each.stock, "frame": each.frame, "kind": each.role}
        assert node["extras"].items() >= wanted.items()
        assert {key.removeprefix("scrieve:"): value for key, value in facts.items()}.items() >= wanted.items()
        assert facts["colour"] == COLOURS[each.role].upper()
        # back from linear light, as good as eight bits of that are
        red, green, blue = (int(COLOURS[each.role][n : n + 2], 16) / 255 for n in (1, 3, 5))
        assert np.allclose(
            np.array(node["colour"][:3]), ((np.array([red, green, blue]) + 0.055) / 1.055) ** 2.4, atol=0.003
        )
    assert {parents[batten.name] for batten in pram.boat.battens} == {pram.boat.name}


def test_the_same_boat_gives_the_same_bytes_and_stl_holds_it_whole(pram):
    again = tuple(solids_of(pram.boat))
    assert glb(pram.boat.name, again) == pram.glb
    assert print_package(pram.boat.name, again) == pram.mf
    data = stl(again)
    (count,) = struct.unpack("<I", data[80:84])
    facets = np.frombuffer(
        data, np.dtype([("normal", "<f4", 3), ("points", "<f4", (3, 3)), ("rest", "<u2")]), count, 84
    )
    corners = facets["points"].astype(float).reshape(-1, 3)
    whole = sum(volume(solid.points, solid.triangles) for solid in again)
    assert volume(corners, np.arange(len(corners)).reshape(-1, 3)) == pytest.approx(whole, rel=1e-4)


def test_pockets_are_cut_out(tmp_path):
    cut = [
        ("CORE", "shelf", pocketed.box(0, 0, 200, 100)),
        ("POCKETS FWD", "", pocketed.box(150, -5, 205, 50)),
        ("POCKETS AFT", "", pocketed.box(20, 20, 60, 60)),
    ]
    boat = pocketed.boat(tmp_path, cut)
    (solid,) = (solid for solid in solids_of(boat) if solid.kind == "core")
    (made,) = boat.parts()
    assert len(made.pockets) == 2
    assert volume(solid.points, solid.triangles) == pytest.approx(made.volume, rel=1e-9)


def test_names_from_a_plan_obey_nothing_and_take_each_others_places_nowhere():
    boat = assembly([frame([part(EVIL, rectangle(0, 0, 10, 10))])])
    solids = tuple(solids_of(boat))
    (name,) = (solid.name for solid in solids)
    assert EVIL in name
    assert set(read_glb(glb(name, solids))[1]) == {name} == set(read_3mf(print_package(EVIL, solids)))


def test_the_standards_own_validator_has_nothing_against_it(pram, tmp_path):
    if not VALIDATOR.is_dir() and not os.environ.get("CI"):
        pytest.skip("no gltf-validator: .ci/run fetches it")
    (tmp_path / "pram.glb").write_bytes(pram.glb)
    done = subprocess.run(
        ["node", "-e", VALIDATE, str(VALIDATOR), str(tmp_path / "pram.glb")],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    issues = json.loads(done.stdout)
    assert (issues["numErrors"], issues["numWarnings"], issues["numInfos"]) == (0, 0, 0), issues["messages"]


def test_the_verb_writes_each_kind_and_says_its_axes(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for ending, words in (("glb", "in metres, y up"), ("stl", "without dowels"), ("3mf", "in millimetres")):
        assert run(["export", PRAM, f"pram.{ending}"]) == 0
        said = capsys.readouterr().out
        assert said.startswith(f"wrote pram.{ending}: 40 parts, 64 screws") and words in said
    before = Path("pram.glb").read_bytes()
    assert run(["export", PRAM, "pram.glb"]) == 2 and Path("pram.glb").read_bytes() == before
    assert "--replace" in capsys.readouterr().err
    assert run(["export", PRAM, "pram.obj"]) == 2
    assert 'a name ending in .glb, .stl or .3mf is wanted (got ".obj")' in capsys.readouterr().err


def test_without_the_extra_there_is_one_line_and_3mf_goes_on(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(extra, "find_spec", lambda name: None if name == "trimesh" else find_spec(name))
    for ending in ("glb", "stl"):
        assert run(["export", PRAM, f"pram.{ending}"]) == 2
        (line,) = capsys.readouterr().err.splitlines()
        assert 'pip install "scrieve[export]"' in line and ".3mf" in line
    assert os.listdir() == []
    assert run(["export", PRAM, "pram.3mf"]) == 0


def test_the_plan_itself_is_never_written_over(tmp_path, capsys):
    plan = tmp_path / "pram"
    shutil.copytree(PRAM, plan)
    drawing = plan / "frames" / "1.dxf"
    (tmp_path / "boat.3mf").symlink_to(drawing)
    before = drawing.read_bytes()
    assert run(["export", str(plan), str(tmp_path / "boat.3mf"), "--replace"]) == 2
    assert drawing.read_bytes() == before
