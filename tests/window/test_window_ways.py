"""The ways along which things come to their places, drawn while they are on their way."""

from __future__ import annotations

import numpy as np
from window_making import clean_window, faulty_window  # noqa: F401  fixtures


def drawn(clean):
    return clean.canvas.stage.ways


def test_a_part_on_its_way_has_an_arrow_to_its_place(clean):
    step = next(s for s in clean.hand.boat.steps if s.kind == "core" and s.frame == "6")
    clean.building.take(step.number)
    clean.building.move_to(0.4)
    ((start, end),) = drawn(clean).ways
    points = clean.canvas.stage.boat.bodies[clean.canvas.stage.scene.number[step.names[0]]].points
    assert np.linalg.norm(points - end, axis=1).min() < 1e-6  # its place, not where it is now
    toward = np.subtract(end, start) / np.linalg.norm(np.subtract(end, start))
    frame = next(f for f in clean.hand.boat.assembly.frames if f.number == "6")
    assert np.allclose(frame.placement.vector_to_hull([step.adds[0].toward])[0], toward, atol=1e-9)
    clean.building.move_to(1.0)
    assert drawn(clean).ways == ()


def test_screws_have_lines_only_where_they_come_alone(clean):
    steps = clean.hand.boat.steps
    plates = next(s for s in steps if s.kind == "plates" and s.screws)
    clean.building.take(plates.number)
    clean.building.move_to(0.4)
    assert drawn(clean).ways and not drawn(clean)._screws.shown
    clean.building.finished_boat()
    assert drawn(clean).ways == () and not drawn(clean)._screws.shown
