"""Setting up: frames on to the rails, battens sprung or threaded in, and what stands in their way."""

from dataclasses import replace
from pathlib import Path

import making
import numpy as np
import pytest
from dismantling import batten_fouls, frame_fouls

from scrieve.model.assemble import assemble
from scrieve.model.checks.way_in import CHECK
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.placement import Placement
from scrieve.model.plan.plan_order import Before
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.relations.fouls.passing import battens_passing
from scrieve.model.sequence.lowering import StandingFrames
from scrieve.model.sequence.setting_up import setting_up
from scrieve.model.sequence.springing import bars_of, leaves_by, opening
from scrieve.model.sequence.steps import steps_of
from scrieve.model.sequence.straight_out import straight_out
from scrieve.shared.findings import Source

HULLS = Path(__file__).parents[1] / "hulls"
Y, Z = 300.0, 300.0  # middle of the batten, 32 x 20 mm, in boards from 0 to 600 and 0 to 400


def board(number, station, *, mouth=32.0, lip=10.0, top=True, side=1, notch=True, high=400.0, more=(), rake=0.0):
    """A board 18 mm thick with a notch for the batten from its top, its mouth so wide; closed where `top` is False.

    The notch is a tenth wider than the batten on every side; the lips begin `lip` mm above the batten.
    """
    left, right, low, roof = Y - 16.1, Y + 16.1, Z - 10.1, Z + 10.1 + lip
    points = [(0, 0), (600, 0), (600, high)]
    hole = [(left, low), (right, low), (right, roof), (left, roof)]
    if notch and top:
        points += [(Y + mouth / 2 + 0.1, high), (Y + mouth / 2 + 0.1, roof), (right, roof), (right, low), (left, low),
                   (left, roof), (Y - mouth / 2 - 0.1, roof), (Y - mouth / 2 - 0.1, high)]  # fmt: skip
    outline = Outline.of([*points, (0, high)])
    shaped = making.part("board", outline if side > 0 else outline.mirrored(), frame=number)
    if notch and not top:
        inner = Outline.of(hole) if side > 0 else Outline.of(hole).mirrored()
        shaped = replace(shaped, holes=(inner,), shape=shaped.shape.difference(inner.polygon()))
    parts = [shaped, *(replace(p, name=f"F{number} {p.label}", frame=number) for p in more)]
    return making.frame(parts, number=number, station=station, rake=rake)


def batten(numbers, stations, name="port sheer", *, y=Y, z=Z, side=1, **more):
    sections = [making.section(name, (side * y, z), frame=number) for number in numbers]
    placements = [Placement(station=station) for station in stations]
    return making.batten(name, sections, placements, **{"arris": 0.0, **more})


STATIONS = {"1": 0.0, "2": 600.0, "3": 1200.0, "4": 1800.0, "5": 2400.0}


def boat(*, through="12345", closed=(), lips=(), side=1, battens=None, order=(), shift=0.0, **more):
    """Five boards; the batten passes those of `through`, the rest have no notch for it."""
    frames = [
        board(
            number,
            station + shift,
            side=side,
            notch=number in through,
            top=number not in closed,
            mouth=22.0 if number in lips else 32.0,
            **more,
        )
        for number, station in STATIONS.items()
    ]
    if battens is None:
        battens = [batten(through, [STATIONS[n] + shift for n in through], side=side)]
    wishes = tuple(Before(first=a, then=b, source=Source(file="plan.toml", line=9)) for a, b in order)
    return replace(making.assembly(frames, battens=battens), order=wishes)


def findings(assembly):
    return list(CHECK.run(assembly))


def setting(assembly):
    return setting_up(assembly, assembly.wanted_in(None))


# ---- the demonstration boats


@pytest.mark.parametrize("hull", ["pram", "skiff"])
def test_every_demonstration_boat_comes_apart_again_without_a_foul(hull):
    assembly = assemble(read_plan(HULLS / hull))
    order = setting(assembly)
    assert not order.trapped
    assert [frame for frame, _ in order.frames] == list(assembly.frames)
    assert {each.batten for each in order.battens} == set(assembly.battens)
    assert {way.how for _, way in order.frames} == {"lower"}
    assert {each.way.how for each in order.battens} == {"spring"}
    assert frame_fouls(assembly, order) == []
    # a batten rubs along the walls of its notch by no more than notch-foul allows, and lips would be deeper
    assert [foul for foul in batten_fouls(assembly, order) if foul[3] > 0.2] == []
    for each in order.battens:
        assert len(each.notches) == len(assembly.frames)
        outside = each.batten.centres.mean(axis=0)[1]
        assert each.way.toward[2] > 0  # chine, sheer and keel come in from below or beside
        assert each.way.toward[1] * np.sign(round(outside)) <= 0  # towards the centreline


# ---- battens


def test_a_batten_is_sprung_into_open_notches_from_where_they_are_open():
    (sprung,) = setting(boat()).battens
    assert sprung.way.how == "spring"
    assert sprung.way.toward == pytest.approx((0.0, 0.0, -1.0), abs=1e-9)
    assert [frame.number for frame, _ in sprung.notches] == list("12345")
    assert batten_fouls(boat(), setting(boat())) == []


def test_a_notch_with_lips_wants_the_batten_threaded_and_the_others_are_sprung():
    assembly = boat(lips="4")
    (sprung,) = setting(assembly).battens
    assert sprung.way.how == "thread"
    assert sprung.way.toward == pytest.approx((-1.0, 0.0, 0.0))  # from forward, the end nearer to frame 4
    assert [way.how for _, way in sprung.notches] == ["spring", "spring", "spring", "thread", "spring"]
    assert findings(assembly) == []
    assert setting(boat(lips="2")).battens[0].way.toward == pytest.approx((1.0, 0.0, 0.0))


@pytest.mark.parametrize("closed", ["3", "12345", "15"])
def test_a_closed_hole_wants_it_threaded(closed):
    (sprung,) = setting(boat(closed=closed)).battens
    assert sprung.way.how == "thread"
    assert {frame.number for frame, way in sprung.notches if way.how == "thread"} == set(closed)


def test_closed_holes_between_two_frames_that_stand_trap_it_and_the_plan_can_order_it_earlier():
    shut = boat(through="234", closed="3")
    (finding,) = findings(shut)
    assert finding.parts == ("F1", "F3 board", "F5", "port sheer")
    assert finding.frame == "3"
    assert finding.at[0] == pytest.approx(1209.0)
    assert finding.message == (
        "the port sheer can neither be sprung into its notches, which F3 board shuts, "
        "nor threaded in endwise past F1 and F5"
    )
    assert finding.cure == (
        "open the notch in F3 board up, 32.0 mm wide, or have it go in before F1 stands ([[order]] in the plan)"
    )
    eased = boat(through="234", closed="3", order=[("port sheer", "F5")])
    order = setting(eased)
    assert findings(eased) == []
    assert order.order == ("F1", "F2", "F3", "F4", "port sheer", "F5")
    assert order.battens[0].way.how == "thread"
    assert order.battens[0].way.toward == pytest.approx((-1.0, 0.0, 0.0))


@pytest.mark.parametrize(("closed", "end", "laid"), [("4", 1, "23"), ("2", -1, "34"), ("34", 1, "2")])
def test_closed_holes_at_one_end_take_a_batten_that_is_laid_in_beside_its_place_and_slid(closed, end, laid):
    """Boards 18 mm thick, those that are closed at 1800 and, with 34, 1200: it has to clear 18 or 618 mm."""
    assembly = boat(through="234", closed=closed)
    if closed == "34":  # room abaft it
        assembly = replace(assembly, frames=(board("1", -100.0, notch=False), *assembly.frames[1:]))
    assert findings(assembly) == []
    (sprung,) = setting(assembly).battens
    assert (sprung.way.how, sprung.way.toward) == ("slide", pytest.approx((end, 0.0, 0.0)))
    assert sprung.way.reach == pytest.approx(18.0 if len(closed) == 1 else 618.0)
    hows = {frame.number: way.how for frame, way in sprung.notches}
    assert hows == {n: "spring" if n in laid else "thread" for n in "234"}
    (step,) = (step for step in steps_of(assembly) if step.title.startswith("Lay the port sheer in "))
    assert step.title.endswith(f"of its place and slide it {'forward' if end > 0 else 'aft'}")
    assert batten_fouls(assembly, setting(assembly)) == []


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("room", "found"), [(17.0, 1), (19.0, 0)])
def test_past_its_other_end_it_needs_as_much_room_as_it_slides(room, found, side):
    """F1, 18 mm thick, stands in line abaft F2 at 600."""
    assembly = boat(through="234", closed="4", side=side)
    first = board("1", 600.0 - room - 18.0, notch=False, side=side)
    assert len(findings(replace(assembly, frames=(first, *assembly.frames[1:])))) == found


def test_a_frame_that_leans_over_the_place_where_it_is_laid_in_wants_more_room():
    closed = board("4", 1800.0, top=False, rake=0.3)  # its top leans aft
    assembly = boat(through="234")
    leaning = replace(assembly, frames=(*assembly.frames[:3], closed, assembly.frames[4]))
    (sprung,) = setting(leaning).battens
    assert sprung.way.how == "slide"
    assert sprung.way.reach > 400.0 * np.sin(0.3)
    close = board("1", 600.0 - 18.0 - 60.0, notch=False)
    assert len(findings(replace(leaning, frames=(close, *leaning.frames[1:])))) == 1


def test_lips_between_two_frames_that_stand_are_to_be_taken_off():
    (finding,) = findings(boat(through="234", lips="3"))
    assert finding.cure.startswith("take 4.9 mm off F3 board at y 28")
    assert finding.cure.count("take 4.9 mm off F3 board") == 2
    assert findings(boat(through="234")) == []


@pytest.mark.parametrize(("mouth", "found"), [(31.3, 0), (30.8, 0), (30.5, 1)])
def test_a_mouth_counts_as_shut_from_half_a_millimetre_a_side_on(mouth, found):
    """With 0.1 mm of play a side the mouth stands 0.25, 0.5 or 0.65 mm in."""
    assembly = boat(through="234")
    narrow = board("3", 1200.0, mouth=mouth)
    frames = tuple(narrow if frame.number == "3" else frame for frame in assembly.frames)
    assert len(findings(replace(assembly, frames=frames))) == found


def test_a_lip_on_one_side_is_passed_by_the_room_on_the_other():
    """A lip of 1.5 mm, and 1.6 mm of room to shift the batten to the other side before it leaves."""
    wide = Outline.of([(0, 0), (600, 0), (600, 400), (314.6, 400), (314.6, 320), (316.1, 320), (316.1, 289.9),
                       (282.4, 289.9), (282.4, 400), (0, 400)])  # fmt: skip
    tight = Outline.of([(284.0 if y == 282.4 else y, v) for y, v in wide.points])
    for outline, found in ((wide, 0), (tight, 1)):
        assembly = boat(through="234")
        part = making.part("board", outline, frame="3")
        frames = tuple(
            making.frame([part], number="3", station=1200.0) if frame.number == "3" else frame
            for frame in assembly.frames
        )
        assert len(findings(replace(assembly, frames=frames))) == found


def test_a_frame_leg_over_a_batten_shuts_its_mouth():
    cover = making.part("port leg inner", making.rectangle(250, 400, 350, 700), role="leg")
    outer = making.part("port leg outer", making.rectangle(250, 350, 350, 700), role="leg", face="forward")
    over = (cover, outer)
    (sprung,) = setting(boat(more=over)).battens
    assert sprung.way.how == "thread"
    (finding,) = findings(boat(through="234", more=over))
    assert {"F2 port leg inner", "F3 port leg outer", "F4 port leg inner"} <= set(finding.parts)


def test_a_batten_behind_another_goes_in_first():
    above = batten("12345", STATIONS.values(), "port carlin", z=Z + 24)
    inner = batten("12345", STATIONS.values(), "port sheer")
    order = setting(boat(battens=[above, inner]))
    assert [each.batten.name for each in order.battens] == ["port sheer", "port carlin"]
    # with the wish the other way about the inner one can only be threaded under the outer one
    wish = boat(battens=[above, inner], order=[("port carlin", "port sheer")])
    late = setting(wish)
    assert late.order[-2:] == ("port carlin", "port sheer")
    assert [each.way.how for each in late.battens] == ["spring", "thread"]
    assert batten_fouls(wish, order) == []


def test_two_battens_that_bar_one_another_at_different_frames_are_threaded():
    """They change places on their way: each lies over the other somewhere."""
    names = ("port carlin", "port sheer")
    heights = ([Z, Z, Z + 12, Z + 24, Z + 24], [Z + 24, Z + 24, Z + 12, Z, Z])
    rows = []
    for name, high in zip(names, heights, strict=True):
        sections = [making.section(name, (Y, z), frame=n) for n, z in zip(STATIONS, high, strict=True) if n != "3"]
        places = [Placement(station=s) for n, s in STATIONS.items() if n != "3"]
        rows.append(making.batten(name, sections, places, arris=0.0))
    order = setting(boat(through="1245", battens=rows))
    assert {each.way.how for each in order.battens} == {"spring", "thread"}
    assert not order.trapped


def test_a_batten_over_a_frame_without_a_notch_follows_its_neighbours():
    """Notched into the tops of four boards; the third is far below it, and leaves it free to any side but down."""
    frames = [board(n, x) for n, x in STATIONS.items() if n != "3"]
    low = making.frame([making.part("sill", making.rectangle(0, 0, 600, 100), frame="3")], number="3", station=1200.0)
    assembly = making.assembly([*frames, low], battens=[batten("1245", [0.0, 600.0, 1800.0, 2400.0])])
    (sprung,) = setting(assembly).battens
    assert sprung.way.how == "spring"
    assert {way.toward for _, way in sprung.notches} == {(0.0, 0.0, -1.0)}
    assert len(sprung.notches) == 5


def test_notches_open_to_opposite_sides_do_not_let_it_in_from_one():
    down = making.part("board", Outline.of([(y, 600 - v) for y, v in board("3", 0.0).parts[0].drawn.points[::-1]]),
                       frame="3")  # fmt: skip
    frames = tuple(
        making.frame([down], number="3", station=1200.0) if frame.number == "3" else frame for frame in boat().frames
    )
    (sprung,) = setting(replace(boat(), frames=frames)).battens
    assert sprung.way.how == "thread"


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("shift", [0.0, 5000.0])
def test_the_same_comes_out_to_starboard_and_further_forward(side, shift):
    assembly = boat(through="234", lips="3", side=side, shift=shift)
    (finding,) = findings(assembly)
    assert finding.at[0] == pytest.approx(1209.0 + shift)
    assert abs(finding.at[1] - side * Y) == pytest.approx(13.5, abs=0.6)
    assert finding.cure.count("take 4.9 mm off F3 board") == 2
    (sprung,) = setting(boat(lips="4", side=side, shift=shift)).battens
    assert sprung.way.toward == pytest.approx((-1.0, 0.0, 0.0))


def test_what_notch_foul_or_notch_missing_speaks_of_is_left_to_them():
    # the batten bites 3 mm into the floor of its notches, and one board has no notch at all
    sunk = batten("12345", STATIONS.values(), z=Z - 3)
    assert findings(boat(battens=[sunk])) == []
    bare = boat(through="1245", battens=[batten("1245", [STATIONS[n] for n in "1245"])])
    assert findings(bare) == []


@pytest.mark.parametrize("hull", ["pram", "skiff"])
def test_what_leaves_straight_out_of_its_notch_is_found_free_the_long_way_too(hull):
    assembly = assemble(read_plan(HULLS / hull))
    crossings = [c for frame in assembly.frames for c in battens_passing(frame, assembly)]
    easy = straight_out(crossings, assembly.strongback)
    assert set(easy) == set(crossings)
    for crossing in crossings[::4]:
        bars = bars_of(crossing.frame, crossing, assembly.strongback)
        found = opening(crossing, bars)
        assert found is not None
        assert found.way == pytest.approx(easy[crossing].way)
        assert found.reach == pytest.approx(easy[crossing].reach)
        assert leaves_by(crossing, bars, easy[crossing])
        inwards = easy[crossing]._replace(way=(-found.way[0], -found.way[1]))
        assert not leaves_by(crossing, bars, inwards)


def test_a_batten_over_a_rail_is_put_in_from_between_the_two():
    """Its notch opens down on to the rail 100 mm below: from there it comes from the side."""
    mouth = [(284, 100), (284, 120.5), (316, 120.5), (316, 100)]
    board_above = Outline.of([(0, 100), *mouth, (600, 100), (600, 400), (0, 400)])
    frames = [
        making.frame([making.part("board", board_above, frame=n)], number=n, station=x) for n, x in STATIONS.items()
    ]
    low = batten("12345", STATIONS.values(), z=110.0)
    assembly = making.assembly(frames, battens=[low], strongback=making.rails())
    (sprung,) = setting(assembly).battens
    assert sprung.way.how == "spring"
    assert sprung.way.toward == pytest.approx((0.0, 0.0, 1.0), abs=1e-9)
    assert sprung.way.reach < 100  # above the rail, which it would meet after 100 mm
    assert batten_fouls(assembly, setting(assembly)) == []


# ---- frames

PLATE = making.rectangle(-200, 150, 200, 700)
LOW = making.rectangle(-200, 50, 200, 300)


def stand(number, station, outline=PLATE, rake=0.0, *more):
    return making.frame([making.part("board", outline, frame=number), *more], number=number, station=station, rake=rake)


def test_frames_are_lowered_on_to_the_rails_from_aft_forward():
    for build, down in (("upright", -1.0), ("inverted", 1.0)):
        outline = PLATE if build == "upright" else Outline.of(PLATE.points * (1, -1))
        frames = [stand(str(n), 600.0 * n, outline) for n in range(4)]
        assembly = making.assembly(frames, strongback=making.rails(build=build), build=build)
        order = setting(assembly)
        assert [frame.number for frame, _ in order.frames] == ["0", "1", "2", "3"]
        assert {way.toward for _, way in order.frames} == {(0.0, 0.0, down)}
        assert frame_fouls(assembly, order) == []


def test_a_low_frame_between_two_that_lean_over_it_goes_on_first():
    """F2 is trapped by its two neighbours once they stand: lowered straight it meets both. F1 leans over F3 too."""
    frames = [
        stand("1", 600.0, PLATE, -0.3),
        stand("2", 800.0, LOW),
        stand("3", 1050.0, making.rectangle(-200, 150, 200, 500), 0.5),
    ]
    assembly = making.assembly(frames, strongback=making.rails())
    standing = StandingFrames(assembly)
    assert standing.way(1, [0, 2], along_rails=False) is None
    assert standing.holders(1, [0, 2]) == [0, 2]
    order = setting(assembly)
    assert not order.trapped
    assert [frame.number for frame, _ in order.frames] == ["2", "3", "1"]
    assert {way.how for _, way in order.frames} == {"lower"}
    assert frame_fouls(assembly, order) == []


def test_a_frame_under_another_is_slid_in_along_the_rails_if_the_plan_wants_it_last():
    assembly = making.assembly([stand("1", 600.0, PLATE, -0.4), stand("2", 800.0, LOW)], strongback=making.rails())
    assert [frame.number for frame, _ in setting(assembly).frames] == ["2", "1"]
    order = setting_up(assembly, (("F1", "F2"),))
    assert [(frame.number, way.how) for frame, way in order.frames] == [("1", "lower"), ("2", "slide")]
    assert order.frames[1][1].toward == (-1.0, 0.0, 0.0)
    assert frame_fouls(assembly, order) == []


HOOKED_FOOT = Outline.of(
    [(240, -160), (300, -160), (300, -146), (279, -146), (279, 0), (340, 0), (340, 200), (240, 200)]
)


def test_a_leg_hooked_under_a_rail_wants_its_frame_slid_along_from_an_end():
    def hooked(number, station):
        foot = making.part("port leg", HOOKED_FOOT, role="leg", frame=number)
        return stand(number, station, making.rectangle(-400, 200, 400, 300), 0.0, foot)

    frames = [stand("1", 0.0), hooked("2", 600.0), stand("3", 1200.0)]
    assembly = making.assembly(frames, strongback=making.rails())
    order = setting(assembly)
    ways = {frame.number: way for frame, way in order.frames}
    assert ways["2"].how == "slide"
    assert not order.trapped
    assert frame_fouls(assembly, order) == []
    assert [frame.number for frame, _ in order.frames] == ["1", "2", "3"]
    assert ways["2"].toward == (-1.0, 0.0, 0.0)


@pytest.mark.parametrize(("reach", "how"), [(-146.0, "slide"), (-145.4, "lower")])
def test_a_foot_that_ends_within_half_a_millimetre_of_the_rails_underside_is_no_hook(reach, how):
    foot = Outline.of([(240, reach), (300, reach), (300, reach + 0.2), (279, reach + 0.2), (279, 0), (340, 0),
                       (340, 200), (240, 200)])  # fmt: skip
    part = making.part("port leg", foot, role="leg", frame="2")
    frames = [stand("2", 600.0, making.rectangle(-400, 200, 400, 300), 0.0, part)]
    order = setting(making.assembly(frames, strongback=making.rails()))
    assert order.frames[0][1].how == how


def test_a_boat_of_nothing_is_set_up_in_no_steps():
    order = setting(making.assembly([]))
    assert order.order == ()
    assert order.trapped == ()


def test_frames_without_parts_and_battens_without_notches_have_an_order_too():
    bare = [making.frame([], number=str(n), station=600.0 * n) for n in range(3)]
    rib = batten("02", [0.0, 1200.0])
    assembly = making.assembly([*bare, stand("3", 1800.0)], battens=[rib], strongback=making.rails())
    order = setting(assembly)
    assert order.order == ("F0", "F1", "F2", "F3", "port sheer")
    assert order.battens[0].way.toward == (0.0, -1.0, 0.0)
    assert findings(assembly) == []
    early = setting_up(assembly, (("port sheer", "F0"),))
    assert early.order[:2] == ("port sheer", "F0")
