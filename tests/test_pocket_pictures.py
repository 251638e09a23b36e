"""Parts with pockets as solids of the scene, and in flat drawings of their frame."""

import numpy as np
import pytest
import shapely
from pocketed import boat, box

from scrieve.viewer.paper.layers import layers_of
from scrieve.viewer.scene.body import part_mesh
from scrieve.viewer.window.boat import LoadedBoat
from scrieve.viewer.window.card import card_words

FLOOR = ("CORE", "floor", box(-400, 0, 400, 100))
SEAT, REBATE = ("SEATS", "", box(-300, 10, -200, 90)), ("POCKETS AFT", "", box(250, 40, 420, 120))
GUSSET = ("GUSSETS", "gusset", box(-300, 10, -200, 90))


@pytest.mark.parametrize("pockets", [(), (SEAT,), (REBATE,), (SEAT, REBATE), (SEAT, ("POCKETS FWD", "", SEAT[2]))])
def test_its_mesh_is_closed_and_holds_its_volume(tmp_path, pockets):
    (floor,) = boat(tmp_path, [FLOOR, *pockets]).parts()
    points, triangles, edges = part_mesh(floor)
    a, b, c = points[triangles].transpose(1, 0, 2)
    assert np.einsum("ij,ij->", a, np.cross(b, c)) / 6 == pytest.approx(floor.volume)
    # of a closed surface the areas that face each way are alike
    assert np.cross(b - a, c - a).sum(axis=0) == pytest.approx(np.zeros(3), abs=1e-6)
    assert edges.max() < len(points)


def test_a_wall_that_goes_on_past_the_floor_of_a_pocket_has_no_edge_there(tmp_path):
    (floor,) = boat(tmp_path, [FLOOR, SEAT]).parts()
    points, _, edges = part_mesh(floor)
    at_floor = [pair for pair in points[edges] if (pair[:, 2] == 3).all()]
    assert sum(np.ptp(pair[:, :2], axis=0).sum() for pair in at_floor) == pytest.approx(2 * (100 + 80))


def test_the_card_of_a_part_says_what_pockets_it_has(tmp_path):
    assembly = boat(tmp_path, [FLOOR, SEAT, REBATE])
    _, said = card_words(LoadedBoat(assembly=assembly, findings=(), steps=(), bodies=(), coarse=()), "F5 floor")
    assert "6 mm deep in its aft face, 9 mm deep in its forward face" in said


@pytest.mark.parametrize("seen", ["from forward", "from aft"])
def test_what_lies_in_a_pocket_is_seen_from_its_face_alone(tmp_path, seen):
    layers = {each.part.label: each for each in layers_of(boat(tmp_path, [FLOOR, SEAT, GUSSET]).frames[0], seen)}
    assert layers["gusset"].visible.area == pytest.approx(8000 if seen == "from forward" else 0)
    assert layers["floor"].visible.area == pytest.approx(72000 if seen == "from forward" else 80000)


@pytest.mark.parametrize("seen, drawn", [("from forward", "hidden"), ("from aft", "outline")])
def test_a_pocket_in_the_far_face_is_drawn_in_dashes(tmp_path, seen, drawn):
    (floor,) = layers_of(boat(tmp_path, [FLOOR, REBATE]).frames[0], seen)
    wall = shapely.LineString([(250, 45), (250, 95)])
    assert {n for n in ("hidden", "outline") if shapely.buffer(getattr(floor, n), 0.01).contains(wall)} == {drawn}
