"""Loose lines of the port half alone: parts that share lines, and lines that end on the centreline."""

import random
from itertools import pairwise

import drawings
import pytest
from drawings import area, laid, said, text
from loose_lines import box, loose, measured, once, segments

from scrieve.shared.findings import Level


def test_the_port_half_alone(tmp_path):
    document = drawings.new()
    loose(document.modelspace(), once(segments([box(0, 0, 100, 60), box(100, 0, 150, 60)])))
    text(document.modelspace(), "floor", (50, 30))
    text(document.modelspace(), "side", (125, 30))
    shapes = laid(tmp_path, document, mirror=True)
    assert said(shapes.defects) == []
    areas = {label: area for label, (area, *_) in measured(shapes).items()}
    assert areas == {"floor": 12_000, "port side": 3000, "starboard side": 3000}


@pytest.mark.parametrize("seen", ["from forward", "from aft"])
def test_loose_lines_of_a_half_drawing_may_end_on_the_centreline(tmp_path, seen):
    """A floor and a beam over the centreline, a side between them; joint edges drawn once."""
    side = 1 if seen == "from forward" else -1
    document = drawings.new()
    floor = [(0, 0), (300, 0), (280, 80), (0, 80)]
    beam = [(0, 500), (300, 500), (300, 440), (0, 440)]
    post = [(300, 0), (300, 440), (300, 500), (360, 500), (360, 0)]
    lines = [pair for ring in (floor, beam) for pair in pairwise(ring)]
    lines += [(post[0], post[4]), (post[4], post[3]), (post[3], post[2]), (floor[2], post[1])]
    loose(document.modelspace(), [((side * a, b), (side * c, d), 0) for (a, b), (c, d) in lines])
    for label, at in (("floor", (100, 40)), ("beam", (100, 470)), ("port side", (330, 200))):
        text(document.modelspace(), label, (side * at[0], at[1]))
    shapes = laid(tmp_path, document, mirror=True, seen=seen)
    assert said(shapes.defects, Level.ERROR) == []
    assert [shape.label for shape in shapes.shapes] == ["beam", "floor", "port side", "starboard side"]
    areas = {label: area for label, (area, *_) in measured(shapes).items()}
    assert areas["floor"] == pytest.approx(2 * 80 * 290) and areas["beam"] == pytest.approx(600 * 60)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("joints", ["once", "twice"])
def test_parts_that_share_their_joint_lines_and_are_open_on_the_centreline(tmp_path, joints, closed, seed):
    """A floor and a bowed beam butt against the inner line of a side, the beam at its very top; origin off 0."""
    u, v = origin = (812.5, -1350.75)
    floor = [((0, 0), 0), ((300, 30), 0), ((300, 110), 0), ((0, 80), 0)]
    side = [((300, 20), 0), ((360, 20), 0), ((360, 500), 0), ((300, 500), 0), ((300, 20), 0)]
    beam = [((0, 460), -0.05), ((300, 440), 0), ((300, 500), 0.05), ((0, 520), 0)]
    edges = [(a, b, bulge) for part in (floor, beam) for (a, bulge), (b, _) in pairwise([*part, part[0]])]
    edges += [(a, b, bulge) for (a, bulge), (b, _) in pairwise(side)]
    if joints == "once":  # the side's own line is the joint
        edges = [edge for edge in edges if edge[0][0] != 300 or edge[1][0] != 300 or edge[0][1] - edge[1][1] == 480]
    if not closed:
        edges = [edge for edge in edges if edge[0][0] or edge[1][0]]
    document = drawings.new()
    moved = [((a + u, b + v), (c + u, d + v), bulge) for (a, b), (c, d), bulge in edges]
    loose(document.modelspace(), moved, random.Random(seed))
    for label, at in (("floor", (100, 50)), ("beam", (100, 490)), ("side", (330, 200))):
        text(document.modelspace(), label, (at[0] + u, at[1] + v))
    shapes = laid(tmp_path, document, mirror=True, origin=origin)
    assert said(shapes.defects, Level.ERROR) == []
    areas = {shape.label: area(shape.outline) for shape in shapes.shapes}
    assert areas.keys() == {"beam", "floor", "port side", "starboard side"}
    assert areas["floor"] == pytest.approx(2 * 80 * 300) and areas["port side"] == pytest.approx(60 * 480)


def test_two_parts_that_share_a_line_up_to_the_centreline(tmp_path):
    document = drawings.new()
    edges = once(segments([box(0, 0, 300, 60), box(0, 60, 300, 100)]))
    loose(document.modelspace(), [edge for edge in edges if edge[0][0] or edge[1][0]])
    text(document.modelspace(), "floor", (100, 30))
    text(document.modelspace(), "keelson", (100, 80))
    shapes = laid(tmp_path, document, mirror=True)
    assert said(shapes.defects, Level.ERROR) == []
    assert {shape.label: area(shape.outline) for shape in shapes.shapes} == {"floor": 36_000, "keelson": 24_000}
