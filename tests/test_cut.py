"""What a round cutter leaves of an outline."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.geometry import cut
from scrieve.model.geometry.cut import as_cut, left_standing
from scrieve.model.geometry.outline import Outline

L_SHAPE = shapely.Polygon([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])
ROOT_2 = np.sqrt(2)


def fillet(radius):
    """The L with its inside corner drawn to `radius`."""
    turn = -np.tan(np.pi / 8)  # a quarter turn, clockwise in a counter-clockwise outline
    points = [(0, 0), (100, 0), (100, 40), (40 + radius, 40), (40, 40 + radius), (40, 100), (0, 100)]
    return Outline.of(points, [0, 0, 0, turn, 0, 0, 0]).polygon()


@pytest.mark.parametrize("diameter", [4.0, 6.35, 10.0, 20.0])
def test_wood_left_in_a_square_corner(diameter):
    """Arithmetic: r^2 (1 - pi/4) of wood, r (sqrt 2 - 1) along the diagonal."""
    r = diameter / 2
    (piece,) = left_standing(L_SHAPE, diameter)
    assert piece.area == pytest.approx(r * r * (1 - np.pi / 4), rel=2e-3)
    diagonal = shapely.LineString([(40, 40), (40 + r, 40 + r)])
    assert diagonal.intersection(piece).length == pytest.approx(r * (ROOT_2 - 1), abs=1e-3)


def test_the_published_figures_for_ten_millimetres():
    """r 5: 2.071 mm along the diagonal and 5.365 mm2."""
    (piece,) = left_standing(L_SHAPE, 10.0)
    assert piece.area == pytest.approx(5.365, abs=1e-2)
    assert shapely.distance(shapely.Point(40, 40), shapely.Point(45, 45)) - 5 == pytest.approx(2.071, abs=1e-3)
    far = shapely.LineString([(40, 40), (45, 45)]).difference(piece)
    assert far.distance(shapely.Point(40, 40)) == pytest.approx(2.071, abs=1e-3)


@pytest.mark.parametrize("radius", [5.0, 5.01, 4.96, 8.0])
def test_a_corner_drawn_to_the_cutters_radius_is_cut_as_drawn(radius):
    drawn = fillet(radius)
    assert left_standing(drawn, 10.0) == ()
    assert as_cut(drawn, 10.0) is drawn


@pytest.mark.parametrize("radius", [1.0, 3.0, 4.8])
def test_a_tighter_corner_is_not(radius):
    """The two arcs are tangent to both walls: (r^2 - a^2)(1 - pi/4) between them.

    Chords no more than 0.005 mm off a drawn arc of 7.5 mm take 0.025 mm2 off that.
    """
    (piece,) = left_standing(fillet(radius), 10.0)
    assert piece.area == pytest.approx((25 - radius**2) * (1 - np.pi / 4), abs=0.03)


def test_no_cutter_and_no_inside_corner_leave_nothing():
    assert left_standing(L_SHAPE, 0.0) == ()
    assert as_cut(L_SHAPE, 0.0) is L_SHAPE
    assert left_standing(shapely.box(0, 0, 50, 20), 10.0) == ()


def test_a_slot_narrower_than_the_cutter_stays_full():
    slotted = shapely.box(0, 0, 100, 50).difference(shapely.box(48, 20, 52, 50))
    left = shapely.union_all(left_standing(slotted, 10.0))
    # 30 mm of slot 4 mm wide, less the cap of the cutter's circle that dips into its mouth
    half = np.arcsin(2 / 5)
    cap = 25 * (half - np.sin(half) * np.cos(half))
    assert left.area == pytest.approx(30 * 4 - cap, rel=1e-3)


def test_the_corners_of_a_hole_too():
    holed = shapely.box(0, 0, 100, 100).difference(shapely.box(30, 30, 70, 70))
    pieces = left_standing(holed, 10.0)
    assert len(pieces) == 4
    assert sum(p.area for p in pieces) == pytest.approx(4 * 5.365, abs=0.04)


def test_as_cut_is_one_sound_outline_that_holds_the_drawn_one():
    cut = as_cut(L_SHAPE, 10.0)
    assert cut.is_valid
    assert cut.geom_type == "Polygon"
    assert cut.area == pytest.approx(L_SHAPE.area + 5.365, abs=1e-2)
    assert L_SHAPE.difference(cut).area == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=40)
@given(st.floats(0, 2 * np.pi), st.floats(-5000, 5000), st.floats(-5000, 5000), st.booleans())
def test_what_is_left_does_not_care_how_the_part_lies(angle, y, v, mirror):
    c, s = np.cos(angle), np.sin(angle)
    flip = np.diag([-1.0 if mirror else 1.0, 1.0])
    moved = shapely.transform(L_SHAPE, lambda xy: (xy @ flip) @ np.array([[c, s], [-s, c]]) + (y, v))
    (here,), (there,) = left_standing(L_SHAPE, 10.0), left_standing(moved, 10.0)
    assert there.area == pytest.approx(here.area, rel=1e-2)


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(-40, 40), st.integers(-40, 40)), min_size=3, max_size=9, unique=True))
def test_a_cutter_reaches_everything_that_is_not_left(points):
    """No wood is left where the cutter's disc fits, and what is left no disc can touch, but for flattening."""
    drawn = shapely.MultiPoint(points).convex_hull.difference(shapely.box(-8, -8, 8, 60))
    drawn = max(shapely.get_parts(drawn), key=lambda piece: piece.area)
    if drawn.geom_type != "Polygon" or drawn.area < 50:
        return
    left = shapely.union_all(left_standing(drawn, 8.0))
    free = drawn.buffer(4.0, quad_segs=96)  # where the middle of the cutter may not go
    places = np.random.default_rng(1).uniform(-60, 70, (300, 2))
    middles = [shapely.Point(p) for p in places if not free.contains(shapely.Point(p))]
    for middle in middles:
        assert middle.buffer(3.98, quad_segs=32).intersection(left).area < 0.05


def test_the_worst_comes_first():
    two = shapely.Polygon([(0, 0), (100, 0), (100, 40), (60, 40), (60, 60), (50, 40), (40, 40), (40, 100), (0, 100)])
    areas = [piece.area for piece in left_standing(two, 10.0)]
    assert areas == sorted(areas, reverse=True)
    assert len(areas) >= 2


@pytest.mark.parametrize("seed", range(60))
def test_growing_outside_corners_to_points_first_changes_nothing(seed, monkeypatch):
    """Gaps with pointed lips, slots and fillets at random: the quick look never hides wood that is left."""
    rng = np.random.default_rng(seed)
    drawn = shapely.box(0, 0, 300, 200)
    for _ in range(4):
        at, size, angle = rng.uniform(0, (300, 200)), rng.uniform(8, 80, 2), rng.uniform(0, 90)
        hole = shapely.affinity.rotate(shapely.box(*(at - size / 2), *(at + size / 2)), angle)
        drawn = drawn.difference(hole.buffer(rng.choice([0.0, 5.0, 6.0, 7.0]), quad_segs=32))
    drawn = max(shapely.get_parts(drawn), key=shapely.area)
    left_standing.cache_clear()
    quick = left_standing(drawn, 10.0)
    monkeypatch.setattr(cut, "_closed_at_most", cut._closed)
    left_standing.cache_clear()
    assert [piece.wkb for piece in quick] == [piece.wkb for piece in left_standing(drawn, 10.0)]


def test_a_part_a_kilometre_long_in_which_the_cutter_leaves_only_hairs_is_as_drawn():
    """As drawings come in that say metres over millimetres."""
    corners = [(0.3, 0.4), (-935.4, -353.6), (-758.6, -821.3), (-384.4, -679.9), (-472.8, -446.0), (-285.7, -375.3),
               (-197.3, -609.1), (176.8, -467.7)]  # fmt: skip
    drawn = shapely.Polygon(np.array(corners) * 1000.0)
    assert as_cut(drawn, 10.0).area == pytest.approx(drawn.area, rel=1e-9)
