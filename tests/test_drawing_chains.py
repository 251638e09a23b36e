"""Lines and arcs joined end to end: the same outline however it was cut up, and no guess where it forks."""

import math

import drawings
import numpy as np
import pytest
from drawings import assert_same, laid, line, only, polyline, rectangle, said, text
from hypothesis import given, settings
from hypothesis import strategies as st

from scrieve.model.drawing.chains import join
from scrieve.model.drawing.ring import settled, signed_area
from scrieve.model.drawing.run import Run
from scrieve.shared.findings import Level, Source

SQUARE = [(0, 0), (100, 0), (100, 60), (0, 60)]


def soup(space, points, bulges=None, *, layer="CORE", closed=True):
    """Each segment of a polyline as a LINE or ARC of its own."""
    count = len(points) if closed else len(points) - 1
    for i in range(count):
        start, end = points[i], points[(i + 1) % len(points)]
        bulge = bulges[i] if bulges else 0
        if bulge:
            polyline(space, [start, end], [bulge, 0], layer=layer, close=False)
        else:
            line(space, start, end, layer=layer)


# ---- whatever the pieces, the same outline


@st.composite
def pieces_of_an_outline(draw):
    """A star-shaped outline with bulges, and the same cut into runs, some reversed, shuffled."""
    count = draw(st.integers(3, 12))
    reach = draw(st.lists(st.floats(50, 500), min_size=count, max_size=count))
    bulges = draw(st.lists(st.sampled_from([0.0, 0.0, 0.1, -0.2, 0.35]), min_size=count, max_size=count))
    angles = [2 * math.pi * k / count for k in range(count)]
    points = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(reach, angles, strict=True)]
    cuts = sorted(draw(st.sets(st.integers(0, count - 1), min_size=1, max_size=count)))
    runs = []
    for first, last in zip(cuts, [*cuts[1:], cuts[0] + count], strict=True):
        inside = [points[k % count] for k in range(first, last + 1)]
        curves = [bulges[k % count] for k in range(first, last)]
        run = Run(points=tuple(inside), bulges=tuple(curves), closed=False)
        runs.append(run.reversed() if draw(st.booleans()) else run)
    handles = [Source(file="a.dxf", handle=f"{n:X}") for n in range(100, 100 + len(runs))]
    return points, bulges, draw(st.permutations(list(zip(runs, handles, strict=True))))


@given(pieces_of_an_outline())
@settings(max_examples=200)
def test_cut_into_runs_shuffled_and_reversed_the_same_outline_comes_back(case):
    points, bulges, pieces = case
    joined = join("CORE", pieces, 0.01)
    assert joined.chains == joined.forks == ()
    (outline,) = joined.outlines
    assert outline.source.handle == "64"  # the oldest of them, whatever the order
    there = settled(outline.outline.points, outline.outline.bulges)
    assert_same(there, settled(np.array(points), np.array(bulges)), tolerance=0.0)


@given(pieces_of_an_outline(), st.floats(0, 2 * math.pi), st.floats(0, 0.004))
@settings(max_examples=100)
def test_ends_that_miss_each_other_by_less_than_the_limit_are_joined(case, angle, gap):
    points, bulges, pieces = case
    shift = (gap * math.cos(angle), gap * math.sin(angle))
    moved = [
        (Run(points=tuple((u + shift[0] * (n % 2), v + shift[1] * (n % 2)) for u, v in run.points),
             bulges=run.bulges, closed=False), source)
        for n, (run, source) in enumerate(pieces)
    ]  # fmt: skip
    (outline,) = join("CORE", moved, 0.01).outlines
    there = settled(outline.outline.points, outline.outline.bulges)
    wanted = settled(np.array(points), np.array(bulges))
    assert abs(signed_area(there.points, there.bulges) - signed_area(wanted.points, wanted.bulges)) < 0.02 * 4000
    assert len(there.points) == len(wanted.points)


def test_a_soup_of_lines_and_arcs_in_a_file(tmp_path):
    points, bulges = [(0, 0), (200, 0), (200, 100), (50, 150), (0, 100)], [0, 0.3, 0, -0.2, 0]
    as_one, cut = drawings.new(), drawings.new()
    polyline(as_one.modelspace(), points, bulges)
    soup(cut.modelspace(), points, bulges)
    for document in (as_one, cut):
        text(document.modelspace(), "floor", (60, 60))
    assert_same(only(laid(tmp_path, as_one)).outline, only(laid(tmp_path, cut)).outline)


def test_arcs_met_by_lines_keep_their_circle_over_a_small_gap(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    space.add_arc((0, 0), 500, 0, 90, dxfattribs={"layer": "CORE"})
    line(space, (0, 0), (500.004, 0.003))
    line(space, (0, 0), (0.002, 499.995))
    text(space, "knee", (100, 100))
    outline = only(laid(tmp_path, document)).outline
    curved = np.flatnonzero(outline.bulges)[0]
    assert outline.radii()[curved] == pytest.approx(500, abs=1e-9)
    ends = outline.points[[curved, (curved + 1) % 3]]
    assert np.hypot(*ends.T) == pytest.approx([500, 500], abs=1e-9)


def test_an_open_polyline_whose_ends_are_equal_is_closed(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [*SQUARE, SQUARE[0]], close=False)
    text(document.modelspace(), "floor", (20, 20))
    shape = only(laid(tmp_path, document))
    assert len(shape.outline.points) == 4


def test_pieces_without_length_are_left_out_and_nothing_is_lost(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    soup(space, SQUARE)
    line(space, (0, 0), (0, 0))
    line(space, (100, 0), (100, 5e-7))
    polyline(space, [(50, 50)] * 4)
    space.add_arc((3, 3), 0, 0, 90, dxfattribs={"layer": "CORE"})
    space.add_arc((3, 3), 9, 45, 45, dxfattribs={"layer": "CORE"})
    text(space, "floor", (20, 20))
    assert drawings.corners(only(laid(tmp_path, document)).outline) == set(SQUARE)


def test_corners_drawn_twice_in_a_row_count_once(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [SQUARE[0], *SQUARE, SQUARE[3], SQUARE[0]], [0, 0, 0.2, 0, 0, 0, 0])
    text(document.modelspace(), "floor", (20, 20))
    outline = only(laid(tmp_path, document)).outline
    assert len(outline.points) == 4
    assert outline.bulges.tolist() == [0, 0.2, 0, 0]


# ---- open outlines


@pytest.mark.parametrize("gap", [0.009, 0.0099])
def test_an_outline_left_open_by_less_than_the_limit_is_closed(tmp_path, gap):
    document = drawings.new()
    polyline(document.modelspace(), [(gap, 0), (100, 0), (100, 60), (0, 60), (0, 0)], close=False)
    text(document.modelspace(), "floor", (20, 20))
    assert len(only(laid(tmp_path, document)).outline.points) == 4


@pytest.mark.parametrize(("gap", "said"), [(0.0101, "0.0101"), (3.2, "3.20")])
def test_an_outline_left_open_by_more_is_a_defect_with_both_ends(tmp_path, gap, said):
    document = drawings.new()
    polyline(document.modelspace(), [(gap, 0), (100, 0), (100, 60), (0, 60), (0, 0)], close=False)
    text(document.modelspace(), "floor", (20, 20))
    shapes = laid(tmp_path, document)
    assert shapes.shapes == ()
    (defect,) = shapes.defects
    assert (defect.level, defect.measure.limit, defect.measure.unit) == (Level.ERROR, 0.01, "mm")
    assert defect.measure.value == pytest.approx(gap)
    assert defect.message == (
        f'outline "floor" on layer CORE is left open by {said} mm, between y 0.0, z 0.0 and y {gap:.1f}, z 0.0'
    )
    assert defect.cure == f"close the gap of {said} mm"


def test_the_limit_may_be_set(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(0.4, 0), (100, 0), (100, 60), (0, 60), (0, 0)], close=False)
    text(document.modelspace(), "floor", (20, 20))
    drawing = drawings.read(tmp_path, document, gap=0.5)
    assert len(drawing.outlines) == 1
    assert drawing.chains == ()


def test_two_gaps_of_one_outline_are_told_one_by_one(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    soup(space, [(0, 0), (100, 0), (100, 60)], closed=False)
    soup(space, [(100, 60.5), (0, 60), (0, 2)], closed=False)
    shapes = laid(tmp_path, document)
    assert [d.measure.value for d in shapes.defects] == pytest.approx([0.5, 2.0])
    assert all("is left open by" in d.message for d in shapes.defects)


def test_a_lone_line_is_told_as_such(tmp_path):
    document = drawings.new()
    line(document.modelspace(), (0, 0), (30, 40))
    (defect,) = laid(tmp_path, document).defects
    assert defect.message == (
        "an outline on layer CORE is a lone line from y 0.0, z 0.0 to y 30.0, z 40.0, not a closed outline"
    )
    assert defect.measure.value == pytest.approx(50)


def test_a_great_many_loose_lines_are_told_in_one(tmp_path):
    document = drawings.new()
    for k in range(3000):
        line(document.modelspace(), (k * 10, 0), (k * 10, 5))
    (defect,) = laid(tmp_path, document).defects
    assert "and 2999 more on this layer are no closed outlines; the first begins at y 0.0, z 0.0" in defect.message


# ---- forks


def test_where_three_ends_meet_no_way_is_guessed(tmp_path):
    document = drawings.new()
    soup(document.modelspace(), SQUARE)
    line(document.modelspace(), SQUARE[0], SQUARE[2])
    text(document.modelspace(), "floor", (20, 20))
    shapes = laid(tmp_path, document)
    assert shapes.shapes == ()
    errors = [d for d in shapes.defects if d.level is Level.ERROR]
    assert {d.at for d in errors} == {(0, 0), (100, 60)}
    assert errors[0].message == (
        "3 ends of lines on layer CORE meet at y 0.0, z 0.0: which of them belong to one outline cannot be told"
    )


def test_a_fork_spoils_its_own_layer_alone(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    soup(space, SQUARE)
    for end in ((50, 50), (50, 10), (90, 30)):
        line(space, (0, 0), end, layer="REFERENCE")
    text(space, "floor", (20, 20))
    assert only(laid(tmp_path, document)).label == "floor"


@pytest.mark.parametrize("starts", [(0, 0.003, 0.006), (0, 0, 0.004)])
def test_ends_within_the_limit_of_each_other_fork_too(tmp_path, starts):
    document = drawings.new()
    space = document.modelspace()
    for start, end in zip(starts, ((50, 50), (50, 10), (90, 30)), strict=True):
        line(space, (start, 0), end)
    shapes = laid(tmp_path, document)
    (defect,) = shapes.defects
    assert defect.message.startswith("3 ends of lines on layer CORE meet at y 0.0, z 0.0")


# ---- drawn twice


def twins():
    """Two drawings of one outline that are to be known for the same."""
    curved = [0, 0.3, 0, 0]
    yield "again", (SQUARE, curved), (SQUARE, curved)
    yield "the other way", (SQUARE, curved), (SQUARE[::-1], [0, -0.3, 0, 0])
    yield "begun elsewhere", (SQUARE, curved), (SQUARE[2:] + SQUARE[:2], [0, 0, 0, 0.3])
    yield "with a corner more", (SQUARE, [0] * 4), ([(50, 0), *SQUARE[1:], SQUARE[0]], [0] * 5)


@pytest.mark.parametrize("first, second", [case[1:] for case in twins()], ids=[case[0] for case in twins()])
@pytest.mark.parametrize("cut", [False, True])
def test_an_outline_drawn_twice_is_taken_once(tmp_path, first, second, cut):
    document = drawings.new()
    polyline(document.modelspace(), *first)
    if cut:
        soup(document.modelspace(), *second)
    else:
        polyline(document.modelspace(), *second)
    text(document.modelspace(), "floor", (20, 20))
    shapes = laid(tmp_path, document)
    assert [s.label for s in shapes.shapes] == ["floor"]
    assert said(shapes.defects) == ['outline "floor" on layer CORE is drawn twice; it is taken once']
    assert shapes.defects[0].level is Level.ERROR


def test_a_soup_drawn_twice_is_taken_once(tmp_path):
    document = drawings.new()
    soup(document.modelspace(), SQUARE, [0, 0.3, 0, 0])
    soup(document.modelspace(), SQUARE[::-1], [0, -0.3, 0, 0])
    text(document.modelspace(), "floor", (20, 20))
    shapes = laid(tmp_path, document)
    assert [s.label for s in shapes.shapes] == ["floor"]
    assert said(shapes.defects) == ['outline "floor" on layer CORE is drawn twice; it is taken once']


@pytest.mark.parametrize("seen", ["from forward", "from aft"])
def test_a_line_drawn_twice_is_told_at_its_place(tmp_path, seen):
    document = drawings.new()
    side = 1 if seen == "from forward" else -1
    soup(document.modelspace(), [(side * u, v) for u, v in SQUARE], [0, 0, 0, 0])
    line(document.modelspace(), (side * SQUARE[1][0], SQUARE[1][1]), (side * SQUARE[2][0], SQUARE[2][1]))
    text(document.modelspace(), "floor", (side * 20, 20))
    shapes = laid(tmp_path, document, seen=seen)
    at = f"y {(SQUARE[1][0] + SQUARE[2][0]) / 2:.1f}, z {(SQUARE[1][1] + SQUARE[2][1]) / 2:.1f}"
    assert said(shapes.defects) == [
        f'outline "floor" on layer CORE has a line drawn twice, about {at}; it is taken once'
    ]


def test_an_outline_drawn_on_two_layers_is_two(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, layer="GUSSETS AFT", label="gusset")
    rectangle(document.modelspace(), 0, 0, 100, 50, layer="GUSSETS FWD")
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert [(s.label, s.layer) for s in shapes.shapes] == [("gusset", "GUSSETS AFT"), ("gusset", "GUSSETS FWD")]


def test_just_not_the_same_is_not_twice(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, label="one")
    rectangle(document.modelspace(), 0, 0, 100.02, 50)
    assert "drawn twice" not in " ".join(said(laid(tmp_path, document).defects))


# ---- outlines that enclose nothing of use


def test_an_outline_that_crosses_itself_is_a_defect_with_the_place(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(0, 0), (100, 60), (100, 0), (0, 60)])
    text(document.modelspace(), "bow tie", (90, 30))
    shapes = laid(tmp_path, document)
    assert shapes.shapes == ()
    (defect,) = shapes.defects
    assert defect.message == 'outline "bow tie" on layer CORE crosses itself at y 50.0, z 30.0'
    assert defect.at == pytest.approx((50, 30))


def test_an_outline_that_touches_itself_is_a_defect_with_the_place(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(0, 0), (100, 0), (100, 60), (50, 0), (0, 60)])
    (defect,) = laid(tmp_path, document).defects
    assert defect.message == "an outline on layer CORE touches itself at y 50.0, z 0.0"


@pytest.mark.parametrize(
    "side, message",
    [(0.99, "an outline on layer CORE at y 0.0, z 0.0 is too small for a part: 0.98 mm2"), (1.01, "has no label")],
)
def test_a_tiny_outline_is_a_defect(tmp_path, side, message):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, side, side)
    (defect,) = laid(tmp_path, document).defects
    assert message in defect.message


@pytest.mark.parametrize("width, narrow", [(0.099, True), (0.101, False)])
def test_a_narrow_outline_is_a_defect(tmp_path, width, narrow):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 500, width)
    (defect,) = laid(tmp_path, document).defects
    assert ("is too narrow for a part: about 0.099 mm wide" in defect.message) is narrow


def test_a_line_to_and_fro_encloses_nothing(tmp_path):
    document = drawings.new()
    polyline(document.modelspace(), [(0, 0), (100, 0)])
    (defect,) = laid(tmp_path, document).defects
    assert "is too small for a part: 0.00 mm2" in defect.message
