"""Pockets drawn with the very outline of the plate that is let in, at odd angles: edges lie exactly on edges."""

from __future__ import annotations

from dataclasses import replace

import making
import numpy as np
import pytest
import shapely

from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.drawing import LabelledOutline
from scrieve.model.geometry.cut import as_cut, pieces_as_cut, without_hairs
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan import Layer
from scrieve.model.relations import pockets as relation
from scrieve.model.review import review

DEEP, CORE = 4.0, 15.0
CASES = 160
JUDGED = 40  # of those, by every check


def inner(start, end, wide):
    """A line (2, 2) parallel to one, so far to its left."""
    along = (end - start) / np.hypot(*(end - start))
    return np.array([start, end]) + wide * np.array([-along[1], along[0]])


def crossing(one, other):
    """Where two lines (2, 2) meet."""
    ways = np.array([one[1] - one[0], other[0] - other[1]]).T
    return one[0] + (one[1] - one[0]) * np.linalg.solve(ways, other[0] - one[0])[0]


def image(points):
    return [(-y, v) for y, v in points][::-1]


def let_in(seed: int) -> tuple[list, float]:
    """The parts of a frame with a chine, its gussets let in on one face or both, and the cutter, mm.

    The gussets' edges lie on the edges of the core, their pockets are their copies, one side is the other's image.
    """
    chosen = np.random.default_rng(seed)
    wide, rise, up, out = (chosen.uniform(*each) for each in ((250, 600), (0, 200), (250, 500), (20, 200)))
    keel = np.array([0.0, chosen.uniform(-700, -500)])
    chine = keel + np.array([wide, rise])
    sheer = chine + np.array([out, up])
    across = chosen.uniform(50, 110)
    bottom, side = inner(keel, chine, across), inner(chine, sheer, across)
    corner, middle = crossing(bottom, side), crossing(bottom, np.array([[0.0, 0.0], [0.0, 1.0]]))
    inward, upward = (keel - chine) / np.hypot(*(keel - chine)), (sheer - chine) / np.hypot(*(sheer - chine))
    one, other = chosen.uniform(70, 160, size=2)
    skew = chosen.choice([0.0, chosen.uniform(-30, 30)])
    gusset = [chine + inward * (one + skew), chine, chine + upward * other]
    gusset += [corner + upward * other, corner, corner + inward * one]
    digits = chosen.choice([15, 15, 15, 6, 3])
    cutter = float(chosen.choice([0.0, 3.175, 6.0, 8.0, 10.0]))

    def drawn(points):
        return [(float(y), float(v)) for y, v in np.round(points, digits)]

    floor, wall, plate = drawn([keel, chine, corner, middle]), drawn([chine, sheer, side[1], corner]), drawn(gusset)
    floors = [("port floor", floor), ("starboard floor", image(floor))]
    if chosen.integers(2):
        floors = [("floor", [*floor, *image(floor)[1:3]])]
    parts = [
        making.part(label, Outline.of(points), thickness=CORE, core=CORE, cutter=cutter)
        for label, points in (*floors, ("port side", wall), ("starboard side", image(wall)))
    ]
    shapes = []
    for face in ("forward", "aft")[: chosen.integers(1, 3)]:
        for hand, points in (("port", plate), ("starboard", image(plate))):
            outline = Outline.of(points)
            label = f"{hand} gusset, {face}"
            parts.append(making.part(label, outline, face=face, thickness=DEEP, core=CORE, cutter=cutter))
            shapes.append(LabelledOutline(label="", layer=face, outline=outline, source=parts[-1].source))
    layers = {face: Layer.model_construct(makes="pocket", face=face, depth=DEEP) for face in ("forward", "aft")}
    cut, defects = relation.with_pockets(parts, shapes, layers, lambda _: cutter)
    assert [str(defect.message) for defect in defects] == []
    return list(cut), cutter


def boat(seed: int) -> Assembly:
    parts, cutter = let_in(seed)
    return making.assembly([making.frame(parts, core=CORE)], cutter=cutter)


@pytest.mark.parametrize("first", range(0, CASES, JUDGED))
def test_a_pocket_copied_from_its_gusset_is_cut_and_takes_all_of_the_wood_below_it(first):
    for seed in range(first, first + JUDGED):
        parts, _ = let_in(seed)
        gussets = [part for part in parts if part.role == "gusset"]
        under = shapely.union_all([part.drawn_shape for part in parts if part.face == "core"])
        for face in {part.face for part in gussets}:
            cut = [pocket.shape for part in parts for pocket in part.pockets if pocket.face == face]
            assert all(shape.is_valid for shape in cut)
            seats = sum(shapely.intersection(part.drawn_shape, under).area for part in gussets if part.face == face)
            # a core part that is cut right through its width has no corner in which a cutter leaves wood
            assert sum(shape.area for shape in cut) == pytest.approx(seats, rel=1e-5)
        for part in gussets:
            assert (part.high, part.low)[part.face == "aft"] == (CORE, 0.0)[part.face == "aft"]
        for shape in [prism.shape for part in parts for prism in part.prisms]:
            assert shape.is_valid
            bare = without_hairs(shape)
            assert bare.geom_type == "Polygon" and bare.area == pytest.approx(shape.area, abs=1e-3)


def test_no_check_is_defeated_by_them_and_none_finds_a_foul():
    judged = ("foul", "proud", "mirror", "corner", "joint-gap", "leg-pair", "gusset-lap", "notch-empty", "screw-edge")
    for seed in range(JUDGED):
        told = [each for each in review(boat(seed), skip=["way-in"]) if each.level.value != "note"]
        assert not [str(each.message) for each in told if "could not be judged" in each.message]
        assert {each.check for each in told} & set(judged) <= {"gusset-lap"}  # some are drawn too short


@pytest.mark.parametrize("apart", [0.0, 1e-13, 1e-9, 1e-6, 1e-3])
def test_an_outline_whose_walls_all_but_touch_has_a_sound_one_as_cut(apart):
    """A slot drawn as a line out and back, aslant, and pieces that hang together by a point."""
    turned = making.turned(
        [(0, 0), (300, 0), (300, 200), (150 + apart, 200), (150, 90), (150 - apart, 200), (0, 200)], 0.3
    )
    slot = shapely.Polygon(turned)
    for cutter in (3.175, 6.0, 10.0):
        cut = as_cut(slot, cutter) if slot.is_valid else pieces_as_cut(slot.buffer(0), cutter)
        assert cut.is_valid
        assert cut.area == pytest.approx(300 * 200, rel=1e-4)


def test_what_is_narrower_than_a_sliver_goes_and_all_else_stays():
    wood = shapely.union(shapely.box(0, 0, 100, 50), shapely.box(100, 49.99, 200, 50))
    assert without_hairs(wood).area == pytest.approx(5000, abs=1e-3)
    square = shapely.box(0, 0, 100, 50)
    assert without_hairs(square) is square


# ---- what happens if the geometry library is defeated all the same


def defeated(*_):
    raise shapely.errors.GEOSException("TopologyException: side location conflict")


def test_a_part_whose_pockets_cannot_be_cut_is_told_and_taken_without(monkeypatch):
    monkeypatch.setattr(relation, "_cut_out", defeated)
    with pytest.raises(AssertionError, match="the pockets of F5 floor could not be cut"):
        let_in(1)


def test_a_check_that_is_defeated_in_one_frame_says_so_and_judges_the_others(monkeypatch):
    parts = [
        making.part("floor", making.rectangle(0, 0, 400, 100)),
        making.part("side", making.rectangle(401, 0, 500, 100)),
    ]
    frames = [making.frame(parts, number=number, station=1000.0 * int(number)) for number in "56"]
    real = CHECKS["joint-gap"]

    def on_frame(frame, assembly):
        yield from defeated() if frame.number == "5" else real.on_frame(frame, assembly)

    check = replace(real, on_frame=on_frame, on_boat=None, on_batten=None)
    first, second = check.run(making.assembly(frames))
    assert first.level.value == "error" and first.frame == "5"
    assert "joint-gap could not be judged in F5" in first.message and "side location conflict" in first.cure
    assert second.frame == "6" and "stand 1.00 mm apart" in second.message


def test_a_want_of_memory_is_not_taken_for_that(monkeypatch):
    def short(*_):
        raise shapely.errors.GEOSException("std::bad_alloc")

    def on_frame(frame, assembly):
        yield from short()

    check = replace(CHECKS["joint-gap"], on_frame=on_frame)
    with pytest.raises(shapely.errors.GEOSException, match="bad_alloc"):
        list(check.run(making.assembly([making.frame([making.part("floor", making.rectangle(0, 0, 400, 100))])])))
    monkeypatch.setattr(relation, "_cut_out", short)
    with pytest.raises(shapely.errors.GEOSException, match="bad_alloc"):
        let_in(1)
