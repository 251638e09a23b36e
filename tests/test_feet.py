"""Frames that stand on the strongback with their own parts, and not with legs."""

import legged
import making
import pytest
from making import frame, part, rectangle

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline


def sides(short=0.0, wide=0.0):
    """A frame of two sides that run on to the rails; the foot of the port one is `short`, its tongue `wide`."""
    floor = rectangle(-400, 200, 400, 300)
    out = []
    for name, sign, (lift, out_by) in (("port side", 1, (short, wide)), ("starboard side", -1, (0.0, 0.0))):
        y = legged.INNER + out_by
        corners = [(240, -60), (y, -60), (y, lift), (340, lift), (340, 500), (240, 500)]
        outline = Outline.of(corners)
        out.append(part(name, outline if sign > 0 else outline.mirrored()))
    return [part("floor", floor), *out]


def boat(*frames, build="upright"):
    made = [frame(parts, number=str(n), station=500.0 * n) for n, parts in enumerate(frames, start=5)]
    return making.assembly(made, strongback=making.rails(build=build), build=build)


def told(check, assembly):
    return [(found.frame, found.measured) for found in CHECKS[check].run(assembly) if found.level.value != "note"]


def test_sides_that_run_on_to_the_rails_need_no_legs_beside_others_that_have_some():
    legs = [*legged.plies(1), *legged.plies(-1), legged.floor()]
    assembly = boat(sides(), legs)
    assert [told(check, assembly) for check in ("leg-bottom", "leg-side", "leg-pair", "station")] == [[], [], [], []]


@pytest.mark.parametrize(("short", "wide"), [(0.6, 0.0), (-2.0, 0.0), (15.0, 0.0), (0.0, 0.6), (0.0, -3.0)])
def test_their_edges_are_held_to_the_rails_as_those_of_legs_are(short, wide):
    assembly = boat(sides(), sides(short, wide))
    assert told("leg-bottom", assembly) == ([("6", pytest.approx(abs(short)))] if short else [])
    assert told("leg-side", assembly) == ([("6", pytest.approx(abs(wide)))] if wide else [])


def test_a_board_may_stand_on_both_rails():
    board = [part("bulkhead", rectangle(-340, 0, 340, 500))]
    assert told("leg-bottom", boat(board)) == told("leg-side", boat(board)) == told("leg-pair", boat(board)) == []


def test_where_nothing_stands_on_both_rails_an_edge_near_them_is_no_foot():
    floor = [part("floor", rectangle(-400, 6, 400, 106))]
    assert told("leg-bottom", boat(floor)) == told("leg-pair", boat(floor)) == []
    legs = [*legged.plies(1), *legged.plies(-1), legged.floor()]
    assert [found.message for found in CHECKS["leg-pair"].run(boat(legs, floor))] == [
        "F6 has no legs to stand on the strongback with"
    ]


def test_a_foot_that_is_missing_on_one_side_is_told():
    (found,) = CHECKS["leg-pair"].run(boat(sides(), sides(30.0)))
    assert found.frame == "6" and "no legs" in found.message
