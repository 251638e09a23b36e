"""A batten's passage through a ply against closed forms and against manifold3d."""

import itertools

import making
import manifold3d
import numpy as np
import pytest
import shapely

from scrieve.model.boat.batten import eased_rectangle
from scrieve.model.boat.solid import batten_solid, prism
from scrieve.model.geometry.placement import Placement

HERE = Placement(station=1000.0)


def extents(points):
    return np.ptp(np.asarray(points), axis=0)


@pytest.mark.parametrize("degrees", [0.0, 5.0, 20.0, 45.0])
def test_a_plane_cuts_a_slanting_batten_in_its_width_over_the_cosine(degrees):
    # closed form: a strip b wide, at angle a to the normal of a plane, is cut b / cos a wide
    slope = np.tan(np.radians(degrees))
    batten = making.straight_batten("port chine", (400, 200), slope=(slope, 0), arris=0)
    cut = batten.cut(HERE, 0.0)
    np.testing.assert_allclose(extents(cut), (32 / np.cos(np.radians(degrees)), 20), atol=1e-9)
    np.testing.assert_allclose(cut.mean(axis=0), (400, 200), atol=1e-9)


@pytest.mark.parametrize(("degrees", "thickness"), [(0.0, 18.0), (10.0, 18.0), (25.0, 12.0)])
def test_the_passage_through_a_ply_is_wider_by_its_thickness_times_the_tangent(degrees, thickness):
    # closed form: over thickness t the outline shifts by t tan a; the union is a hexagon or rectangle
    slope = np.tan(np.radians(degrees))
    batten = making.straight_batten("port chine", (400, 200), slope=(0, slope), arris=0)
    passage = batten.passage(HERE, 0.0, thickness)
    left, bottom, right, top = passage.bounds
    assert right - left == pytest.approx(32, abs=1e-9)
    assert top - bottom == pytest.approx(20 / np.cos(np.radians(degrees)) + thickness * slope, abs=1e-9)
    assert bottom == pytest.approx(200 - 10 / np.cos(np.radians(degrees)), abs=1e-9)


def test_the_passage_of_a_batten_square_to_the_frame_is_its_eased_rectangle():
    batten = making.straight_batten("port chine", (400, 200), arris=5)
    passage = batten.passage(HERE, 0.0, 18.0)
    # closed form: a rectangle less four corners of r^2 (1 - pi/4) each
    assert passage.area == pytest.approx(32 * 20 - 4 * 25 * (1 - np.pi / 4), abs=0.2)
    assert passage.bounds == pytest.approx((384, 190, 416, 210), abs=1e-9)


@pytest.mark.parametrize("rake", [-0.3, 0.0, 0.2])
@pytest.mark.parametrize("slope", [(0.0, 0.0), (0.3, 0.0), (0.1, -0.25)])
@pytest.mark.parametrize("angle", [0.0, 0.6])
def test_the_cut_is_what_manifold3d_slices(rake, slope, angle):
    batten = making.straight_batten("port chine", (400, 200), slope=slope, angle=angle)
    placement = Placement(station=1000.0, rake=rake)
    solid = batten_solid(batten, 700, 1300).transform(np.linalg.inv(placement.matrix)[:3])
    for w in (-9.0, 0.0, 27.0):
        section = solid.slice(w)
        theirs = shapely.union_all([shapely.Polygon(ring) for ring in section.to_polygons()])
        ours = shapely.Polygon(batten.cut(placement, w))
        assert shapely.symmetric_difference(ours, theirs).area < 1e-3
        assert section.area() == pytest.approx(ours.area, abs=1e-3)


def bent_batten():
    stations = (0.0, 700.0, 1400.0, 2100.0, 2800.0)
    sections = [
        making.section("port chine", (y, z), angle=angle, frame=str(x))
        for x, y, z, angle in zip(
            stations, (620, 600, 520, 360, 120), (90, 95, 120, 190, 330), (0.3, 0.32, 0.4, 0.6, 0.8), strict=True
        )
    ]
    return making.batten("port chine", sections, [Placement(station=x) for x in stations])


@pytest.mark.parametrize(("station", "rake"), [(700.0, 0.0), (1400.0, 0.1), (2100.0, 0.0), (2800.0, -0.2)])
def test_the_passage_of_a_bent_and_twisted_batten_holds_its_solid_and_little_more(station, rake):
    batten = bent_batten()
    placement = Placement(station=station, rake=rake)
    ply = prism(shapely.box(-2000, -2000, 2000, 2000), 0.0, 18.0, placement)
    inside = (batten_solid(batten, station - 250, station + 250, step=2.0) ^ ply).transform(
        np.linalg.inv(placement.matrix)[:3]
    )
    shadow = manifold3d.CrossSection.simplify(inside.project(), 1e-6)
    theirs = shapely.union_all([shapely.Polygon(ring) for ring in shadow.to_polygons()])
    ours = batten.passage(placement, 0.0, 18.0)
    # the batten is taken as straight about each face: good to a hundredth at radii of some metres
    assert shapely.hausdorff_distance(ours.exterior, theirs.exterior) < 0.05
    assert shapely.difference(theirs, ours.buffer(0.02)).area < 1e-6


def test_many_planes_at_once_are_the_same_as_one_by_one():
    batten = bent_batten()
    placements = [Placement(station=x, rake=rake) for x, rake in ((100.0, 0.0), (1400.0, 0.2), (2700.0, -0.1))]
    planes = [0.0, 18.0, -9.0]
    together = batten.cuts(placements, planes).rings(batten.profile)
    for ring, placement, w in zip(together, placements, planes, strict=True):
        np.testing.assert_allclose(ring, batten.cut(placement, w), atol=1e-9)


@pytest.mark.parametrize("rake", [0.0, 0.25])
def test_the_section_is_cut_where_it_was_drawn(rake):
    placements = [Placement(station=x, rake=rake) for x in (0.0, 900.0, 1800.0)]
    sections = [
        making.section("port chine", (y, v), angle=a, frame=str(i))
        for i, (y, v, a) in enumerate([(500, 100, 0.2), (480, 130, 0.3), (400, 220, 0.7)])
    ]
    batten = making.batten("port chine", sections, placements, arris=0)
    for section, placement in zip(sections, placements, strict=True):
        ring = batten.cut(placement, 0.0)
        np.testing.assert_allclose(ring.mean(axis=0), section.centre, atol=1e-8)
        long = ring[0] - ring[1]
        turn = np.arctan2(long[1], long[0]) - section.angle
        assert np.sin(turn) == pytest.approx(0.0, abs=1e-9)


def test_mirrored_sections_give_the_mirrored_passage():
    batten = bent_batten()
    mirrored = making.batten(
        "starboard chine",
        [
            making.section("starboard chine", (-s.centre[0], s.centre[1]), angle=np.pi - s.angle, frame=s.frame)
            for s in batten.sections
        ],
        batten.placements,
    )
    here = Placement(station=1400.0)
    port, starboard = batten.passage(here, 0, 18), mirrored.passage(here, 0, 18)
    flipped = shapely.transform(starboard, lambda p: p * (-1, 1))
    assert shapely.symmetric_difference(port, flipped).area < 1e-6


def test_moving_a_boat_along_x_leaves_the_passage_alone():
    batten = bent_batten()
    moved = making.batten(
        batten.name, batten.sections, [Placement(station=p.station + 12345.0) for p in batten.placements]
    )
    first, second = batten.passage(Placement(station=1400.0), 0, 18), moved.passage(Placement(station=13745.0), 0, 18)
    assert shapely.symmetric_difference(first, second).area < 1e-6


@pytest.mark.parametrize("arris", [1.0, 6.0, 12.0, 16.0])
def test_an_eased_edge_keeps_to_its_round_to_a_two_hundredth_of_a_millimetre(arris):
    ring = eased_rectangle(100.0, 80.0, arris)
    corner = ring[: len(ring) // 4] - (50.0 - arris, 40.0 - arris)
    middles = (corner[1:] + corner[:-1]) / 2
    assert np.hypot(*middles.T).min() >= arris - 0.005 - 1e-9


def test_an_eased_edge_of_any_radius_has_few_chords():
    assert len(eased_rectangle(2000.0, 1000.0, 400.0)) <= 4 * 33


@pytest.mark.parametrize("arris", [0.0, 2.0, 5.0, 10.0, 30.0])
def test_an_eased_rectangle_has_its_sides_and_rounded_corners(arris):
    r = min(arris, 10.0)
    ring = shapely.Polygon(eased_rectangle(32, 20, arris))
    assert ring.bounds == pytest.approx((-16, -10, 16, 10))
    assert ring.area == pytest.approx(640 - r * r * (4 - np.pi), abs=0.4)
    assert shapely.is_ccw(ring.exterior)


@pytest.mark.parametrize(("long", "arris"), list(itertools.product((20.0, 32.0), (0.0, 5.0, 10.0))))
def test_its_solid_has_the_volume_of_section_times_length(long, arris):
    # Pappus for a straight sweep: volume = area of the section x length along the batten
    batten = making.straight_batten("port chine", (400, 200), slope=(0.2, 0.1), long=long, arris=arris)
    solid = batten_solid(batten, 200, 1200)
    area = shapely.Polygon(batten.profile).area
    assert solid.volume() == pytest.approx(area * 1000 * np.sqrt(1 + 0.05), rel=1e-9)
