"""Puzzles with a known only order: pieces of a frame that hold one another, taken apart."""

from dataclasses import replace

import making
import numpy as np
import pytest
import shapely
from dismantling import bench_fouls

from scrieve.model.geometry.outline import Outline
from scrieve.model.sequence.bench_order import BenchPiece
from scrieve.model.sequence.disassembly import peeled
from scrieve.model.sequence.leaving import Pieces

T = 10.0


def block(name, outline, low=0.0, high=T):
    """A prism of a hand-made puzzle."""
    outline = outline if isinstance(outline, Outline) else Outline.of(outline)
    return replace(making.part(name, outline), name=name, low=low, high=high)


def lidded(name, outline, lid=(-60, -60, 60, 60)):
    """A piece between two plates of its own, so that nothing in it can be lifted off a face."""
    over = making.rectangle(*lid)
    return (block(name, outline), block(f"{name} top", over, T, 2 * T), block(f"{name} bottom", over, -T, 0.0))


def solved(pieces, wishes=(), sides=(1, -1)):
    """Names in the order of putting together, the ways by name, and who is trapped by whom."""
    found = Pieces(pieces)
    names = [piece[0].name for piece in pieces]
    peeling = peeled(
        [(0, 0)] * len(pieces),
        lambda n, _, rest: found.way(n, rest, sides),
        [(names.index(a), names.index(b)) for a, b in wishes],
    )
    order = [names[n] for n, _, _ in peeling.placed]
    trapped = [(names[n], [names[m] for m in found.holders(n, rest, sides)]) for n, rest in peeling.trapped]
    placed = [BenchPiece(parts=pieces[n], way=way) for n, _, way in peeling.placed]
    return order, {names[n]: way for n, _, way in peeling.placed}, trapped, placed


SOCKET = [(-40, -40), (40, -40), (40, 0), (6, 0), (12, -20), (-12, -20), (-6, 0), (-40, 0)]
TAIL = [(-6, 0), (-12, -20), (12, -20), (6, 0), (6, 20), (-6, 20)]


def test_a_dovetail_drops_in_but_does_not_slide():
    order, ways, trapped, placed = solved([(block("socket", SOCKET),), (block("tail", TAIL),)])
    assert order == ["socket", "tail"]
    assert ways["tail"].how == "drop"
    assert ways["tail"].toward == (0.0, 0.0, -1.0)
    assert not trapped
    assert bench_fouls(placed) == []


def test_a_dovetail_between_two_plates_has_no_way_in():
    order, _, trapped, _ = solved([lidded("socket", SOCKET), (block("tail", TAIL),)])
    assert trapped == [("tail", ["socket"])]
    assert order == ["socket"]


@pytest.mark.parametrize("play", [0.4, 0.6])
def test_a_dovetail_within_half_a_millimetre_is_planed_off(play):
    """Cheeks that lean by `play` mm on each side over their length."""
    socket = [(-40, -40), (40, -40), (40, 0), (10 - play, 0), (10, -20), (-10, -20), (-10 + play, 0), (-40, 0)]
    tail = [(-10 + play, 0), (-10, -20), (10, -20), (10 - play, 0), (10 - play, 20), (-10 + play, 20)]
    _, ways, trapped, _ = solved([lidded("socket", socket), (block("tail", tail),)])
    if play < 0.5:
        assert not trapped
        assert ways["tail"].toward == pytest.approx((0.0, -1.0, 0.0), abs=0.05)
    else:
        assert trapped == [("tail", ["socket"])]


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.0, 2.5, -2.0])
def test_a_tongue_in_a_slot_slides_along_the_slot_and_no_other_way(angle):
    slot = making.turned([(-40, -40), (40, -40), (40, 30), (8, 30), (8, -20), (-8, -20), (-8, 30), (-40, 30)], angle)
    tongue = making.turned([(-8, -20), (8, -20), (8, 50), (-8, 50)], angle)
    order, ways, trapped, placed = solved([lidded("slot", slot), (block("tongue", tongue),)])
    assert order == ["slot", "tongue"]
    assert not trapped
    assert ways["tongue"].how == "slide"
    assert ways["tongue"].toward == pytest.approx((np.sin(angle), -np.cos(angle), 0.0), abs=1e-9)
    assert bench_fouls(placed) == []


def test_a_keystone_goes_in_last_from_the_wide_side():
    """Two stones, held by a frame with lids, and the keystone between them that parts them."""
    yoke = [(-60, -60), (60, -60), (60, 30), (50, 30), (50, 0), (-50, 0), (-50, 30), (-60, 30)]
    left = [(-50, 0), (-10, 0), (-20, 30), (-50, 30)]
    stone = [(-10, 0), (10, 0), (20, 30), (-20, 30)]
    right = [(10, 0), (50, 0), (50, 30), (20, 30)]
    pieces = [lidded("yoke", yoke), (block("stone", stone),), (block("left", left),), (block("right", right),)]
    order, ways, trapped, placed = solved(pieces)
    assert not trapped
    # the stone leans over both others, so it has to leave before them
    assert order == ["yoke", "left", "right", "stone"]
    assert ways["stone"].toward == (0.0, -1.0, 0.0)
    assert bench_fouls(placed) == []


LEFT = [(-50, -30), (0, -30), (0, -20), (-20, -20), (-20, 20), (0, 20), (0, 30), (-50, 30)]
RIGHT = [(50, -30), (0, -30), (0, -20), (20, -20), (20, 20), (0, 20), (0, 30), (50, 30)]
ENCLOSED = [(-20, -20), (20, -20), (20, 20), (-20, 20)]


def test_a_part_enclosed_by_two_goes_in_before_the_second_of_them():
    pieces = [
        (block("plate", making.rectangle(-60, -60, 60, 60), -T, 0.0),),
        (block("left", LEFT), block("left top", making.rectangle(-50, -30, 0, 30), T, 2 * T)),
        (block("right", RIGHT), block("right top", making.rectangle(0, -30, 50, 30), T, 2 * T)),
        (block("heart", ENCLOSED),),
    ]
    # as listed the heart would come last, where the two have closed about it
    found = Pieces(pieces)
    assert found.way(3, [0, 1, 2], (1,)) is None
    assert found.holders(3, [0, 1, 2], (1,)) == [1, 2]
    order, _, trapped, placed = solved(pieces, sides=(1,))
    assert not trapped
    assert order.index("heart") < max(order.index("left"), order.index("right"))
    assert order[0] == "plate"
    assert bench_fouls(placed) == []


def test_a_part_trapped_by_two_neighbours_is_free_without_either():
    """Two jaws, one from each side, each with a lip over a half of it; a plate under all."""
    pieces = [
        (block("heart", making.rectangle(-20, -20, 20, 20)),),
        (block("base", making.rectangle(-90, -60, 90, 60), -T, 0.0),
         block("fence", [(-90, -30), (90, -30), (90, 30), (80, 30), (80, -20), (-80, -20), (-80, 30), (-90, 30)])),
        (block("port jaw", [(20, 20), (-20, 20), (-20, 40), (60, 40), (60, -20), (20, -20)]),
         block("port lip", making.rectangle(10, 0, 60, 40), T, 2 * T)),
        (block("starboard jaw", making.rectangle(-60, -20, -20, 19)),
         block("starboard lip", making.rectangle(-60, -20, -10, 19), T, 2 * T)),
    ]  # fmt: skip
    found = Pieces(pieces)
    assert found.way(0, [1, 2, 3], (1,)) is None
    assert found.holders(0, [1, 2, 3], (1,)) == [1, 2, 3]
    assert found.way(0, [1, 2], (1,)) is not None
    assert found.way(0, [1, 3], (1,)) is not None
    order, _, trapped, placed = solved(pieces, sides=(1,))
    assert not trapped
    assert order.index("heart") < max(order.index("port jaw"), order.index("starboard jaw"))
    assert bench_fouls(placed) == []


def test_an_interlocking_pair_parts_along_one_direction_only():
    """Slanting teeth in one another, between plates: they part at 30 degrees and in no other direction."""
    lean = 20 * np.tan(np.pi / 3)
    lower = [(-60, -40), (60, -40), (60, 0), (30, 0), (30 + lean, 20), (10 + lean, 20), (10, 0), (-10, 0),
             (-10 + lean, 20), (-30 + lean, 20), (-30, 0), (-60, 0)]  # fmt: skip
    upper = [(-60, 40), (-60, 0), (-30, 0), (-30 + lean, 20), (-10 + lean, 20), (-10, 0), (10, 0),
             (10 + lean, 20), (30 + lean, 20), (30, 0), (60, 0), (120, 40)]  # fmt: skip
    order, ways, trapped, placed = solved([lidded("lower", lower, (-60, -60, 130, 60)), (block("upper", upper),)])
    assert not trapped
    assert order == ["lower", "upper"]
    assert ways["upper"].toward == pytest.approx((-np.sin(np.pi / 3), -np.cos(np.pi / 3), 0.0), abs=1e-9)
    assert bench_fouls(placed) == []


HOOK = [(0, 0), (40, 0), (40, 30), (20, 30), (20, 22), (30, 22), (30, 10), (10, 10), (10, 18), (0, 18)]


def test_two_hooks_in_one_another_between_plates_have_no_order():
    other = [(10 + 40 - y, 32 + 10 - v) for y, v in HOOK]
    pieces = [lidded("hook", HOOK), (block("eye", other),)]
    assert shapely.area(pieces[0][0].shape.intersection(pieces[1][0].shape)) < 1e-9
    order, _, trapped, _ = solved(pieces)
    assert trapped == [("eye", ["hook"])]
    assert order == ["hook"]
    # without the post that stands before its shank the eye slips out sideways
    bare = [point for point in HOOK if point not in [(10, 10), (10, 18), (0, 18)]] + [(0, 10)]
    pieces = [lidded("hook", bare), (block("eye", [(50 - y, 42 - v) for y, v in bare]),)]
    order, ways, trapped, placed = solved(pieces)
    assert not trapped
    assert ways["eye"].toward == pytest.approx((1.0, 0.0, 0.0), abs=0.2)
    assert [foul for foul in bench_fouls(placed) if foul[3] > 0.5] == []


def test_what_lies_under_a_ledge_slides_out_until_it_can_be_lifted():
    """A tray with a ledge over 15 mm of the piece and a wall 40 mm in front of it."""
    tray = (
        block("tray", making.rectangle(-50, -60, 50, 60), -T, 0.0),
        block("port wall", making.rectangle(30, -60, 50, 60)),
        block("starboard wall", making.rectangle(-50, -60, -30, 60)),
        block("near wall", making.rectangle(-30, -60, 30, -50)),
        block("far wall", making.rectangle(-30, 50, 30, 60)),
        block("ledge", making.rectangle(-50, -60, 50, -35), T, 2 * T),
    )
    piece = (block("piece", making.rectangle(-30, -50, 30, 10)),)
    order, ways, trapped, placed = solved([tray, piece], sides=(1,))
    assert not trapped
    assert order == ["tray", "piece"]
    assert ways["piece"].how == "slide"
    assert ways["piece"].toward == (0.0, -1.0, 0.0)
    assert 15.0 - 0.5 <= ways["piece"].reach <= 40.0
    # the walls hold it in its plane for good
    assert Pieces([tray, piece]).dropped(1, [0], 1) is None
    assert [foul for foul in bench_fouls(placed) if foul[3] > 0.5] == []


def test_a_wish_is_met_where_the_pieces_allow_it():
    pieces = [(block("a", making.rectangle(0, 0, 10, 10)),), (block("b", making.rectangle(10, 0, 20, 10)),)]
    assert solved(pieces)[0] == ["a", "b"]
    assert solved(pieces, wishes=[("b", "a")])[0] == ["b", "a"]


@pytest.mark.parametrize("angle", [0.0, 0.7, 3.0])
@pytest.mark.parametrize("mirror", [1.0, -1.0])
def test_the_same_comes_out_mirrored_and_moved(angle, mirror):
    def at(points):
        points = [(mirror * y, v) for y, v in points]
        return [(y + 5000, v - 300) for y, v in making.turned(points[:: int(mirror)], angle)]

    lid = at([(-60, -60), (60, -60), (60, 60), (-60, 60)])
    slot = [(-40, -40), (40, -40), (40, 30), (8, 30), (14, -20), (-8, -20), (-8, 30), (-40, 30)]
    tongue = [(-8, -20), (6, -20), (0, 30), (-8, 30)]  # slides out along the upright cheek, or leaning to port
    base = (block("slot", at(slot)), block("top", lid, T, 2 * T), block("bottom", lid, -T, 0.0))
    order, ways, trapped, placed = solved([base, (block("tongue", at(tongue)),)])
    assert not trapped
    assert order == ["slot", "tongue"]
    back = making.turned([ways["tongue"].toward[:2]], -angle)[0]
    assert back[1] < -0.9
    assert bench_fouls(placed) == []
