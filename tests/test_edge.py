"""Straight edges and the way they face."""

import making
import numpy as np
import pytest
import shapely

from scrieve.model.geometry.edge import Edges


@pytest.mark.parametrize("ccw", [True, False])
def test_every_edge_faces_out_of_the_wood_holes_included(ccw):
    board = shapely.Polygon(shapely.box(0, 0, 100, 60).exterior, [shapely.box(20, 20, 40, 40).exterior])
    edges = Edges.around(shapely.orient_polygons(board, exterior_cw=not ccw))
    assert len(edges) == 8
    middles = (edges.starts + edges.ends) / 2
    outside, inside = middles + edges.facing * 1e-3, middles - edges.facing * 1e-3
    assert not shapely.intersects(board, shapely.points(outside)).any()
    assert shapely.intersects(board, shapely.points(inside)).all()
    # each pair of coordinates runs along its own ring, never from one ring to the next
    assert edges.lengths.sum() == pytest.approx(board.length)


@pytest.mark.parametrize("way", [1, -1])
def test_a_ring_may_turn_either_way(way):
    edges = Edges.of_ring(making.rectangle(0, 0, 10, 5).points[::way])
    assert sorted(map(tuple, np.round(edges.facing, 12) + 0.0)) == [(-1, 0), (0, -1), (0, 1), (1, 0)]
    assert np.all(np.sum(edges.facing * ((edges.starts + edges.ends) / 2 - (5, 2.5)), axis=1) > 0)


def test_points_drawn_twice_make_no_edge():
    assert len(Edges.of_ring(np.array([[0, 0], [10, 0], [10, 0], [10, 5]], dtype=float))) == 3


def test_edges_far_from_a_box_are_left_out():
    edges = Edges.of_ring(making.rectangle(0, 0, 100, 60).points)
    assert len(edges.within((99, 10, 120, 20), 0.5)) == 1
    assert len(edges.within((99, 10, 120, 20), 60)) == 3
    assert len(Edges.around(shapely.Polygon())) == 0
