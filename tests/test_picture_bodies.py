"""Bodies: each is closed and has the volume of the model's solid; what is drawn of it are its real edges."""

from __future__ import annotations

from itertools import pairwise

import manifold3d
import numpy as np
import pytest
import shapely
from making import assembly, batten, dowel, frame, part, rails, rectangle, screw, section
from picture_making import boat

from scrieve.model.boat.solid import batten_solid
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.placement import Placement
from scrieve.viewer.scene.bodies import bodies_of
from scrieve.viewer.scene.body import Body, box_mesh, prism_mesh, round_mesh


def solid(body: Body) -> manifold3d.Manifold:
    """The body as the kernel has it: sound, or it says why not."""
    mesh = manifold3d.Mesh64(np.ascontiguousarray(body.points), np.ascontiguousarray(body.triangles, dtype=np.uint64))
    made = manifold3d.Manifold(mesh)
    assert made.status() == manifold3d.Error.NoError, body.name
    return made


def edges_shared_by_two(triangles: np.ndarray) -> bool:
    """Whether every edge belongs to two triangles that run it opposite ways: the surface is closed."""
    runs = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    there, times = np.unique(runs, axis=0, return_counts=True)
    return bool((times == 1).all()) and {tuple(run) for run in there} == {tuple(run[::-1]) for run in there}


def round_share(sides: int) -> float:
    """How much of a circle a regular figure in it fills."""
    return sides / (2 * np.pi) * np.sin(2 * np.pi / sides)


def turned(profile: tuple[tuple[float, float], ...]) -> float:
    """The volume of what a screw's profile encloses when it is turned about its axis: truncated cones."""
    blunted = [(depth, max(radius, 0.05)) for depth, radius in profile]  # a point has no triangles
    blunted[0] = blunted[0][0] - 0.05, blunted[0][1]  # the head is drawn a little above the face it is flush with
    return sum(
        np.pi / 3 * (end[0] - start[0]) * (start[1] ** 2 + start[1] * end[1] + end[1] ** 2)
        for start, end in pairwise(blunted)
    )


@pytest.mark.parametrize("name", ["skiff", "pram", "skiff-with-faults"])
def test_every_body_of_the_demonstration_boats_is_closed_and_as_large_as_its_solid(name):
    built = boat(name).assembly
    bodies = {body.name: body for body in bodies_of(built)}
    assert all(edges_shared_by_two(body.triangles) for body in bodies.values())
    for piece in built.parts():
        assert solid(bodies[piece.name]).volume() == pytest.approx(piece.volume, rel=1e-9)
    for each in built.frames:
        for one in each.screws:
            assert solid(bodies[one.name]).volume() == pytest.approx(turned(one.profile) * round_share(16), rel=1e-9)
        for peg in each.dowels:
            wanted = np.pi / 4 * peg.diameter**2 * each.core_thickness * round_share(24)
            assert solid(bodies[peg.name]).volume() == pytest.approx(wanted, rel=1e-9)
    for strip in built.battens:
        first, last = strip.centres[0, 0], strip.centres[-1, 0]
        wanted = batten_solid(strip, first, last).volume()
        assert 0.995 * wanted < solid(bodies[strip.name]).volume() < wanted + 1.0
    strongback = built.strongback
    length = strongback.end - strongback.start
    for side in ("port", "starboard"):
        got = solid(bodies[f"{side} rail"]).volume()
        assert got == pytest.approx(length * strongback.width * strongback.depth, rel=1e-12)


def test_the_names_are_those_of_the_model_each_once():
    built = boat("skiff").assembly
    names = [body.name for body in bodies_of(built)]
    model = [piece.name for piece in built.parts()]
    model += [one.name for each in built.frames for one in (*each.screws, *each.dowels)]
    model += [strip.name for strip in built.battens] + ["port rail", "starboard rail"]
    assert sorted(names) == sorted(model)
    assert len(set(names)) == len(names)


def test_bodies_stand_where_the_frame_stands_rake_and_all():
    side = part("side", rectangle(100, 0, 160, 300))
    raked = frame(
        [side], station=500.0, rake=np.radians(12), screws=[screw([side], (130, 150))], dowels=[dowel((95, 20))]
    )
    bodies = {body.kind: body for body in bodies_of(assembly([raked]))}
    own = raked.placement.to_frame(bodies["core"].points)
    assert own.min(axis=0) == pytest.approx([100, 0, 0]) and own.max(axis=0) == pytest.approx([160, 300, 18])
    axis = raked.placement.to_frame(bodies["screw"].points)[:, :2]
    assert axis.mean(axis=0) == pytest.approx([130, 150])
    peg = raked.placement.to_frame(bodies["dowel"].points)
    assert peg[:, 2].min() == pytest.approx(0) and peg[:, 2].max() == pytest.approx(18)
    assert np.hypot(*(peg[:, :2] - (95, 20)).T) == pytest.approx(np.full(len(peg), 5.0))


def test_plates_and_screws_leave_the_frame_on_their_own_face_and_the_core_and_dowels_do_not():
    core = part("side", rectangle(100, 0, 160, 300))
    plates = [part("gusset", rectangle(100, 0, 160, 90), face=face) for face in ("forward", "aft")]
    plates = [plates[0], part("other gusset", rectangle(100, 0, 160, 90), face="aft")]
    made = frame([core, *plates], screws=[screw([core, *plates], (130, 50))], dowels=[dowel((95, 20))])
    out = {body.name: np.array(body.outward) for body in bodies_of(assembly([made]))}
    normal = made.placement.vector_to_hull([(0.0, 0.0, 1.0)])[0]
    assert out["F5 side"] @ normal == 0.0 and not out["F5 dowel 1"].any()
    assert out["F5 gusset"] @ normal == pytest.approx(1.0)
    assert out["F5 other gusset"] @ normal == pytest.approx(-1.0)
    assert out["F5 forward screw 1"] @ normal == pytest.approx(2.0)


def test_a_prism_with_a_hole_is_closed_and_every_edge_that_is_drawn_is_one_of_it():
    shape = shapely.Polygon([(0, 0), (80, 0), (80, 50), (0, 50)], [[(20, 10), (20, 30), (60, 30), (60, 10)]])
    points, triangles, edges = prism_mesh(shape, -4.0, 5.0)
    assert edges_shared_by_two(triangles)
    body = Body(name="", kind="core", frame="", points=points, triangles=triangles, edges=edges)
    assert solid(body).volume() == pytest.approx(shape.area * 9.0, rel=1e-12)
    # two rims of 8 corners and an upright edge at each of them
    assert len(edges) == 8 * 3
    lengths = np.linalg.norm(points[edges[:, 0]] - points[edges[:, 1]], axis=1)
    assert np.sum(lengths) == pytest.approx(2 * shape.length + 8 * 9.0)


def test_an_arc_has_no_upright_edges_along_it():
    round_side = Outline.of([(0, 0), (100, 0), (100, 60), (0, 60)], bulges=[0.0, 0.4, 0.0, 0.0])
    shape = round_side.polygon()
    points, _, edges = prism_mesh(shape, 0.0, 10.0)
    upright = [edge for edge in edges if points[edge[0], 2] != points[edge[1], 2]]
    assert len(shape.exterior.coords) > 12
    assert len(upright) == 4


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_round_solid_is_closed_whichever_way_its_depths_run(way):
    depths, radii = way * np.array([0.0, 3.0, 20.0]), np.array([4.0, 2.0, 2.0])
    points, triangles, _ = round_mesh(depths, radii, 60)
    assert edges_shared_by_two(triangles)
    body = Body(name="", kind="screw", frame="", points=points, triangles=triangles, edges=triangles[:, :2])
    cone = np.pi * 3.0 / 3 * (16 + 8 + 4)
    assert solid(body).volume() == pytest.approx((cone + np.pi * 4 * 17) * round_share(60), rel=1e-9)


def test_a_box_is_twelve_triangles_and_twelve_edges():
    points, triangles, edges = box_mesh((0.0, 1.0, 2.0), (10.0, 21.0, 32.0))
    assert len(triangles) == 12 and len(edges) == 12
    assert edges_shared_by_two(triangles)
    body = Body(name="", kind="rail", frame="", points=points, triangles=triangles, edges=edges)
    assert solid(body).volume() == pytest.approx(10 * 20 * 30)


def test_a_batten_keeps_its_volume_with_fewer_points_on_its_eased_edges_and_whichever_way_it_is_drawn():
    for angle in (0.0, np.pi / 2, np.pi):
        sections = [section("keel", (0.0, 300.0 + 10 * n), angle=angle, frame=str(n)) for n in range(3)]
        strip = batten("keel", sections, [Placement(station=1000.0 * n) for n in range(3)])
        (body, *_) = [body for body in bodies_of(assembly([], battens=[strip])) if body.kind == "batten"]
        assert edges_shared_by_two(body.triangles)
        # five points on each quarter turn leave out what lies between them and the arc
        left_out = np.pi * 5.0**2 * (1 - round_share(16)) * np.hypot(2000.0, 20.0)
        wanted = batten_solid(strip, 0.0, 2000.0).volume() - left_out
        assert solid(body).volume() == pytest.approx(wanted, rel=2e-4)


def test_rails_are_there_if_there_is_a_strongback():
    side = frame([part("side", rectangle(100, 0, 160, 300))])
    assert not [body for body in bodies_of(assembly([side])) if body.kind == "rail"]
    assert len([body for body in bodies_of(assembly([side], strongback=rails())) if body.kind == "rail"]) == 2
