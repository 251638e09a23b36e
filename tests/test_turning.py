"""Which way round a part may go: known shapes, turned, mirrored, a little wrong."""

from __future__ import annotations

from dataclasses import replace

import making
import numpy as np
import pytest
from making import frame, part, rectangle

from scrieve.model.geometry.outline import Outline
from scrieve.model.sequence.turning import fits_turned, turnings

ALLOWED = 0.1

FLAG = [(0, 0), (100, 0), (100, 30), (40, 30), (40, 80), (0, 80)]
"""An L with unequal arms: not its own mirror image, however it is turned."""

KITE = [(0, -60), (40, 0), (0, 30), (-40, 0)]


def plate(corners, *, angle=0.0, move=(0.0, 0.0), mirror=False, label="plate", **more):
    outline = Outline.of(making.turned(corners, angle))
    outline = outline.mirrored() if mirror else outline
    return part(label, outline.moved(move), **more)


@pytest.mark.parametrize("angle", [0.0, 0.7, np.pi / 2, 3.0])
@pytest.mark.parametrize(
    ("corners", "either"),
    [
        (KITE, True),
        ([(0, 0), (120, 0), (90, 50), (30, 50)], True),  # a trapezium of equal sides
        ([(0, 0), (120, 0), (120, 50), (0, 50)], True),
        (FLAG, False),
        ([(0, 0), (120, 0), (150, 50), (30, 50)], False),  # a parallelogram, alike after a half turn only
        ([(0, 0), (90, 0), (20, 50)], False),
    ],
)
def test_a_shape_that_is_its_own_mirror_image_goes_either_way(corners, either, angle):
    assert fits_turned(*[plate(corners, angle=angle, move=(500, 300))] * 2, ALLOWED) is either


def test_a_disc_and_a_hole():
    disc = part("disc", Outline.circle((10, 20), 40))
    assert fits_turned(disc, disc, ALLOWED)
    hole = Outline.circle((30, 25), 4)
    bored = replace(disc, holes=(hole,), shape=disc.shape.difference(hole.polygon()))
    assert fits_turned(bored, bored, ALLOWED)
    square = part("square", rectangle(-50, -50, 50, 50))
    off = Outline.circle((30, 10), 4)
    bored = replace(square, holes=(off,), shape=square.shape.difference(off.polygon()))
    assert not fits_turned(bored, bored, ALLOWED)


@pytest.mark.parametrize("angle", [0.0, 1.1])
def test_twins_fit_one_anothers_place_turned_over(angle):
    one = plate(FLAG, move=(300, 200))
    other = plate(FLAG, angle=angle, mirror=True, move=(-300, 250))
    same = plate(FLAG, angle=angle, move=(-300, 250))
    assert fits_turned(one, other, ALLOWED) and fits_turned(other, one, ALLOWED)
    assert not fits_turned(one, same, ALLOWED)


@pytest.mark.parametrize(("off", "fits"), [(0.08, True), (0.125, False), (1.0, False)])
def test_what_is_off_by_more_than_is_allowed_does_not_fit(off, fits):
    corners = [(0, 0), (400, 0), (400 - 100, 50), (100, 50)]
    high = 50 + 2 * off  # laid on one another, as much of it shows below as above
    wrong = [(0, 0), (400, 0), (400 - 100, high), (100, high)]
    assert fits_turned(plate(corners), plate(wrong), ALLOWED) is fits


def test_twins_are_of_one_frame_face_role_and_stock_on_the_other_side():
    port = plate(FLAG, move=(300, 200), label="port side")
    others = {
        "twin": plate(FLAG, mirror=True, move=(-300, 200), label="starboard side"),
        "thicker": plate(FLAG, mirror=True, move=(-300, 200), label="starboard side", thickness=9),
        "plate": plate(FLAG, mirror=True, move=(-300, 200), label="starboard side", role="leg"),
        "same side": plate(FLAG, mirror=True, move=(600, 200), label="port side too"),
    }
    for name, other in others.items():
        first, second = turnings(frame([port, other]), ALLOWED)
        assert not first.either_way
        assert first.twins == ((other.name,) if name == "twin" else ())
        assert second.twins == ((port.name,) if name == "twin" else ())


def test_as_cut_counts():
    """The cutter leaves wood in the corners alike on both sides."""
    notched = [(-200, 0), (200, 0), (200, 100), (20, 100), (20, 60), (-20, 60), (-20, 100), (-200, 100)]
    floor = part("floor", Outline.of(notched), cutter=10.0)
    assert fits_turned(floor, floor, ALLOWED)
