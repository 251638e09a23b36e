"""Edits of outlines: an edge moved goes along the edges beside it, an outline added turns as its drawing is seen."""

from __future__ import annotations

from dataclasses import replace

import making
import numpy as np
import pytest

from scrieve.model.boat.editing import add_outline, move, reshape
from scrieve.model.boat.view import DrawingView
from scrieve.model.geometry.edges_moved import edges_moved
from scrieve.model.geometry.outline import Outline
from scrieve.shared.edits import Add, Target
from scrieve.shared.findings import Source


def test_an_edge_moves_between_the_edges_beside_it():
    """By hand: the top of a trapezium 100 wide below and 60 above goes up 10 and is 50 wide."""
    outline = Outline.of([(0, 0), (100, 0), (80, 40), (20, 40)])
    moved = edges_moved(outline, [((50.0, 40.0), (0.0, 1.0), 10.0)])
    assert moved == (((80.0, 40.0), (75.0, 50.0)), ((20.0, 40.0), (25.0, 50.0)))


@pytest.mark.parametrize("at", [[50.0], [70.0, 30.0], [78.0, 50.0, 22.0]])
@pytest.mark.parametrize("turn", [0, 2, 3])
def test_an_edge_that_is_divided_moves_as_a_whole(at, turn):
    """By hand: the top of the same trapezium goes up 2 and is 58 wide."""
    corners = [(0.0, 0.0), (100.0, 0.0), (80.0, 40.0), *((y, 40.0) for y in at), (20.0, 40.0)]
    outline = Outline.of(corners[turn:] + corners[:turn])
    moved = dict(edges_moved(outline, [((52.0, 40.0), (0.0, 1.0), 2.0)]))
    assert moved == {(80.0, 40.0): (79.0, 42.0), (20.0, 40.0): (21.0, 42.0), **{(y, 40.0): (y, 42.0) for y in at}}


def test_a_divided_edge_is_not_drawn_in_past_its_own_corners():
    outline = Outline.of([(0, 0), (100, 0), (80, 40), (78, 40), (20, 40)])
    assert edges_moved(outline, [((52.0, 40.0), (0.0, 1.0), 5.0)]) == ()


def test_a_round_between_goes_along_and_keeps_its_form():
    bulge = np.tan(np.pi / 8)
    outline = Outline.of([(0, 0), (100, 0), (100, 30), (90, 40), (0, 40)], [0, 0, bulge, 0, 0])
    assert edges_moved(outline, [((50.0, 40.0), (0.0, 1.0), 5.0)]) == (
        ((100.0, 30.0), (100.0, 35.0)),
        ((90.0, 40.0), (90.0, 45.0)),
        ((0.0, 40.0), (0.0, 45.0)),
    )


@pytest.mark.parametrize(
    "shift",
    [
        ((50.0, 20.0), (0.0, 1.0), 5.0),  # no edge there
        ((50.0, 40.0), (1.0, 0.0), 5.0),  # not the way that the edge faces
        ((50.0, 40.0), (0.0, 1.0), -40.0),  # nothing would be left
        ((100.0, 20.0), (1.0, 0.0), 5.0),  # it ends on a round that is no corner's
    ],
)
def test_where_an_edge_cannot_be_moved_there_is_no_edit(shift):
    outline = Outline.of([(0, 0), (100, 0), (100, 40), (0, 40)], [0.5, 0, 0, 0])
    assert edges_moved(outline, [shift]) == ()


def in_block(part):
    return replace(part, source=replace(part.source, bound=True))


def test_what_is_not_drawn_alone_has_no_edit():
    part = making.part("floor", making.rectangle(0, 0, 100, 40))
    bound = in_block(part)
    met = making.frame([part])
    shift = ((50.0, 40.0), (0.0, 1.0), 5.0)
    assert reshape(met, part, [shift]) and move(met, part, (0.0, 0.0))
    assert (reshape(met, bound, [shift]), move(met, bound, (0.0, 0.0))) == ((), ())
    proposed = replace(making.dowel((0.0, 0.0)), source=met.source)
    assert move(met, proposed, (1.0, 0.0)) == ()


def test_an_outline_that_is_added_turns_as_its_drawing_is_seen():
    """A half disc on the port side, arc outward: seen from aft it lies to the left, and its arc runs the other way."""
    half = Outline.of([(0, 0), (0, -20)], [-1.0, 0.0])
    met = replace(making.frame([]), view=DrawingView(shown="frames/5.dxf", side=-1.0, origin=(5.0, 0.0)))
    (added,) = add_outline(met, Source(file="frames/5.dxf", handle="1", layer="PLY"), half, "cheek")
    assert added == Add(
        target=Target(name="cheek", frame="5", file="frames/5.dxf", layer="PLY", unit="mm"),
        points=((5.0, 0.0), (5.0, -20.0)), bulges=(1.0, -0.0), text="cheek",
    )  # fmt: skip
