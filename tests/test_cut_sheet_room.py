"""Check `cut-sheet`: parts clear of one another by the cutter, and inside the edge of their sheet."""

from __future__ import annotations

import math

import pytest
from making import part
from sheeted import SIZE, Drawn, beam, boat, found, laid, only, sheet, side, two_parts, two_shapes

from scrieve.shared.findings import Level


@pytest.mark.parametrize("gap, silent", [(10.0, True), (9.98, False), (0.0, False), (-3.0, False)])
def test_parts_closer_than_the_cutter(gap: float, silent: bool):
    shapes = two_shapes(laid(side(), (50, 50)), laid(beam(rise=0.0), (50, 130 + gap)))
    built = boat([part("port side", side()), part("deck beam", beam(rise=0.0))], [sheet(shapes, edge=SIZE)])
    if silent:
        assert found(built) == []
        return
    finding = only(built)
    assert finding.parts == ("F5 deck beam", "F5 port side")
    assert (finding.measured, finding.limit) == (pytest.approx(gap, abs=1e-6), 10.0)
    assert f"{10 - gap:.0f}" in finding.cure or gap == 9.98


def test_parts_all_too_close_are_one_finding_a_sheet():
    shapes = [Drawn(outline=laid(side(), (50, 50 + 85 * n)), text=f"F5 side {n}") for n in range(5)]
    finding = only(boat([part(f"side {n}", side()) for n in range(5)], [sheet(shapes, edge=SIZE)]))
    assert finding.measured == pytest.approx(5.0) and len(finding.parts) == 5
    assert "3 more pairs" in finding.message


def test_without_a_cutter_only_parts_that_overlap_are_too_close():
    shapes = two_shapes(laid(side(), (50, 50)), laid(beam(rise=0.0), (50, 130)))
    parts = [part("port side", side()), part("deck beam", beam(rise=0.0))]
    assert found(boat(parts, [sheet(shapes, edge=SIZE)], cutter=0.0)) == []


def test_a_part_past_the_edge_drawn():
    at_it = two_shapes(laid(side(), (0, 0)))
    assert found(boat(two_parts(), [sheet(at_it, edge=SIZE)])) == []
    finding = only(boat(two_parts(), [sheet(two_shapes(laid(side(), (SIZE[0] - 480, 50))), edge=SIZE)]))
    assert finding.parts == ("F5 port side",)
    assert finding.measured == pytest.approx(20.0) and finding.limit == 0.0


def test_without_an_edge_the_stock_has_to_have_room():
    far = two_shapes(second=laid(beam(), (2440 - 700 + 45.0, 300)))
    assert found(boat(two_parts(), [sheet(two_shapes())])) == []
    finding = only(boat(two_parts(), [sheet([*far[:1], Drawn(outline=laid(beam(), (1795.5, 300)))])]))
    assert finding.measured == pytest.approx(5.5) and "take 5.50 mm more" in finding.message
    # the other way round they fit
    upright = [Drawn(outline=s.outline.turned(math.pi / 2), text=s.text) for s in far]
    assert found(boat(two_parts(), [sheet(upright)])) == []


def test_where_neither_edge_nor_size_is_known_nothing_is_said_of_it():
    built = boat(two_parts(), [sheet(two_shapes(), size=None)])
    assert found(built) == []
    assert "size not known" in found(built, Level.NOTE)[0].message


def test_an_edge_larger_than_the_stock_is_a_warning():
    built = boat(two_parts(), [sheet(two_shapes(), edge=(2500, 1250))])
    assert found(built) == []
    (warning,) = found(built, Level.WARNING)
    assert "2500 x 1250 mm" in warning.message and "2440 x 1220 mm" in warning.message
    assert found(boat(two_parts(), [sheet(two_shapes(), edge=(1200, 1100))]), Level.WARNING) == []  # an offcut
