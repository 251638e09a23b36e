"""The cutting plane: what it takes away, what it closes, against the area of the outlines it cuts."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QPointF
from window_making import clean_window, faulty_window, place_of, press, until  # noqa: F401  two are fixtures

from scrieve.viewer.scene.body import Body, box_mesh
from scrieve.viewer.scene.cutting import CutFace, cut_face, solid


def outline_area(face: CutFace) -> float:
    """mm2 of a cut face."""
    return float(np.sum(shapely.area(shapely.polygons(face.points[face.triangles][:, :, 1:]))))


def test_the_cut_face_of_a_box_is_its_section():
    points, triangles, edges = box_mesh((0.0, -10.0, 5.0), (100.0, 30.0, 25.0))
    body = Body(name="box", kind="rail", frame="", points=points, triangles=triangles, edges=edges)
    face = cut_face(solid(body), 40.0)
    assert outline_area(face) == pytest.approx(40.0 * 20.0)
    assert np.all(face.points[:, 0] == 40.0)
    assert cut_face(solid(body), 100.5) is None
    lines = face.points[face.hatching][:, :, 1:]
    across, up = np.diff(lines, axis=1)[:, 0].T
    assert across == pytest.approx(up)  # all at 45 degrees
    assert shapely.box(-10, 5, 30, 25).buffer(1e-6).covers(shapely.multilinestrings(lines))


def test_a_part_is_cut_to_its_outline(clean):
    for part in clean.hand.boat.assembly.parts():
        frame = next(f for f in clean.hand.boat.assembly.frames if f.number == part.frame)
        if frame.placement.rake:
            continue
        scene = clean.canvas.stage.scene
        middle = frame.placement.station + (part.low + part.high) / 2
        face = cut_face(solid(scene.bodies[scene.number[part.name]]), middle)
        assert outline_area(face) == pytest.approx(part.shape.area, rel=1e-9)


def test_cuts_at_the_frame_in_hand_and_takes_the_side_of_the_eye_away(clean):
    clean.frames.take("4")
    clean.looking.look_bow()
    press(clean, "C")
    x = clean.frames.middle("4")
    cutting = clean.canvas.stage.cutting
    assert (cutting.x, cutting.keeps) == (x, -1)
    names = {clean.hand.boat.bodies[n].name for n in cutting.cut_bodies}
    assert {"F4 floor", "F4 port side", "port chine", "starboard rail"} <= names
    assert not any(name.startswith(("F3", "F5")) for name in names)
    assert clean.shelf.place.isVisible()
    assert "aft" in clean.word.text()
    marked = [clean.hand.boat.findings[n].at[0] for n in clean.canvas.stage.marked]
    assert marked and max(marked) <= x


def test_what_was_cut_away_cannot_be_picked_and_the_cut_face_can(clean):
    clean.frames.take("4")
    clean.looking.look_forward()
    forward = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F6 floor")
    frame6 = next(f for f in clean.hand.boat.assembly.frames if f.number == "6")
    y, v = forward.shape.representative_point().coords[0]
    over = place_of(clean, frame6.placement.point(y, v, forward.high))
    before = clean.canvas.pick(QPointF(over))
    assert clean.hand.boat.bodies[before.body].frame in ("6", "7")
    press(clean, "C")
    after = clean.canvas.pick(QPointF(over))
    assert after is None or after.at[0] <= clean.hand.now.cut + 1e-3
    floor = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F4 floor")
    frame = next(f for f in clean.hand.boat.assembly.frames if f.number == "4")
    y, v = floor.shape.representative_point().coords[0]
    at = place_of(clean, frame.placement.point(y, v, (floor.low + floor.high) / 2))
    picked = clean.canvas.pick(QPointF(at))
    assert clean.hand.boat.bodies[picked.body].name == "F4 floor"
    assert picked.at[0] == pytest.approx(clean.hand.now.cut, abs=1e-3)


def test_moves_along_the_boat_by_keys_and_slider_and_keeps_the_other_side(clean):
    clean.frames.take("4")
    press(clean, "C")
    x = clean.hand.now.cut
    press(clean, "]")
    press(clean, "]")
    press(clean, "[")
    assert clean.canvas.stage.cutting.x == pytest.approx(x + 10.0)
    clean.shelf.place.slider.setValue(1000)
    assert clean.canvas.stage.cutting.x == 1000.0
    keeps = clean.canvas.stage.cutting.keeps
    press(clean, "X")
    assert clean.canvas.stage.cutting.keeps == -keeps
    press(clean, "Right")  # the cut goes with the frame
    assert clean.canvas.stage.cutting.x == pytest.approx(clean.frames.middle("5"))
    press(clean, "C")
    assert clean.canvas.stage.cutting.x is None
    assert clean.canvas.stage.cutting.cut_bodies == frozenset()


def test_the_cut_face_is_where_the_solid_is_in_the_picture(clean):
    """Painted: at the middle of the floor's section there is its pale colour, not the dark of an open shell."""
    clean.frames.take("4")
    clean.frames.only_frame(True)
    clean.looking.look_forward()
    clean.arranging.cut(True)
    until(lambda: not clean.canvas.hurries)
    picture = np.asarray(clean.canvas.view.screenshot(return_img=True))
    floor = next(p for p in clean.hand.boat.assembly.parts() if p.name == "F4 floor")
    frame = next(f for f in clean.hand.boat.assembly.frames if f.number == "4")
    y, v = floor.shape.representative_point().coords[0]
    at = place_of(clean, frame.placement.point(y, v, (floor.low + floor.high) / 2))
    near = picture[at.y() - 4 : at.y() + 5, at.x() - 4 : at.x() + 5, :3].reshape(-1, 3)
    assert np.median(near, axis=0).min() > 150
    clean.frames.only_frame(False)
