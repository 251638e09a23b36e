"""Solids in hull axes, and how deep they overlap."""

import csv
import itertools
from pathlib import Path

import making
import manifold3d
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.boat.solid import FACETS, batten_solid, box, checked, prism, screw_solid
from scrieve.model.boat.solid_overlap import deepest_solid, solid_overlaps
from scrieve.model.geometry.placement import Placement
from scrieve.model.relations.fouls.foul import part_solid
from scrieve.shared.errors import GeometryError
from scrieve.shared.screw_table import screw_of_gauge

with (Path(__file__).parent / "reference" / "solid_closed_forms.csv").open(encoding="utf-8") as file:
    CLOSED = {row["case"]: row for row in csv.DictReader(line for line in file if not line.startswith("#"))}


def value(case):
    return float(CLOSED[case]["value"])


def rod(radius, length, axis, facets=2048):
    """A round bar centred on the origin along x, y or z; its true radius lies between flats and corners."""
    middle = radius / np.sqrt(np.cos(np.pi / facets) * np.sinc(1 / facets)) if facets else radius
    disc = shapely.Polygon(
        middle * np.column_stack([f(np.arange(facets) * 2 * np.pi / facets) for f in (np.cos, np.sin)])
    )
    upright = prism(disc, -length / 2, length / 2, Placement(station=0.0))  # along x
    return {"x": upright, "y": upright.rotate([0, 0, 90]), "z": upright.rotate([0, 90, 0])}[axis]


# ---- closed forms


def test_two_round_bars():
    """Steinmetz: 16 r^3 / 3 (Archimedes; Hogendijk, Historia Mathematica 29, 2002)."""
    common = rod(1, 4, "x") ^ rod(1, 4, "y")
    assert common.volume() == pytest.approx(value("bicylinder r=1 volume"), rel=2e-5)
    assert common.surface_area() == pytest.approx(value("bicylinder r=1 area"), rel=1e-3)


def test_three_round_bars():
    """(16 - 8 sqrt 2) r^3, same sources."""
    common = rod(1, 4, "x", 512) ^ rod(1, 4, "y", 512) ^ rod(1, 4, "z", 512)
    assert common.volume() == pytest.approx(value("tricylinder r=1 volume"), rel=2e-4)
    assert common.surface_area() == pytest.approx(value("tricylinder r=1 area"), rel=1e-3)


def test_boxes_that_share_half():
    """manifold's own boolean test, restated in the reference file: 0.5, 1.5, 0.5."""
    a, b = box((0, 0, 0), (1, 1, 1)), box((0.5, 0, 0), (1.5, 1, 1))
    got = [(a - b).volume(), (a + b).volume(), (a ^ b).volume()]
    expected = [float(x) for x in CLOSED["unit cubes offset 0.5: A-B, A+B, A^B"]["value"].split(";")]
    assert got == pytest.approx(expected)


def test_boxes_that_touch_share_nothing():
    """The bit boxes of manifold's BooleanVolumes test: face-touching, m1 ^ m2 = 0, m1 + m2 + m4 = 7."""
    m1, m2, m4 = box((0, 0, 0), (1, 1, 1)), box((1, 0, 0), (3, 1, 1)), box((3, 0, 0), (7, 1, 1))
    m7 = m1 + m2 + m4
    got = [(m1 ^ m2).volume(), m7.volume(), (m7 - m4 - m2).volume(), (m7 - (m7 - m1)).volume()]
    (row,) = (row for case, row in CLOSED.items() if case.startswith("bit boxes"))
    assert got == pytest.approx([float(x) for x in row["value"].split(";")], abs=1e-12)
    assert deepest_solid(m1, m2) is None


def test_a_cube_and_an_octahedron():
    """5/6: unit cube and |x| + |y| + |z| <= 1, both centred (manifold's boolean test)."""
    points = np.array([(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)], dtype=float)
    octahedron = manifold3d.Manifold.hull_points(points)
    cube = box((-0.5, -0.5, -0.5), (0.5, 0.5, 0.5))
    expected = value("unit cube ^ octahedron |x|+|y|+|z|<=1 centred, volume")
    assert (cube ^ octahedron).volume() == pytest.approx(expected)


# ---- screws


def frustums(screw):
    """Pi h / 3 (R^2 + R r + r^2) for each stretch of its profile, mm3."""
    ends = screw.profile
    return sum(np.pi * (b - a) / 3 * (r * r + r * s + s * s) for (a, r), (b, s) in itertools.pairwise(ends))


def screws(length):
    board = making.rectangle(0, 0, 100, 100)
    parts = [making.part("side", board), making.part("gusset", board, face="forward", thickness=9)]
    size = screw_of_gauge(8, length)
    return [making.screw(parts, (30, 40), driven_from=face, size=size) for face in ("forward", "aft")]


@pytest.mark.parametrize("length", [6.0, 9.0, 19.05, 31.75])
@pytest.mark.parametrize("rake", [0.0, 0.3])
def test_a_screw_has_the_volume_of_its_frustums(length, rake):
    """Of a circle a polygon of n corners on it has n/2 sin(2 pi/n) / pi of the area (arithmetic)."""
    flat = FACETS / (2 * np.pi) * np.sin(2 * np.pi / FACETS)
    for screw in screws(length):
        solid = screw_solid(screw, Placement(station=1000.0, rake=rake))
        assert solid.volume() == pytest.approx(flat * frustums(screw), rel=1e-6)
        assert solid.volume() == pytest.approx(frustums(screw), rel=2e-3)


def test_a_screw_has_a_head_a_shank_and_a_tip():
    """No. 8: head 0.332 in across and 0.100 in high (ASME B18.6.1, as restated), shank 0.164 in, tip 2 D."""
    screw, _ = screws(19.05)
    head, shank = 0.166 * 25.4, 0.082 * 25.4
    assert np.array(screw.profile) == pytest.approx(
        np.array([(0, head), (2.54, shank), (19.05 - 4 * shank, shank), (19.05, 0)]), abs=1e-9
    )
    assert [screw.radius(w) for w in (30, 27, 27 - 1.27, 20, 7.95 + 2 * shank, 7.95, 0)] == pytest.approx(
        [head, head, (head + shank) / 2, shank, shank / 2, 0, 0], abs=1e-9
    )


def test_a_short_screw_is_a_head_and_a_tip():
    """6 mm: 2.54 of head leave less than the 8.33 of a full tip."""
    screw, _ = screws(6.0)
    assert [depth for depth, _ in screw.profile] == pytest.approx([0, 2.54, 6.0])


def test_a_screw_stands_in_its_hole_from_its_face_inward():
    for screw, low, high in zip(screws(19.05), (7.95, 0.0), (27.0, 19.05), strict=True):
        solid = screw_solid(screw, Placement(station=1000.0))
        least, greatest = np.array(solid.bounding_box()).reshape(2, 3)
        assert (least[0], greatest[0]) == pytest.approx((1000 + low, 1000 + high), abs=1e-6)
        assert (least + greatest)[1:] / 2 == pytest.approx((30, 40), abs=1e-6)
        # the rim of the head is flush with the face
        rim = [p for p in solid.to_mesh64().vert_properties[:, :3] if np.hypot(*(p[1:] - (30, 40))) > 4.2]
        assert np.array(rim)[:, 0] == pytest.approx(1000 + screw.head, abs=1e-6)
        leaning = Placement(station=1000.0, rake=0.4)
        back = leaning.to_frame(screw_solid(screw, leaning).to_mesh64().vert_properties[:, :3])
        assert (back[:, 2].min(), back[:, 2].max()) == pytest.approx((low, high), abs=1e-6)


# ---- prisms


@settings(max_examples=50)
@given(
    st.floats(20, 500),  # the kernel keeps outlines to some 1e-9 mm, whatever their size
    st.floats(20, 500),
    st.floats(1, 40),
    st.floats(-0.6, 0.6),
    st.floats(-6000, 6000),
    st.booleans(),
)
def test_a_part_has_the_volume_of_its_area_times_its_thickness(width, height, thickness, rake, station, hole):
    """A h, elementary; the row "prism" of the reference file."""
    shape = shapely.box(0, 0, width, height)
    if hole:
        shape = shape.difference(shapely.box(width / 4, height / 4, width / 2, height / 2))
    solid = prism(shape, -thickness, 0.0, Placement(station=station, rake=rake))
    assert solid.volume() == pytest.approx(shape.area * thickness, rel=1e-9)


def test_which_way_round_an_outline_runs_makes_no_difference():
    ring = [(0, 0), (10, 0), (10, 5), (0, 5)]
    for points in (ring, ring[::-1]):
        assert prism(shapely.Polygon(points), 0, 2, Placement(station=0.0)).volume() == pytest.approx(100.0)


def test_a_part_stands_where_its_frame_stands():
    part = making.part("side", making.rectangle(300, 0, 700, 200))
    assert part_solid(part, Placement(station=1000.0)).bounding_box() == pytest.approx((1000, 300, 0, 1018, 700, 200))


def test_a_part_of_a_raked_frame_lies_in_its_plane():
    part = making.part("side", making.rectangle(300, 0, 700, 200))
    placement = Placement(station=1000.0, rake=0.3)
    corners = part_solid(part, placement).to_mesh64().vert_properties[:, :3]
    back = placement.to_frame(corners)
    assert np.all(np.isclose(back[:, 2], 0, atol=1e-9) | np.isclose(back[:, 2], 18, atol=1e-9))
    assert back[:, 0].min() == pytest.approx(300)
    assert back[:, 1].max() == pytest.approx(200)


def test_an_unsound_solid_is_refused():
    with pytest.raises(GeometryError, match="no sound solid"):
        checked(manifold3d.Manifold(), None)
    with pytest.raises(GeometryError, match="instead of 9 mm3"):
        checked(box((0, 0, 0), (2, 2, 2)), 9.0)


def test_a_straight_batten_has_the_volume_of_its_section_times_its_length():
    """Area of a rectangle with rounded corners: a b - (4 - pi) r^2, the arcs flattened to 0.005 mm."""
    batten = making.straight_batten("port chine", (500.0, 100.0), arris=5.0)
    solid = batten_solid(batten, 100.0, 1700.0)
    assert solid.volume() == pytest.approx(1600 * (32 * 20 - (4 - np.pi) * 25), rel=1e-3)
    leaning = making.straight_batten("port chine", (500.0, 100.0), arris=0.0, slope=(0.3, -0.1))
    length = 1000 * np.sqrt(1 + 0.3**2 + 0.1**2)
    assert batten_solid(leaning, 500.0, 1500.0).volume() == pytest.approx(length * 32 * 20, rel=1e-9)


# ---- depth


@settings(max_examples=60)
@given(
    st.tuples(st.floats(0.1, 50), st.floats(0.1, 50), st.floats(0.1, 50)),
    st.tuples(st.floats(-180, 180), st.floats(-180, 180), st.floats(-180, 180)),
    st.tuples(st.floats(-5000, 5000), st.floats(-5000, 5000), st.floats(-5000, 5000)),
)
def test_depth_of_overlapping_boxes_is_exact_however_they_lie(sides, turn, shift):
    a = box((-100, -100, -100), sides)
    b = box((0, 0, 0), (100, 100, 100))
    there = deepest_solid(a.rotate(turn).translate(shift), b.rotate(turn).translate(shift))
    back = deepest_solid(b.rotate(turn).translate(shift), a.rotate(turn).translate(shift))
    assert there.depth == pytest.approx(min(sides), abs=1e-8)
    assert back.depth == pytest.approx(there.depth, abs=1e-9)
    assert back.way == pytest.approx(there.way, abs=1e-7)
    middle = box((-0.01, -0.01, -0.01), (0.01, 0.01, 0.01)).translate(np.array(sides) / 2)
    least = np.array(middle.rotate(turn).translate(shift).bounding_box()).reshape(2, 3).mean(axis=0)
    assert there.at == pytest.approx(tuple(least), abs=1e-6)


@pytest.mark.parametrize("turn", [(0, 0, 0), (10, 20, 30), (-77, 5, 141)])
def test_touching_boxes_give_nothing_however_they_lie(turn):
    a, b = box((0, 0, 0), (100, 50, 18)), box((0, 0, 18), (100, 50, 27))
    shift = (5000.0, -700.0, 300.0)
    assert deepest_solid(a.rotate(turn).translate(shift), b.rotate(turn).translate(shift)) is None
    inside = box((0, 0, 17.95), (100, 50, 27)).rotate(turn).translate(shift)
    assert deepest_solid(a.rotate(turn).translate(shift), inside).depth == pytest.approx(0.05, abs=1e-8)


def test_separate_overlaps_are_measured_apart():
    """Two prongs of a fork, 1 and 3 mm into a board: one hull round both would be as wide as the fork."""
    board = box((0, 0, 0), (100, 20, 20))
    fork = box((10, 19, 0), (20, 60, 20)) + box((70, 17, 0), (80, 60, 20)) + box((0, 50, 0), (100, 60, 20))
    assert [found.depth for found in solid_overlaps(board, fork)] == pytest.approx([1.0, 3.0])
    assert deepest_solid(board, fork).at == pytest.approx((75, 18.5, 10))
    assert deepest_solid(board, fork).way == pytest.approx((0, 1, 0))
