"""What a frame is open upward at, and whether its core closes across the deck."""

import gusseted
import making
import pytest
import shapely
from gusseted import DEEP, HALF, HIGH, INSIDE

from scrieve.model.relations.opening import closes, opening


def core(kind="open", *, less=(), more=()):
    whole = shapely.union_all([part.shape for part in gusseted.core(kind=kind)] + [shapely.box(*box) for box in more])
    return shapely.difference(whole, shapely.union_all([shapely.box(*box) for box in less]))


LIMBER = (-40, 20, 40, 50)
SLOT = (-30, 10, 30, 90)
AT_THE_JOINT = (INSIDE - 20, 40, INSIDE + 60, DEEP - 10)
LIGHTENED = (INSIDE + 20, 200, HALF - 20, 550)
BOX = (-150, DEEP, -120, 300)


def test_an_open_frame_is_open_between_its_sides_up_to_the_sheer():
    space = shapely.box(-INSIDE, DEEP, INSIDE, HIGH)
    assert shapely.equals_exact(shapely.normalize(opening(core())), shapely.normalize(space), 1e-9)


@pytest.mark.parametrize("holes", [[LIMBER], [SLOT], [AT_THE_JOINT], [LIGHTENED], [LIMBER, AT_THE_JOINT, LIGHTENED]])
@pytest.mark.parametrize("kind", ["open", "ring"])
def test_holes_close_no_frame_and_open_none(kind, holes):
    assert closes(core(kind, less=holes)) == (kind == "ring")


def test_what_stands_in_the_middle_leaves_it_open_on_both_sides():
    post = core(more=[(-50, DEEP, 30, HIGH)])
    left, right = sorted(shapely.get_parts(opening(post)), key=lambda bay: bay.bounds)
    assert (left.bounds, right.bounds) == ((-INSIDE, DEEP, -50, HIGH), (30, DEEP, INSIDE, HIGH))
    assert not closes(post)


def test_hollows_of_its_outside_are_no_opening():
    hollow = core(less=[(-HALF + 150, -1, HALF - 150, 60), (HALF - 50, 250, HALF + 1, 400)])
    assert opening(hollow).bounds == (-INSIDE, DEEP, INSIDE, HIGH)
    low = shapely.difference(shapely.box(-HALF, 0, HALF, DEEP), shapely.box(-100, -1, 100, 60))
    assert shapely.is_empty(opening(low)) and not shapely.is_empty(low)


def test_notches_of_sheers_are_no_opening():
    notched = core(less=[(HALF - 20, HIGH - 40, HALF + 1, HIGH + 1), (-HALF - 1, HIGH - 40, -HALF + 20, HIGH + 1)])
    assert opening(notched).bounds == (-INSIDE, DEEP, INSIDE, HIGH)


def test_a_frame_of_which_a_side_is_missing_is_open_there():
    parts = gusseted.core(sides=(1,))
    open_there = opening(shapely.union_all([part.shape for part in parts]))
    assert shapely.covers(open_there, shapely.box(0, DEEP + 1, INSIDE - 1, DEEP + 2))
    assert making.frame(parts).kind == "open"


def test_it_is_the_same_mirrored_and_moved():
    port = core(less=[SLOT], more=[BOX])
    starboard = shapely.affinity.translate(shapely.affinity.scale(port, -1, 1, origin=(0, 0)), 7.0, -3000.0)
    assert shapely.area(opening(starboard)) == pytest.approx(shapely.area(opening(port)))
    assert not closes(port) and not closes(starboard)
