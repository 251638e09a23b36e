"""The edges by which a leg stands, found on hand-drawn outlines."""

import legged
import making
import numpy as np
import pytest

from scrieve.model.geometry.outline import Outline
from scrieve.model.relations.legs.leg import footings


def found(outline, *, side=1, build="upright", rake=0.0, cutter=10.0):
    part = making.part("leg", outline if side > 0 else outline.mirrored(), role="leg")
    frame = making.frame([part], rake=rake)
    (footing,) = footings(frame.legs[0], frame, making.rails(build=build), cutter)
    return footing


@pytest.mark.parametrize("kind", legged.KINDS)
@pytest.mark.parametrize("side", [1, -1])
def test_both_kinds_of_leg_have_their_edges_found(kind, side):
    footing = found(legged.leg_outline(kind, short=1.5, wide=-0.75), side=side)
    assert footing.bearing.heights == pytest.approx((1.5, 1.5))
    assert footing.locating.offsets == pytest.approx((-0.75, -0.75))
    assert footing.locating.hangs is (kind != "plain")
    assert footing.bearing.outer == pytest.approx((side * 340, 1.5))


def test_it_makes_no_difference_which_way_an_outline_turns():
    outline = legged.leg_outline("relieved", short=1.0)
    back = Outline.of(outline.points[::-1], -np.roll(outline.bulges[::-1], -1))
    assert found(back).bearing.heights == found(outline).bearing.heights
    assert found(back).locating.offsets == found(outline).locating.offsets


@pytest.mark.parametrize("kind", legged.KINDS)
def test_an_inverted_build_bears_upward(kind):
    outline = legged.leg_outline(kind, short=1.5, wide=0.5).mirrored().turned(np.pi)
    footing = found(outline, build="inverted")
    assert footing.bearing.heights == pytest.approx((1.5, 1.5))
    assert footing.locating.offsets == pytest.approx((0.5, 0.5))


@pytest.mark.parametrize("rake", [0.2, -0.2])
@pytest.mark.parametrize("build", ["upright", "inverted"])
def test_a_raked_leg_stands_on_the_corner_that_touches_first(rake, build):
    # closed form: a square end 18 mm thick, raked by r, has its two corners 18 sin r apart in height; v = 0 at w = 0
    upright = build == "upright"
    outline = legged.leg_outline()
    footing = found(outline if upright else outline.mirrored().turned(np.pi), rake=rake, build=build)
    reaches_in = min(0.0, 18 * np.sin(rake) if upright else -18 * np.sin(rake))
    assert footing.bearing.heights == pytest.approx((reaches_in, reaches_in), abs=1e-9)


def test_a_tilted_bearing_edge_has_two_heights_and_one_past_five_degrees_none():
    length = 60
    gently, steeply = np.tan(np.radians(4.9)) * length, np.tan(np.radians(5.1)) * length
    assert found(legged.leg_outline(tilt=gently)).bearing.heights == pytest.approx((0, gently))
    assert found(legged.leg_outline(tilt=steeply)).bearing is None


def test_a_foot_in_two_pieces_bears_with_both():
    corners = [(280, 0), (295, 0), (295, 20), (310, 20), (310, 0), (340, 0), (340, 200), (280, 200)]
    footing = found(Outline.of(corners))
    assert (footing.bearing.inner, footing.bearing.outer) == ((280, 0), (340, 0))
    assert len(footing.bearing.edges) == 2


def test_a_leg_beside_the_rail_has_no_bearing_edge():
    assert found(making.rectangle(200, 0, 282.9, 200)).bearing is None
    assert found(making.rectangle(200, 0, 283.1, 200)).bearing is not None


@pytest.mark.parametrize("relief", [19.0, 21.0, 40.0])
def test_a_relief_between_tongue_and_foot_is_passed_over(relief):
    straight = [(240, -60), (280, -60), (280, 0), (280, 30), (280 + relief, 30), (280 + relief, 0), (340, 0)]
    footing = found(Outline.of([*straight, (340, 200), (240, 200)]))
    assert footing.locating is not None and footing.locating.hangs


@pytest.mark.parametrize("off", [0.6, 3.0, 15.0, 39.0])
def test_the_edge_of_a_tongue_is_found_however_far_off_the_rail(off):
    corners = [(200, -60), (280 - off, -60), (280 - off, -7), (287, 0), (340, 0), (340, 200), (200, 200)]
    assert found(Outline.of(corners)).locating.worst == pytest.approx(-off)


def test_plies_without_a_tongue_do_not_locate_a_leg_that_has_one():
    core = making.part("port leg inner", legged.leg_outline("tongue"), role="leg")
    forward = making.part("port leg outer", making.rectangle(283, 0, 340, 200), role="leg", face="forward")
    frame = making.frame([core, forward])
    inner, outer = footings(frame.legs[0], frame, making.rails(), 10.0)
    assert inner.locating.hangs
    assert outer.locating is None
    assert outer.bearing is not None
