"""The computed layout of screws: distances kept, both faces, mirror images, and what has no room."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from making import NO_8

from scrieve.model.screw_layout import MARGIN, ScrewLayout, Sheet, apart, screw_layout
from scrieve.shared.screw_table import screw_of_gauge

NEED = 2.5 * NO_8.diameter  # NDS Commentary, Table C12.1.5.7, restated: edge distance, and rows staggered


def board(name: str, length: float = 300.0, depth: float = 80.0, left: float = 0.0) -> Sheet:
    """A level board from `left`, its lower edge at v = 0."""
    return Sheet(name=name, shape=shapely.box(left, 0.0, left + length, depth))


def clear(layout: ScrewLayout, sheets: list[Sheet], need: float) -> None:
    """Asserts that axes keep `need` from one another, and from every edge of the sheets they pass."""
    at = np.array([place.at for place in layout.places])
    gaps = np.hypot(*(at[:, None, :] - at[None, :, :]).T)
    assert np.min(gaps[~np.eye(len(at), dtype=bool)]) >= need
    for place in layout.places:
        for sheet in sheets:
            point = shapely.Point(place.at)
            if sheet.shape.intersects(point):
                assert sheet.shape.boundary.distance(point) >= need


def test_least_distance_is_that_of_the_published_table() -> None:
    # No. 8 prebored: 10.41 mm in the table of REFERENCE values, arithmetic from NDS Commentary C12.1.5.7
    assert apart(NO_8) == pytest.approx(10.41 + MARGIN, abs=0.01)


def test_two_faces_are_set_out_in_two_staggered_rows() -> None:
    member, plate = board("floor"), board("gusset", 140.0)
    layout = screw_layout([member], [plate], [plate], size=NO_8)
    assert not layout.short
    clear(layout, [member, plate], NEED)
    rows = {face: {round(p.at[1], 6) for p in layout.places if p.driven_from == face} for face in ("forward", "aft")}
    assert len(rows["forward"]) == len(rows["aft"]) == 1
    assert rows["forward"] != rows["aft"]
    forward = sorted(p.at[0] for p in layout.places if p.driven_from == "forward")
    aft = sorted(p.at[0] for p in layout.places if p.driven_from == "aft")
    assert len(forward) == len(aft) >= 2
    pitch = forward[1] - forward[0]
    assert aft[0] - forward[0] == pytest.approx(pitch / 2)
    assert pitch >= 10 * NO_8.diameter - 1e-9


def test_a_narrow_member_gets_one_row_by_turns() -> None:
    member, plate = board("floor", depth=26.0), board("gusset", 140.0, depth=26.0)
    layout = screw_layout([member], [plate], [plate], size=NO_8)
    assert not layout.short
    clear(layout, [member, plate], NEED)
    along = sorted(layout.places, key=lambda p: p.at[0])
    assert [p.driven_from for p in along] == ["forward", "aft"] * (len(along) // 2)


def test_a_joint_is_an_edge_of_both_members() -> None:
    left, right = board("floor", left=-150.0, length=150.0), board("side", left=0.0, length=150.0)
    plate = board("gusset", 200.0, left=-100.0)
    layout = screw_layout([left, right], [plate], [plate], size=NO_8)
    assert {p.member for p in layout.places} == {"floor", "side"}
    assert all(abs(p.at[0]) >= NEED for p in layout.places)
    clear(layout, [left, right, plate], NEED)


def test_an_edge_of_the_gusset_on_the_other_face_is_kept_clear_of() -> None:
    member, plate = board("floor"), board("forward gusset", 200.0)
    notched = Sheet(name="aft gusset", shape=plate.shape.difference(shapely.box(80, 30, 120, 50)))
    layout = screw_layout([member], [plate], [notched], size=NO_8)
    assert not layout.short
    clear(layout, [member, plate, notched], NEED)


def test_a_gusset_on_one_face_only_is_screwed_from_there() -> None:
    for face in ("forward", "aft"):
        plates = ([board("gusset", 140.0)], ()) if face == "forward" else ((), [board("gusset", 140.0)])
        layout = screw_layout([board("floor")], *plates, size=NO_8)
        assert {p.driven_from for p in layout.places} == {face}
        assert len(layout.places) >= 2
        assert not layout.short


@pytest.mark.parametrize(("depth", "fits"), [(2 * (NEED + MARGIN) + 0.1, True), (2 * (NEED + MARGIN) - 0.1, False)])
def test_no_room_is_said_not_squeezed(depth: float, fits: bool) -> None:
    layout = screw_layout([board("floor", depth=depth)], [board("gusset", 140.0, depth=depth)], (), size=NO_8)
    assert bool(layout.places) is fits
    assert bool(layout.short) is not fits
    for shortage in layout.short:
        assert (shortage.gusset, shortage.member, shortage.got, shortage.wanted) == ("gusset", "floor", 0, 2)


def test_nothing_where_no_gusset_lies_on_a_member() -> None:
    layout = screw_layout([board("floor")], [board("gusset", left=1000.0)], (), size=NO_8)
    assert layout == ScrewLayout(places=(), short=())


@settings(max_examples=60, deadline=None)
@given(
    angle=st.floats(-80, 80),
    depth=st.floats(24, 120),
    arm=st.floats(60, 200),
    gauge=st.sampled_from([4, 6, 8, 10]),
    cut=st.floats(0.0, 1.2),
)
def test_any_layout_keeps_its_distances_and_mirrors(
    angle: float, depth: float, arm: float, gauge: int, cut: float
) -> None:
    size = screw_of_gauge(gauge, 19.0)
    turn = np.radians(angle)
    matrix = [np.cos(turn), -np.sin(turn), np.sin(turn), np.cos(turn), 700.0, 300.0]

    def turned(shape: shapely.Polygon, sign: float) -> shapely.Polygon:
        moved = shapely.affinity.affine_transform(shape, matrix)
        return shapely.transform(moved, lambda points: points * (sign, 1.0))

    long = shapely.Polygon([(0, 0), (400, 0), (400, depth), (depth * cut, depth)])
    plate = long.intersection(shapely.box(-1, -1, depth * cut + arm, depth + 1))
    layouts = []
    for sign in (1.0, -1.0):
        member, gusset = Sheet(name="m", shape=turned(long, sign)), Sheet(name="g", shape=turned(plate, sign))
        layout = screw_layout([member], [gusset], [gusset], size=size)
        if len(layout.places) > 1:
            clear(layout, [member, gusset], 2.5 * size.diameter)
        for face in ("forward", "aft"):
            count = sum(p.driven_from == face for p in layout.places)
            assert count >= 2 or any(s.driven_from == face and s.got == count for s in layout.short)
        layouts.append(layout)
    port, starboard = (np.array([p.at for p in layout.places]).reshape(-1, 2) for layout in layouts)
    np.testing.assert_allclose(port, starboard * (-1.0, 1.0), atol=1e-6)
