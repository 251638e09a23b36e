"""Edges: drawn whole where they are to be seen, and never through wood, from however near."""

from __future__ import annotations

import numpy as np
import pytest
import pyvista as pv
from picture_making import without_screen

from scrieve.viewer.scene.body import Body, box_mesh
from scrieve.viewer.scene.facing import unfollow
from scrieve.viewer.scene.scene import Scene

SIZE = 400
THICK = 12.0


def board(name: str, kind: str, x: float, half: float, thick: float = THICK) -> Body:
    """A square board across the boat, its forward face at x."""
    points, triangles, edges = box_mesh((x - thick, -half, -half), (x, half, half))
    return Body(name=name, kind=kind, frame="1", points=points, triangles=triangles, edges=edges)


def seen(bodies, distance: float, *, parallel: bool, aside: float = 0.0) -> np.ndarray:
    """(SIZE, SIZE, 3): looking aft at the origin from so far, 300 mm high in the picture."""
    plotter = pv.Plotter(off_screen=True, window_size=(SIZE, SIZE), lighting="none")
    Scene(plotter, bodies)
    camera = plotter.camera
    camera.position, camera.focal_point = (distance, aside * distance, 0.0), (0.0, 0.0, 0.0)
    camera.up, camera.parallel_projection, camera.parallel_scale = (0.0, 0.0, 1.0), parallel, 150.0
    camera.view_angle = 2 * np.degrees(np.arctan(150.0 / np.hypot(distance, aside * distance)))
    plotter.renderer.ResetCameraClippingRange()
    picture = np.asarray(plotter.screenshot(return_img=True))
    unfollow(plotter)
    plotter.close()
    return picture.astype(int)


def dark(picture: np.ndarray) -> np.ndarray:
    """Where it is darker than most of it: that is ink, if only half a point of it."""
    return picture.max(axis=2) < 0.8 * np.median(picture.max(axis=2))


@pytest.fixture(autouse=True)
def no_screen(monkeypatch):
    without_screen(monkeypatch)


FAR = board("far away", "core", -6000.0, 2500.0)
"""Behind everything: it makes the picture deep, as the datum plane and the rest of the boat do."""


@pytest.mark.parametrize("parallel", [False, True], ids=["in perspective", "parallel"])
@pytest.mark.parametrize("distance", [450.0, 800.0, 3000.0])
def test_no_edge_is_seen_through_a_board(distance, parallel):
    front = board("front", "core", 0.0, 120.0)
    behind = board("behind", "gusset", -THICK, 60.0)
    picture = seen([front, behind, FAR], distance, parallel=parallel)
    inside = picture[110:290, 110:290]  # the front board takes 240 of 300 mm
    assert not dark(inside).any()
    off = np.abs(inside - np.median(inside, axis=(0, 1))).max(axis=2) > 8
    assert off.sum() <= 4  # where an edge behind runs straight away from the eye a sample may miss its depth


@pytest.mark.parametrize("parallel", [False, True], ids=["in perspective", "parallel"])
@pytest.mark.parametrize("distance", [450.0, 800.0, 3000.0])
@pytest.mark.parametrize("aside", [0.0, 0.8])
def test_the_edges_of_a_face_are_drawn_without_a_gap(distance, parallel, aside):
    """Looked at squarely a face has two upright edges; from aside one sees a third, between two faces."""
    picture = seen([board("front", "core", 0.0, 90.0, 40.0), FAR], distance, parallel=parallel, aside=aside)
    rows = dark(picture)[130:270].astype(int)
    assert (np.maximum(np.diff(rows, axis=1), 0).sum(axis=1) == (3 if aside else 2)).all()
