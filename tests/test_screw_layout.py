"""The computed layout of screws: distances kept, both faces, mirror images, and what has no room."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from making import NO_8

from scrieve.model.proposals.screws.gusset_arms import arms_of
from scrieve.model.proposals.screws.screw_layout import MARGIN, ScrewLayout, Sheet, apart, screw_layout
from scrieve.shared.limits import Limits
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


@settings(max_examples=60)
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


def test_spacing_by_hand() -> None:
    """A board and gussets of 200 x 60 mm, No. 8: D = 4.166, apart 2.5 D + 0.5 = 10.914 mm.

    Free are 178.17 x 38.17 mm. Rows at a fifth and four fifths of that: 22.90 mm apart. A pitch of 10 D = 41.66 mm
    goes 178.17 / 41.66 = 4.28 times: 4 screws a face, the faces half a step apart, 178.17 / 3.5 = 50.91 mm.
    """
    plate = board("gusset", 200.0, 60.0)
    layout = screw_layout([board("floor", 200.0, 60.0)], [plate], [plate], size=NO_8)
    free, step = 200 - 2 * 10.914, (200 - 2 * 10.914) / 3.5
    forward = [p.at for p in layout.places if p.driven_from == "forward"]
    aft = [p.at for p in layout.places if p.driven_from == "aft"]
    assert forward == pytest.approx(np.array([(10.914 + n * step, 10.914 + 0.8 * 38.172) for n in range(4)]), abs=0.02)
    assert aft == pytest.approx(
        np.array([(10.914 + (n + 0.5) * step, 10.914 + 0.2 * 38.172) for n in range(4)]), abs=0.02
    )
    assert aft[-1][0] == pytest.approx(10.914 + free, abs=0.02)


def ell(length: float, width: float, turn: float = 0.0) -> tuple[Sheet, Sheet]:
    """A board of 600 x 600 and an L-shaped gusset in its corner, arms `length` long and `width` wide, turned."""
    arms = shapely.box(0, 0, length, width).union(shapely.box(0, 0, width, length))
    member, plate = shapely.box(0, 0, 600, 600), arms
    place = [np.cos(turn), -np.sin(turn), np.sin(turn), np.cos(turn), 200.0, 300.0]
    return tuple(
        Sheet(name=name, shape=shapely.affinity.affine_transform(shape, place))
        for name, shape in (("transom", member), ("gusset", plate))
    )  # type: ignore[return-value]


@pytest.mark.parametrize("turn", [0.0, 0.3, -1.1])
def test_an_l_on_one_board_gets_a_row_in_each_arm(turn: float) -> None:
    member, plate = ell(140.0, 50.0, turn)
    layout = screw_layout([member], [plate], (), size=NO_8)
    assert not layout.short
    clear(layout, [member, plate], NEED)
    back = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    at = (np.array([p.at for p in layout.places]) - (200.0, 300.0)) @ back
    level, upright = at[at[:, 0] > at[:, 1]], at[at[:, 1] > at[:, 0]]
    for arm, along, across in ((level, 0, 1), (upright, 1, 0)):
        assert len(arm) >= 2
        assert np.ptp(arm[:, across]) == pytest.approx(0.0, abs=1e-6)  # one straight row, along the arm
        steps = np.diff(np.sort(arm[:, along]))
        assert np.ptp(steps) == pytest.approx(0.0, abs=1e-6)
        assert arm[:, along].max() > 120.0  # to the end of the arm


def test_an_l_with_gussets_on_both_faces_gets_both_in_each_arm() -> None:
    member, plate = ell(160.0, 60.0)
    layout = screw_layout([member], [plate], [plate], size=NO_8)
    clear(layout, [member, plate], NEED)
    for face in ("forward", "aft"):
        at = np.array([p.at for p in layout.places if p.driven_from == face]) - (200.0, 300.0)
        assert min(np.sum(at[:, 0] > at[:, 1]), np.sum(at[:, 1] > at[:, 0])) >= 2


@pytest.mark.parametrize("shape", [shapely.box(0, 0, 140, 80), shapely.box(0, 0, 90, 90)])
def test_a_rectangle_in_a_corner_has_no_arms(shape: shapely.Polygon) -> None:
    member = shapely.box(0, 0, 600, 600)
    assert arms_of(shape, [member.boundary, shape.boundary]) == ()


def test_a_gusset_with_screws_gets_none_and_the_other_face_keeps_clear_of_them() -> None:
    member, plate, other = board("floor"), board("gusset, forward", 140.0), board("gusset, aft", 140.0)
    whole = screw_layout([member], [plate], [other], size=NO_8)
    aft = [p.at for p in whole.places if p.driven_from == "aft"]
    layout = screw_layout([member], [plate], [other], size=NO_8, standing=aft, screwed=["gusset, aft"])
    assert {p.driven_from for p in layout.places} == {"forward"}
    assert len(layout.places) >= 2
    at = np.array([p.at for p in layout.places])
    assert np.min(np.hypot(*(at[:, None, :] - np.array(aft)[None, :, :]).T)) >= NEED


def test_what_is_closed_is_kept_off() -> None:
    member, plate = board("floor"), board("gusset", 140.0)
    hole = shapely.box(40, 0, 100, 80)
    layout = screw_layout([member], [plate], (), size=NO_8, keep_off=hole)
    assert layout.places
    assert not any(hole.contains(shapely.Point(p.at)) for p in layout.places)


def test_limits_of_the_plan_count() -> None:
    member, plate = board("floor"), board("gusset", 140.0)
    limits = Limits({"screw_count": 4, "screw_edge_warning": 5.0})
    layout = screw_layout([member], [plate], (), size=NO_8, limits=limits)
    assert len(layout.places) >= 4
    clear(layout, [member, plate], 5.0 * NO_8.diameter)


def test_too_little_room_is_measured() -> None:
    """Wood 20 mm wide: one screw wants 2 x 10.91."""
    layout = screw_layout([board("floor", depth=20.0)], [board("gusset", 140.0, depth=20.0)], (), size=NO_8)
    (shortage,) = layout.short
    assert shortage.width == pytest.approx(20.0, abs=0.02)
    assert (shortage.got, shortage.wanted) == (0, 2)


@settings(max_examples=40)
@given(
    length=st.floats(70, 220),
    share=st.floats(0.3, 1.0),
    corner=st.floats(60, 120),
    turn=st.floats(-3.1, 3.1),
    both=st.booleans(),
)
def test_any_corner_gusset_keeps_its_distances_and_mirrors(
    length: float, share: float, corner: float, turn: float, both: bool
) -> None:
    """L-shaped gussets in a corner of any angle, of one board."""
    bend = np.radians(corner)
    arm, far = np.array([np.cos(bend), np.sin(bend)]), 900.0
    wood = shapely.Polygon([(0, 0), (far, 0), far * (np.array([1.0, 0.0]) + arm), far * arm])
    width = share * 0.6 * length
    edge = shapely.LineString([(length, 0), (0, 0), length * arm])
    plate = edge.buffer(width, cap_style="flat", join_style="mitre").intersection(wood)
    place = [np.cos(turn), -np.sin(turn), np.sin(turn), np.cos(turn), 1500.0, 300.0]
    layouts = []
    for sign in (1.0, -1.0):
        sheets = []
        for shape in (wood, plate):
            moved = shapely.affinity.affine_transform(shape, place)
            sheets.append(Sheet(name="s", shape=shapely.transform(moved, lambda points: points * (sign, 1.0))))  # noqa: B023  # used at once
        layout = screw_layout(sheets[:1], sheets[1:], sheets[1:] if both else (), size=NO_8)
        if len(layout.places) > 1:
            clear(layout, sheets, NEED)
        for face in ("forward", "aft") if both else ("forward",):
            count = sum(p.driven_from == face for p in layout.places)
            assert count >= 2 or any(s.driven_from == face and s.got == count for s in layout.short)
        layouts.append(layout)
    port, starboard = (np.array([p.at for p in layout.places]).reshape(-1, 2) for layout in layouts)
    np.testing.assert_allclose(port, starboard * (-1.0, 1.0), atol=1e-6)
