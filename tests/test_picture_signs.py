"""What is drawn of a finding besides its bodies: asserted on what stands in the plotter, and on the model's numbers."""

from __future__ import annotations

from dataclasses import replace

import dowelled
import making
import numpy as np
import pytest
import shapely
from picture_making import boat, finding_of, frame_named, strong, without_screen

from scrieve.model.checks import CHECKS
from scrieve.model.checks.dowel_hold import still_free
from scrieve.model.relations.fouls.passing import battens_passing
from scrieve.model.relations.joints.outer_line import closed
from scrieve.model.relations.notches.corner_wood import corner_wood
from scrieve.model.sequence.setting_up import setting_up
from scrieve.shared.findings import Finding, Level
from scrieve.viewer.marks.colours import STRONG
from scrieve.viewer.pictures.closing_in import closing_in
from scrieve.viewer.pictures.studio import Studio
from scrieve.viewer.pictures.subject import Subject
from scrieve.viewer.scene.arrows import Arrows
from scrieve.viewer.scene.bodies import bodies_of
from scrieve.viewer.scene.close_up import CloseUp, close_up
from scrieve.viewer.scene.sharing import solid
from scrieve.viewer.scene.sides import SIDES, View, view_from
from scrieve.viewer.scene.signpost import Signpost

FAULTY = "skiff-with-faults"
SMALL = (480, 300)
R = 5.0


@pytest.fixture(autouse=True)
def no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything here is rendered without a screen."""
    without_screen(monkeypatch)


def close_to(check: str, *, which: int = 0) -> tuple[Finding, CloseUp]:
    subject = boat(FAULTY)
    finding = [each for each in subject.findings if each.check == check][which]
    return finding, close_up(finding, bodies_of(subject.assembly), subject.assembly, 1.6)


def drawn_arrows(close: CloseUp, bodies) -> list[tuple[np.ndarray, np.ndarray]]:
    """Tail and tip of each arrow as it stands in the plotter: of the coloured ones, which lie on the paper ones."""
    with Studio(bodies, SMALL) as studio:
        studio.stand(["shown"] * len(bodies))
        studio.signpost.show(close.signs)
        studio.taken(close.view)
        mesh = studio.scene.plotter.actors["sign arrows"].mapper.dataset
        each = np.array(mesh.points).reshape(2 * len(close.signs.arrows), -1, 3)[len(close.signs.arrows) :]
        rgb = mesh.cell_data["colour"][-1]
    assert tuple(rgb) == tuple(int(STRONG[n : n + 2], 16) for n in (1, 3, 5))
    return [(points[:2].mean(axis=0), points[-1]) for points in each]


def unit(vector) -> np.ndarray:
    return np.asarray(vector) / np.linalg.norm(vector)


# ---- how a part is still free


def test_an_arrow_at_a_loose_part_goes_the_way_that_it_slides():
    subject = boat(FAULTY)
    finding, close = close_to("dowel-hold")
    own = frame_named(subject.assembly, finding.frame)
    ((part, motion),) = (pair for free in still_free(own, subject.assembly) for pair in free.items())
    assert (part.name,) == finding.parts
    slide = own.placement.vector_to_hull([(*motion.slide, 0.0)])[0]
    ((tail, tip),) = drawn_arrows(close, bodies_of(subject.assembly))
    assert unit(tip - tail) == pytest.approx(slide, abs=1e-6)
    y, v, _ = own.placement.to_frame([tail])[0]
    assert part.shape.contains(shapely.Point(y, v))
    assert {"F4 dowel 1"} <= set(close.signs.also)  # what is to hold it is seen as well


def loose(parts=None, *, at) -> tuple[Finding, CloseUp, object]:
    """The close-up of the one finding of `dowel-hold` in a frame of these parts and dowels."""
    own = making.assembly([dowelled.frame(parts, at=list(at))])
    (finding,) = CHECKS["dowel-hold"].run(own)
    return finding, close_up(finding, bodies_of(own), own, 1.6), own


def test_one_that_slides_both_ways_has_two_arrows():
    at = dowelled.places(without=["port below, in", "port below, out", "port above"]).values()
    _, close, own = loose(at=at)
    first, second = (unit(tip - tail) for tail, tip in drawn_arrows(close, bodies_of(own)))
    assert first == pytest.approx(-second, abs=1e-6)
    assert abs(first[2]) == pytest.approx(1.0, abs=1e-6)


def test_one_with_nothing_about_it_has_four():
    far = making.part("spare", making.rectangle(1000, 0, 1100, 100))
    _, close, own = loose([*dowelled.boards(), far], at=dowelled.places().values())
    ways = [tuple(np.round(unit(tip - tail), 6) + 0.0) for tail, tip in drawn_arrows(close, bodies_of(own))]
    assert set(ways) == {(0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)}


def test_one_that_turns_has_a_bent_arrow_from_its_corner_about_the_centre():
    alone = making.part("plate", making.rectangle(1000, 0, 1300, 100))
    round_it = [(1150, -R), (1150, 100 + R), (1000 - R, 50), (1300 + R, 50)]
    _, close, own = loose([*dowelled.boards(), alone], at=[*dowelled.places().values(), *round_it])
    (motion,) = (motion for free in still_free(own.frames[0], own) for motion in free.values())
    (path,) = close.signs.arrows
    flat = own.frames[0].placement.to_frame(path)[:, :2]
    arms = flat - motion.centre
    assert motion.centre == pytest.approx((1150.0, 50.0))
    assert np.hypot(*arms.T) == pytest.approx(np.hypot(150.0, 50.0))
    assert flat[0] == pytest.approx(motion.corner)
    assert unit(flat[1] - flat[0]) @ motion.slide > 0.99
    turn = np.degrees(np.arccos(unit(arms[0]) @ unit(arms[-1])))
    assert 10.0 < turn < 51.0
    ((tail, tip),) = drawn_arrows(close, bodies_of(own))
    assert (tail, tip) == (pytest.approx(path[0], abs=1e-3), pytest.approx(path[-1], abs=1e-3))


def test_nothing_is_drawn_of_a_part_that_is_held():
    subject = boat("skiff")
    held = Finding(
        check="dowel-hold", level=Level.ERROR, message="", frame="4", parts=("F4 port side",), at=(2106.0, 620.0, 631.0)
    )
    close = close_up(held, bodies_of(subject.assembly), subject.assembly, 1.6)
    assert close.signs.arrows == ()


@pytest.mark.parametrize("which", [0, 1])
def test_a_barred_way_in_has_its_arrow_up_to_what_bars_it(which):
    subject = boat(FAULTY)
    finding, close = close_to("way-in", which=which)
    told = setting_up(subject.assembly, subject.assembly.wanted_in(None)).trapped
    trapped = next(each for each in told if each.at == finding.at)
    ((tail, tip),) = drawn_arrows(close, bodies_of(subject.assembly))
    assert unit(tip - tail) == pytest.approx(trapped.toward, abs=1e-6)
    assert "up" in finding.cure and trapped.toward == pytest.approx((0.0, 0.0, -1.0), abs=0.3)
    assert tip == pytest.approx(finding.at, abs=1e-3)


# ---- screws


def test_a_driver_without_room_stands_on_the_axis_of_its_screw_and_is_solid_where_it_fouls():
    subject = boat(FAULTY)
    limits = subject.assembly.limits
    finding, close = close_to("driver")
    own = frame_named(subject.assembly, finding.frame)
    screw = next(screw for screw in own.screws if screw.name in finding.parts)
    part = next(part for part in own.parts if part.name in finding.parts)
    with Studio(bodies_of(subject.assembly), SMALL) as studio:
        studio.signpost.show(close.signs)
        actor = studio.scene.plotter.actors["sign ghosts"]
        assert actor.prop.opacity < 0.5 and actor.prop.color.hex_rgb == STRONG
        points = own.placement.to_frame(np.array(actor.mapper.dataset.points))
    off = points[:, :2] - screw.at
    assert 2 * np.hypot(*off.T) == pytest.approx(limits["driver_width"])
    out = (points[:, 2] - screw.head) * (1.0 if screw.driven_from == "forward" else -1.0)
    assert (out.min(), out.max()) == (pytest.approx(0.0, abs=1e-9), pytest.approx(limits["driver_length"]))
    # what both fill: a segment of the circle, as high as the part stands over the head
    clear = limits["driver_width"] / 2 - finding.measured / 2
    circle = shapely.Point(screw.at).buffer(limits["driver_width"] / 2, quad_segs=200)
    segment = shapely.intersection(circle, part.shape).area
    assert solid(close.shared).volume() == pytest.approx(segment * (part.high - screw.head), rel=0.05)
    assert 0.0 < clear < 1.0
    assert np.linalg.norm(np.subtract(*close.gap)) == pytest.approx(finding.measured) and close.measures
    middle = own.placement.to_frame([np.mean(close.gap, axis=0)])[0]
    assert middle[:2] == pytest.approx(screw.at)


@pytest.mark.parametrize("ahead", [40.0, 100.0])
def test_what_is_clear_ahead_of_a_head_is_measured_along_the_axis(ahead):
    side = making.part("side", making.rectangle(0, 0, 200, 200))
    plate = making.part("plate", making.rectangle(50, 50, 150, 150), face="forward", thickness=9.0)
    shelf = replace(making.part("shelf", making.rectangle(90, 0, 200, 200)), low=27.0 + ahead, high=40.0 + ahead)
    screw = making.screw([side, plate], (100.0, 100.0))
    made = making.assembly([making.frame([side, plate, shelf], screws=[screw])])
    (finding,) = CHECKS["driver"].run(made)
    close = close_up(finding, bodies_of(made), made, 1.6)
    assert close.measures and finding.measured == pytest.approx(ahead)
    ends = made.frames[0].placement.to_frame(close.gap)
    assert ends == pytest.approx(np.array([(100.0, 100.0, 27.0), (100.0, 100.0, 27.0 + ahead)]))
    depth = min(13.0, 120.0 - ahead)
    assert solid(close.shared).volume() == pytest.approx(np.pi * 36.0 * depth, rel=0.01)


def test_two_screws_that_meet_are_seen_square_to_the_plane_of_their_axes_through_faint_wood():
    subject = boat(FAULTY)
    finding, close = close_to("screw-foul")
    own = frame_named(subject.assembly, finding.frame)
    normal = own.placement.vector_to_hull([(0.0, 0.0, 1.0)])[0]
    across = unit(np.subtract(*close.gap))
    assert np.linalg.norm(np.subtract(*close.gap)) == pytest.approx(finding.measured, abs=0.02)
    back = close.view.axes()[2]
    assert abs(back @ across) < 1e-6 and abs(back @ normal) < 1e-6
    screws = [screw for screw in own.screws if screw.name in finding.parts]
    assert len(close.signs.strokes) == len(screws) == 2
    for screw in screws:
        planes = [own.placement.to_frame(stroke) for stroke in close.signs.strokes]
        plane = min(planes, key=lambda line: np.hypot(*(line[0, :2] - screw.at)))
        assert plane[:, :2] == pytest.approx(np.array([screw.at, screw.at]))
        assert plane[0, 2] < screw.low and plane[1, 2] > screw.high
    assert close.signs.faint and not close_to("screw-edge")[1].signs.faint


@pytest.mark.parametrize("which", [0, 1, 3])
def test_the_wood_that_a_screw_wants_is_a_circle_about_its_axis(which):
    subject = boat(FAULTY)
    finding, close = close_to("screw-edge", which=which)
    own = frame_named(subject.assembly, finding.frame)
    screw = next(screw for screw in own.screws if screw.name in finding.parts)
    rim = own.placement.to_frame(close.signs.strokes[0])[:, :2]
    assert np.hypot(*(rim - screw.at).T) == pytest.approx(finding.limit)
    part = next(part for part in own.parts if part.name in finding.parts)
    assert not part.shape.contains(shapely.Polygon(rim))
    assert np.linalg.norm(np.subtract(*close.gap)) == pytest.approx(finding.measured, abs=0.02)


def test_where_there_are_too_few_screws_those_there_are_are_seen():
    finding, close = close_to("screw-count")
    assert len(close.signs.also) == finding.measured


# ---- shapes and places


def test_holes_that_meet_on_the_board_are_seen_in_one_plane():
    subject = boat(FAULTY)
    finding, close = close_to("board")
    own = frame_named(subject.assembly, finding.frame)
    dowels = {d.name: d for frame in subject.assembly.frames for d in frame.dowels if d.name in finding.parts}
    (points, *_), *more = close.signs.ghosts
    other = next(dowel for dowel in dowels.values() if dowel.frame != finding.frame)
    assert not more
    assert own.placement.to_frame(points)[:, :2].mean(axis=0) == pytest.approx(other.at, abs=1e-6)
    discs = [shapely.Point(d.at).buffer(d.diameter / 2, quad_segs=24) for d in dowels.values()]
    lens = shapely.intersection(*discs).area * own.core_thickness
    assert solid(close.shared).volume() == pytest.approx(lens, rel=1e-6)
    assert {words for words, _ in close.signs.words} == set(finding.parts)


def test_a_batten_that_is_not_fair_has_an_arrow_to_where_it_would_be():
    subject = boat(FAULTY)
    finding, close = close_to("fair")
    own = frame_named(subject.assembly, finding.frame)
    tail, tip = close.signs.arrows[0]
    (y, v), (to_y, to_v) = dowelled.places_in(finding.cure.replace("from y", "y"))
    moved = own.placement.to_frame([tip])[0] - own.placement.to_frame([tail])[0]
    assert moved[:2] == pytest.approx((to_y - y, to_v - v), abs=0.1)
    crossing = next(c for c in battens_passing(own, subject.assembly) if c.batten.name in finding.parts)
    there = shapely.Polygon(own.placement.to_frame(close.signs.strokes[0])[:, :2])
    here = crossing.passage(own.core_low, own.core_high)
    assert there.area == pytest.approx(here.area)
    gone = np.subtract(there.centroid.coords[0], here.centroid.coords[0])
    assert np.hypot(*gone) == pytest.approx(finding.measured, abs=0.01)


def test_a_leg_has_an_arrow_to_the_rail():
    subject = boat(FAULTY)
    for check, axis, wanted in (
        ("leg-bottom", 2, 0.0),
        ("leg-side", 1, subject.assembly.strongback.inside_width / 2),
    ):
        finding, close = close_to(check)
        ((tail, tip),) = drawn_arrows(close, bodies_of(subject.assembly))
        assert abs(tip[axis]) == pytest.approx(wanted, abs=1e-3)
        assert unit(tip - tail)[axis] == pytest.approx(1.0, abs=1e-4)  # out of the rail, and out to it
        assert np.linalg.norm(np.subtract(*close.signs.arrows[0])) == pytest.approx(finding.measured, abs=0.02)


def test_what_has_no_twin_has_a_ghost_where_that_should_be():
    bodies = bodies_of(boat(FAULTY).assembly)
    for check, which in (("leg-pair", 0), ("mirror", 3)):
        finding, close = close_to(check, which=which)
        there = np.concatenate([bodies[n].points for n in close.bodies])
        ghosts = np.concatenate([points for points, _, _ in close.signs.ghosts])
        assert len(close.signs.ghosts) == len(close.bodies)
        assert np.ptp(ghosts, axis=0) == pytest.approx(np.ptp(there, axis=0))
        assert (ghosts * (1, -1, 1)).mean(axis=0) == pytest.approx(there.mean(axis=0))
        seen = close.view.seen(np.concatenate([ghosts, there]), 1.6)
        assert np.all((seen > 0.0) & (seen < 1.0)), finding.message


def test_what_differs_from_its_twin_has_the_mirror_image_beside_it():
    subject = boat(FAULTY)
    finding, close = close_to("mirror")
    own = frame_named(subject.assembly, finding.frame)
    assert not close.signs.ghosts
    starboard = next(p for p in own.parts if p.name in finding.parts and "starboard" in p.name)
    images = [shapely.Polygon(own.placement.to_frame(line)[:, :2]) for line in close.signs.strokes]
    for image in images:
        off = shapely.hausdorff_distance(image.boundary, starboard.shape.boundary)
        assert off >= finding.measured - 0.02
        assert shapely.intersection(image, starboard.shape).area > 0.9 * starboard.shape.area


def test_the_wood_left_in_a_corner_is_shown_as_far_as_it_fouls():
    subject = boat(FAULTY)
    finding, close = close_to("corner")
    own = frame_named(subject.assembly, finding.frame)
    part = next(part for part in own.parts if part.name in finding.parts)
    regions = [wood.region for wood in corner_wood(part, subject.assembly.cutter_diameter)]
    most = min(regions, key=lambda r: r.distance(shapely.Point(own.placement.to_frame([finding.at])[0][:2]))).area
    volume = solid(close.shared).volume()
    assert 0.2 * most * part.thickness < volume <= most * part.thickness * (1 + 1e-9)


def test_what_is_proud_stands_past_the_line_that_is_drawn():
    subject = boat(FAULTY)
    finding, close = close_to("proud")
    own = frame_named(subject.assembly, finding.frame)
    lines = shapely.MultiLineString([own.placement.to_frame(line)[:, :2] for line in close.signs.strokes])
    assert lines.hausdorff_distance(closed(own, subject.assembly).boundary) > 0.0
    assert closed(own, subject.assembly).boundary.buffer(1e-6).contains(lines)
    at = shapely.Point(own.placement.to_frame([finding.at])[0][:2])
    assert lines.distance(at) == pytest.approx(finding.measured, abs=0.02)


@pytest.mark.parametrize("which", [0, 1])
def test_what_is_astray_along_the_boat_is_measured_there(which):
    finding, close = close_to("station", which=which)
    assert close.measures
    assert np.linalg.norm(np.subtract(*close.gap)) == pytest.approx(finding.measured, abs=0.02)
    assert np.all((close.view.seen(close.gap, 1.6) > 0) & (close.view.seen(close.gap, 1.6) < 1))


def test_a_bent_batten_is_seen_against_the_straight_line_between_its_neighbours():
    subject = boat(FAULTY)
    finding, close = close_to("bend")
    batten = next(each for each in subject.assembly.battens if each.name in finding.parts)
    (chord,) = close.signs.strokes
    knots = batten.centres[:, 0]
    n = int(np.argmin(np.abs(knots - finding.at[0])))
    assert chord[:, 0] == pytest.approx((knots[n - 1], knots[n + 1]))
    (arrow,) = close.signs.arrows
    assert arrow[1] == pytest.approx(finding.at, abs=1e-6)
    assert (arrow[1] - arrow[0]) @ (chord[1] - chord[0]) == pytest.approx(0.0, abs=1e-6)
    assert abs(unit(arrow[1] - arrow[0]) @ close.view.axes()[2]) < 0.05


# ---- all of them


def test_battens_and_rails_are_seen_in_pieces_that_do_not_come_before_the_eye():
    subject = boat(FAULTY)
    bodies = bodies_of(subject.assembly)
    counted = 0
    for finding in subject.findings:
        close = close_up(finding, bodies, subject.assembly, 1.6)
        for n, piece in {} if close is None else close.pieces.items():
            whole, counted = bodies[n], counted + 1
            assert whole.kind in ("batten", "rail") and piece.kind == whole.kind
            assert np.all(piece.points.min(axis=0) >= whole.points.min(axis=0) - 0.01)
            assert np.all(piece.points.max(axis=0) <= whole.points.max(axis=0) + 0.01)
            eye = close.view.axes()[2] @ close.view.position
            assert np.all(piece.points @ close.view.axes()[2] < eye)
            assert n not in close.whole
    assert counted > 10


def test_every_finding_with_a_place_has_what_it_is_about_in_sight():
    subject = boat(FAULTY)
    bodies = bodies_of(subject.assembly)
    for finding in subject.findings:
        close = close_up(finding, bodies, subject.assembly, 1.6)
        if close is None:
            continue
        must = [close.signs.about, *([] if close.gap is None else [close.gap]), *close.signs.arrows]
        seen = close.view.seen(np.concatenate([np.reshape(points, (-1, 3)) for points in must]), 1.6)
        assert np.all((seen > -1e-9) & (seen < 1.0 + 1e-9)), finding.message


@pytest.mark.parametrize(
    ("check", "least"),
    [("dowel-hold", 80), ("driver", 150), ("way-in", 60), ("fair", 100), ("leg-pair", 80), ("screw-foul", 100)],
)
def test_signs_are_in_the_picture(check, least):
    subject = boat(FAULTY)
    number, _ = finding_of(subject, check)
    with Studio(bodies_of(subject.assembly), SMALL) as studio:
        shot = np.asarray(closing_in(studio, subject, number, captioned=False).picture())
    assert strong(shot).sum() > least


def test_the_caption_hides_nothing_of_what_has_to_be_in_sight():
    subject = boat(FAULTY)
    number, _ = finding_of(subject, "leg-pair")
    with Studio(bodies_of(subject.assembly), SMALL) as studio:
        shot = np.asarray(closing_in(studio, subject, number).picture())
        bare = np.asarray(closing_in(studio, subject, number, captioned=False).picture())
    ys, xs = np.nonzero(strong(shot))
    assert ys.min() > 2 and xs.min() > 2 and xs.max() < SMALL[0] - 2 and ys.max() < 0.85 * SMALL[1]
    assert strong(bare).sum() > strong(shot).sum()  # without words there is more room for it


def test_odd_findings_of_every_check_have_pictures():
    side, plate = (making.part(name, making.rectangle(100, 0, 160, 300)) for name in ("side", "plate"))
    made = making.assembly([making.frame([side, plate])], strongback=making.rails())
    common = {"level": Level.ERROR, "message": "odd", "frame": "5", "at": (1000.0, 130.0, 100.0)}
    parts = [(), ("F5 side",), ("F5 side", "F5 plate"), ("F9 side", "port chine")]
    odd = tuple(
        Finding(check=check, parts=names, measured=measured, limit=1.0, unit="mm", **common)
        for check in CHECKS
        for names in parts
        for measured in (None, 2.0)
    )
    bodies = bodies_of(made)
    for finding in odd:
        close = close_up(finding, bodies, made, 1.6)
        assert np.isfinite(close.view.position).all(), finding


# ---- in the plotter


def test_signs_are_few_actors_and_none_once_they_are_gone():
    subject = boat(FAULTY)
    bodies = bodies_of(subject.assembly)
    with Studio(bodies, (64, 64)) as studio:
        before = set(studio.scene.plotter.actors)
        for number, finding in enumerate(subject.findings, start=1):
            if finding.at is not None:
                closing_in(studio, subject, number, captioned=False)
                assert len(studio.signpost.shown) <= 5
        studio.stand(["shown"] * len(bodies))
        assert set(studio.scene.plotter.actors) == before and not studio.signpost.shown


@pytest.mark.parametrize("side", SIDES)
def test_an_arrow_is_turned_to_the_eye_and_never_too_short_to_be_read(side):
    block = bodies_of(making.assembly([making.frame([making.part("side", making.rectangle(-900, -900, 900, 900))])]))
    path = np.array([(1000.0, -2.0, 1.0), (1000.6, 1.0, 1.5)])
    with Studio(block, SMALL) as studio:
        arrows = Arrows(studio.scene.plotter, "test")
        arrows.show([path])
        view = view_from(side, block[0].points, studio.aspect)
        studio.taken(view)
        points = np.array(studio.scene.plotter.actors["test"].mapper.dataset.points)
        arrows.forget()
    one = points[len(points) // 2 :]
    back = view.axes()[2]
    breadth = one[0] - one[1]
    assert abs(breadth @ back) < 1e-6 * np.linalg.norm(breadth) + 1e-9
    assert abs(breadth @ (path[1] - path[0])) < 1e-6
    long = np.linalg.norm(one[-1] - one[:2].mean(axis=0))
    assert long * SMALL[1] / view.height_at_target() == pytest.approx(34.0, rel=0.1)
    assert unit(one[-1] - one[:2].mean(axis=0)) == pytest.approx(unit(path[1] - path[0]), abs=1e-4)


def test_nothing_hides_an_arrow():
    """One behind a wall is as red as one before it."""
    wall = bodies_of(making.assembly([making.frame([making.part("side", making.rectangle(-300, -300, 300, 300))])]))
    counts = []
    for x in (1100.0, 900.0):
        with Studio(wall, SMALL) as studio:
            post = Signpost(studio.scene.plotter)
            studio.stand(["shown"] * len(wall), datum=False)
            post.arrows.show([np.array([(x, -100.0, 0.0), (x, 100.0, 0.0)])])
            view = View(position=(2500.0, 0.0, 0.0), target=(1000.0, 0.0, 0.0), up=(0.0, 0.0, 1.0))
            counts.append(strong(np.asarray(studio.taken(view).picture())).sum())
            post.forget()
    assert counts[1] > 0.8 * counts[0] > 50


def test_a_subject_without_frames_has_no_signs():
    made = making.assembly([making.frame([making.part("side", making.rectangle(100, 0, 160, 300))])])
    lost = Finding(check="bend", level=Level.ERROR, message="", at=(0.0, 0.0, 0.0))
    assert Subject(assembly=made, seen="from aft", findings=(lost,)).telling
    close = close_up(lost, bodies_of(made), made, 1.6)
    assert close.signs.arrows == () and close.signs.strokes == () and close.pieces == {}
