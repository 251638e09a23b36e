"""Check `cut-sheet`: parts in their form and size, but for what the cutter leaves of corners."""

from __future__ import annotations

import pytest
from making import part
from sheeted import SIZE, Drawn, beam, boat, found, laid, only, sheet, side, two_parts, two_shapes

from scrieve.model.geometry.outline import Outline

LIMIT = 0.05

# ---- form


@pytest.mark.parametrize("longer, silent", [(0.04, True), (0.06, False), (1.2, False), (-25.0, False)])
def test_another_form_is_told_with_what_differs(longer: float, silent: bool):
    built = boat(two_parts(), [sheet(two_shapes(laid(side(500 + longer), (900, 50), angle=0.4)), edge=SIZE)])
    if silent:
        assert found(built) == []
        return
    finding = only(built)
    assert finding.parts == ("F5 port side",)
    assert (finding.measured, finding.limit, finding.unit) == (pytest.approx(abs(longer), rel=0.01), LIMIT, "mm")
    # at its end, which is the one that differs
    assert finding.at is not None and finding.at[1] > 440


def test_a_notch_out_of_place_is_another_form_and_no_relief():
    finding = only(boat(two_parts(), [sheet(two_shapes(laid(side(notch=2.0), (50, 50))), edge=SIZE)]))
    assert finding.measured == pytest.approx(2.0, abs=0.01)


def test_an_unlabelled_outline_that_is_nearly_a_part_is_told_as_that_part():
    shapes = [Drawn(outline=laid(side(501), (50, 50))), two_shapes()[1]]
    finding = only(boat(two_parts(), [sheet(shapes, edge=SIZE)]))
    assert finding.parts == ("F5 port side",) and "another form" in finding.message


def test_corners_relieved_or_rounded_for_the_cutter_are_no_difference():
    bones = _with_dog_bones(side(), radius=5.0)
    assert bones.polygon().area < side().polygon().area - 20
    assert found(boat(two_parts(), [sheet(two_shapes(laid(bones, (50, 50), angle=0.3)), edge=SIZE)])) == []
    rounded = side(radius=5.0)
    assert found(boat(two_parts(), [sheet(two_shapes(laid(rounded, (50, 50), over=True)), edge=SIZE)])) == []
    # the other way about too: the frame's drawing shows what the cutter leaves, the sheet does not
    parts = [part("port side", rounded), part("deck beam", beam())]
    assert found(boat(parts, [sheet(two_shapes(), edge=SIZE)])) == []


def test_a_corner_rounder_than_the_cutter_makes_it_or_without_its_relief_is_another_form():
    rounder = only(boat(two_parts(), [sheet(two_shapes(laid(side(radius=9.0), (50, 50))), edge=SIZE)]))
    assert rounder.measured == pytest.approx(9.0 * (2**0.5 - 1), abs=0.01)  # from the corner to the arc
    relieved = [part("port side", _with_dog_bones(side(), radius=5.0)), part("deck beam", beam())]
    assert "another form" in only(boat(relieved, [sheet(two_shapes(), edge=SIZE)])).message


def test_arcs_drawn_as_chords_are_no_difference():
    chords = Outline.of(beam().flattened())
    assert len(chords.points) > 40
    shapes = two_shapes(second=laid(chords, (50, 300), angle=0.2, over=True))
    assert found(boat(two_parts(), [sheet(shapes, edge=SIZE)])) == []


def test_an_outline_left_open_is_told_as_such():
    corners = [(50 + u, 50 + v) for u, v in side().points.tolist()]
    chain = ("CUT", [*corners, (50.0, 50.4)])
    finding = only(boat(two_parts(), [sheet(two_shapes()[1:], chains=[chain], edge=SIZE)]))
    assert finding.parts == ("F5 port side",)
    assert finding.measured == pytest.approx(0.4) and "left open" in finding.message


def _with_dog_bones(outline: Outline, radius: float) -> Outline:
    """The two inside corners of the notch, opened by arcs through the corner, their centres on the bisectors."""
    points, bulges = [], []
    for (u, v), bulge in zip(outline.points.tolist(), outline.bulges.tolist(), strict=True):
        if (u, v) in ((130.0, 60.0), (100.0, 60.0)):
            way = -1.0 if u == 130.0 else 1.0
            reach = radius * 2**0.5  # where the circle leaves the walls
            ends = [(u, v + reach), (u + way * reach, v)]
            points += ends if u == 130.0 else ends[::-1]
            bulges += [_into(points[-2:], (u, v)), 0.0]  # half a circle, into the wood
        else:
            points.append((u, v))
            bulges.append(bulge)
    return Outline.of(points, bulges)


def _into(ends: list[tuple[float, float]], corner: tuple[float, float]) -> float:
    """1 or -1: the bulge of the half circle over two points that goes by the corner."""
    (u, v), (u2, v2) = ends
    return 1.0 if (u2 - u) * (corner[1] - v) - (v2 - v) * (corner[0] - u) < 0 else -1.0


# ---- scale


@pytest.mark.parametrize(
    "factor, unit, says",
    [
        (1 / 25.4, "mm", "25.4 times too small: inches read as mm?"),
        (25.4, "in", "25.4 times too large: millimetres read as in?"),
        (0.1, "mm", "10 times too small: centimetres read as mm?"),
        (0.001, "mm", "1000 times too small: metres read as mm?"),
        (1.02, "mm", "1.02 times too large"),
    ],
)
def test_a_sheet_of_another_scale_is_one_finding(factor: float, unit: str, says: str):
    def times(outline: Outline) -> Outline:
        return Outline.of(outline.points * factor, outline.bulges)

    shapes = [Drawn(outline=times(s.outline), text=s.text) for s in two_shapes()]
    edge = (SIZE[0] * factor, SIZE[1] * factor)
    finding = only(boat(two_parts(), [sheet(shapes, edge=edge, unit=unit)]))
    assert finding.parts == ()
    assert finding.message.endswith(says)
    assert (finding.measured, finding.limit) == (pytest.approx(1 / factor, rel=1e-6), 1.0)


def test_one_part_of_another_scale_on_a_sheet_that_is_right():
    small = Outline.of(side().points * 0.98)
    finding = only(boat([*two_parts(), part("aft side", side(600))], [
        sheet([*two_shapes(laid(small, (50, 50))), Drawn(outline=laid(side(600), (900, 50)))], edge=SIZE)
    ]))  # fmt: skip
    assert finding.parts == ("F5 port side",)
    assert finding.measured == pytest.approx(1 / 0.98, rel=1e-5)
    assert "1.02041 times too small, on the cut sheet" in finding.message


def test_one_part_in_other_units_ends_with_the_question():
    small = Outline.of(side().points / 25.4)
    finding = only(boat([*two_parts(), part("aft side", side(600))], [
        sheet([*two_shapes(laid(small, (50, 50))), Drawn(outline=laid(side(600), (900, 50)))], edge=SIZE)
    ]))  # fmt: skip
    assert finding.message.startswith("F5 port side is 25.4 times too small, on the cut sheet ")
    assert finding.message.endswith(": inches read as mm?")
