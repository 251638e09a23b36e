"""What is drawn of a finding's marks besides its bodies, asserted on what stands in the plotter, and from where."""

from __future__ import annotations

from dataclasses import replace

import dowelled
import making
import manifold3d
import numpy as np
import pytest
import shapely
from picture_making import boat, finding_of, strong, without_screen
from test_evidence_frames import SCENES, _key, found_in

from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Finding, Level, Subject
from scrieve.shared.marks import Arrow, Axis, Ghost, Line, Prism, Region, Span
from scrieve.viewer.marks.colours import STRONG
from scrieve.viewer.pictures.closing_in import closing_in
from scrieve.viewer.pictures.studio import Studio
from scrieve.viewer.pictures.subject import PicturedBoat
from scrieve.viewer.scene.arrows import Arrows
from scrieve.viewer.scene.bodies import bodies_of
from scrieve.viewer.scene.close_up import CloseUp, close_up
from scrieve.viewer.scene.sides import SIDES, View, view_from
from scrieve.viewer.scene.signpost import Signpost
from scrieve.viewer.scene.solid_mesh import mesh_of

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


def all_close() -> list[tuple[Finding, CloseUp]]:
    """Every finding with a place of the boat with faults, and its close-up."""
    subject = boat(FAULTY)
    bodies = bodies_of(subject.assembly)
    placed = [finding for finding in subject.findings if finding.at is not None]
    return [(finding, close_up(finding, bodies, subject.assembly, 1.6)) for finding in placed]


def marks(finding: Finding, kind: type) -> list:
    return [mark for mark in finding.evidence if isinstance(mark, kind)]


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


def solid(mesh) -> manifold3d.Manifold:
    points, triangles = (np.ascontiguousarray(each) for each in mesh[:2])
    made = manifold3d.Manifold(manifold3d.Mesh64(points, triangles.astype(np.uint64)))
    assert made.status() == manifold3d.Error.NoError
    return made


# ---- marks as they are drawn


@pytest.mark.parametrize("check", ["dowel-hold", "way-in", "fair", "leg-bottom", "leg-side", "bend"])
def test_an_arrow_stands_in_the_plotter_from_tail_to_tip(check):
    finding, close = close_to(check)
    drawn = drawn_arrows(close, bodies_of(boat(FAULTY).assembly))
    for mark, (tail, tip) in zip(marks(finding, Arrow), drawn, strict=True):
        assert tip == pytest.approx(mark.points[-1], abs=1e-3)
        assert unit(tip - tail) == pytest.approx(unit(np.subtract(mark.points[-1], mark.points[0])), abs=1e-5)


def loose(parts=None, *, at) -> CloseUp:
    """The close-up of the one finding of `dowel-hold` in a frame of these parts and dowels."""
    own = making.assembly([dowelled.frame(parts, at=list(at))])
    (finding,) = CHECKS["dowel-hold"].run(own)
    return close_up(finding, bodies_of(own), own, 1.6)


def test_one_that_slides_both_ways_has_two_arrows_and_one_with_nothing_about_it_four():
    at = dowelled.places(without=["port below, in", "port below, out", "port above"]).values()
    first, second = (unit(path[-1] - path[0]) for path in loose(at=at).signs.arrows)
    assert first == pytest.approx(-second, abs=1e-6)
    assert abs(first[2]) == pytest.approx(1.0, abs=1e-6)
    far = making.part("spare", making.rectangle(1000, 0, 1100, 100))
    arrows = loose([*dowelled.boards(), far], at=dowelled.places().values()).signs.arrows
    ways = [tuple(np.round(unit(path[-1] - path[0]), 6) + 0.0) for path in arrows]
    assert set(ways) == {(0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)}


def test_one_that_turns_has_a_bent_arrow_about_the_centre():
    alone = making.part("plate", making.rectangle(1000, 0, 1300, 100))
    round_it = [(1150, -R), (1150, 100 + R), (1000 - R, 50), (1300 + R, 50)]
    (path,) = loose([*dowelled.boards(), alone], at=[*dowelled.places().values(), *round_it]).signs.arrows
    arms = path[:, 1:] - (1150.0, 50.0)
    assert np.hypot(*arms.T) == pytest.approx(np.hypot(150.0, 50.0))
    assert 10.0 < np.degrees(np.arccos(unit(arms[0]) @ unit(arms[-1]))) < 51.0


def test_solids_are_as_large_as_their_marks_and_face_outwards():
    for finding, close in all_close():
        regions, ghosts = marks(finding, Region), marks(finding, Ghost)
        assert (close.signs.shared is None) is (not regions)
        for mark in (*regions, *ghosts):
            made = solid(mesh_of(mark.solid))
            assert made.volume() > 0.0, finding.message
            if isinstance(mark.solid, Prism):
                outer, *holes = (shapely.LinearRing(ring) for ring in mark.solid.rings)
                flat = [np.array(ring.coords)[:-1] for ring in (outer, *holes)]
                areas = [np.linalg.norm(sum(np.cross(a, b) for a, b in zip(r, np.roll(r, -1, 0), strict=True))) / 2
                         for r in (ring - flat[0][0] for ring in flat)]  # fmt: skip
                thick = np.linalg.norm(mark.solid.through)
                assert made.volume() == pytest.approx((areas[0] - sum(areas[1:])) * thick, rel=1e-6)
        if regions:
            whole = sum(solid(mesh_of(mark.solid)).volume() for mark in regions)
            assert solid(close.signs.shared).volume() == pytest.approx(whole, rel=1e-6)


def test_lines_are_drawn_in_the_strong_colour_but_those_of_the_drawing_in_ink():
    for finding, close in all_close():
        own, drawings = ([each for each in marks(finding, Line) if each.drawn is drawn] for drawn in (False, True))
        for lines, drawn in ((own, close.signs.strokes[: len(own)]), (drawings, close.signs.inked)):
            assert all(np.array_equal(line.points, seen) for line, seen in zip(lines, drawn, strict=True))


def test_what_is_measured_is_seen_at_its_length_in_sight():
    counted = 0
    for finding, close in all_close():
        spans = marks(finding, Span)
        assert close.signs.gap == (None if not spans else (spans[0].start, spans[0].end))
        if spans:
            counted += 1
            along = unit(np.subtract(spans[0].end, spans[0].start))
            assert abs(along @ close.view.axes()[2]) < 1e-6, finding.message
    assert counted > 30


def test_a_driver_is_a_ghost_and_a_screw_is_none():
    finding, close = close_to("driver")
    _, driver = marks(finding, Axis)
    (points, *_), = close.signs.ghosts  # fmt: skip
    along = unit(np.subtract(driver.end, driver.start))
    off = points - driver.start
    assert np.linalg.norm(off - np.outer(off @ along, along), axis=1) == pytest.approx(np.full(len(off), 6.0))
    assert (off @ along).max() == pytest.approx(120.0)
    bodies = bodies_of(boat(FAULTY).assembly)
    assert [None if axis.body is None else bodies[axis.body].name for axis in close.signs.axes] == [
        finding.subjects[0].name,
        None,
    ]
    with Studio(bodies, SMALL) as studio:
        studio.signpost.show(close.signs)
        actor = studio.scene.plotter.actors["sign ghosts"]
        assert actor.prop.opacity < 0.5 and actor.prop.color.hex_rgb == STRONG
    # from the side, so that one sees along it how far it is free, and across it how near the wood is
    assert abs(along @ close.view.axes()[2]) < 0.5


@pytest.mark.parametrize("ahead", [40.0, 100.0])
def test_what_is_clear_ahead_of_a_head_is_seen_from_the_side(ahead):
    side = making.part("side", making.rectangle(0, 0, 200, 200))
    plate = making.part("plate", making.rectangle(50, 50, 150, 150), face="forward", thickness=9.0)
    shelf = replace(making.part("shelf", making.rectangle(90, 0, 200, 200)), low=27.0 + ahead, high=40.0 + ahead)
    screw = making.screw([side, plate], (100.0, 100.0))
    made = making.assembly([making.frame([side, plate, shelf], screws=[screw])])
    (finding,) = CHECKS["driver"].run(made)
    close = close_up(finding, bodies_of(made), made, 1.6)
    assert np.linalg.norm(np.subtract(*close.signs.gap)) == pytest.approx(ahead)
    assert abs(unit(np.subtract(*close.signs.gap)) @ close.view.axes()[2]) < 0.5


def test_two_screws_that_meet_are_seen_square_to_the_plane_of_their_axes_through_faint_wood():
    finding, close = close_to("screw-foul")
    screws = marks(finding, Axis)
    for axis, line in zip(screws, close.signs.strokes, strict=True):
        along = unit(np.subtract(axis.end, axis.start))
        assert line == pytest.approx(np.array([axis.start - 9.0 * along, axis.end + 9.0 * along]))
        assert abs(along @ close.view.axes()[2]) < 1e-6
    assert close.faint and close_to("screw-bite")[1].faint and not close_to("screw-edge")[1].faint


def test_a_screw_near_an_edge_has_a_cross_on_its_axis_within_the_circle():
    finding, close = close_to("screw-edge")
    (axis,), (_, *cross) = marks(finding, Axis), close.signs.strokes
    assert len(cross) == 2 and all(line.mean(axis=0) == pytest.approx(axis.start) for line in cross)
    assert unit(cross[0][1] - cross[0][0]) @ unit(cross[1][1] - cross[1][0]) == pytest.approx(0.0, abs=1e-9)
    assert max(np.linalg.norm(line - axis.start, axis=1).max() for line in cross) < finding.limit


def test_what_has_an_axis_that_is_marked_is_seen_as_well():
    assert len(close_to("screw-count")[1].also) == close_to("screw-count")[0].measured
    bodies = bodies_of(boat(FAULTY).assembly)
    finding, close = close_to("dowel-hold")
    seen = {bodies[n].name for n in close.also}
    assert seen == {body.name for body in bodies if body.kind == "dowel" and body.frame == finding.frame}


def test_words_of_marks_stand_in_the_picture_apart_from_one_another():
    for finding, close in all_close():
        assert sorted(words for words, _ in close.signs.words) == sorted(m.words for m in finding.evidence if m.words)
        places = np.array([place for _, place in close.signs.words]).reshape(-1, 3)
        seen = close.view.seen(places, 1.6)
        for n, one in enumerate(seen):
            assert all(np.linalg.norm(one - other) > 0.05 for other in seen[:n]), finding.message
    assert {words for words, _ in close_to("board")[1].signs.words} == set(close_to("board")[0].parts)


def test_what_has_no_twin_and_the_ghost_where_that_should_be_are_in_sight():
    bodies = bodies_of(boat(FAULTY).assembly)
    for check, which in (("leg-pair", 0), ("mirror", 3)):
        finding, close = close_to(check, which=which)
        there = [bodies[n].points for n in close.bodies]
        seen = close.view.seen(np.concatenate([*there, *(points for points, _, _ in close.signs.ghosts)]), 1.6)
        assert np.all((seen > 0.0) & (seen < 1.0)), finding.message


def test_a_bent_batten_is_seen_square_to_its_bow():
    finding, close = close_to("bend")
    (arrow,), (chord,) = marks(finding, Arrow), marks(finding, Line)
    for way in (np.subtract(*arrow.points), np.subtract(*chord.points)):
        assert abs(unit(way) @ close.view.axes()[2]) < 1e-6


# ---- all of them


def test_battens_and_rails_are_seen_in_pieces_that_do_not_come_before_the_eye():
    bodies = bodies_of(boat(FAULTY).assembly)
    counted = 0
    for _, close in all_close():
        for n, piece in close.pieces.items():
            whole, counted = bodies[n], counted + 1
            assert whole.kind in ("batten", "rail") and piece.kind == whole.kind
            assert np.all(piece.points.min(axis=0) >= whole.points.min(axis=0) - 0.01)
            assert np.all(piece.points.max(axis=0) <= whole.points.max(axis=0) + 0.01)
            eye = close.view.axes()[2] @ close.view.position
            assert np.all(piece.points @ close.view.axes()[2] < eye)
            assert n not in close.whole
    assert counted > 10


def test_every_finding_with_a_place_has_what_it_is_about_in_sight():
    for finding, close in all_close():
        must = [close.about, *([] if close.signs.gap is None else [close.signs.gap]), *close.signs.arrows]
        seen = close.view.seen(np.concatenate([np.reshape(points, (-1, 3)) for points in must]), 1.6)
        assert np.all((seen > -1e-9) & (seen < 1.0 + 1e-9)), finding.message


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.__name__)
def test_a_boat_in_the_mirror_is_seen_in_the_mirror_and_its_spans_at_their_length(scene):
    views = []
    for side in (1, -1):
        own = scene(side)
        bodies = bodies_of(own)
        closes = [close_up(finding, bodies, own, 1.6) for finding in sorted(found_in(own), key=_key)]
        views.append([close.view.axes()[2] * (1, side, 1) for close in closes])
        for gap, view in ((close.signs.gap, close.view) for close in closes if close.signs.gap is not None):
            assert abs(unit(np.subtract(*gap)) @ view.axes()[2]) < 1e-6
            assert np.all((view.seen(gap, 1.6) > 0.0) & (view.seen(gap, 1.6) < 1.0))
    np.testing.assert_allclose(views[0], views[1], atol=1e-6)


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


def test_odd_findings_have_pictures():
    """Of nothing, of what is not there, of marks without length, and of each kind of mark alone."""
    side, plate = (making.part(name, making.rectangle(100, 0, 160, 300)) for name in ("side", "plate"))
    made = making.assembly([making.frame([side, plate])], strongback=making.rails())
    here, there = (1000.0, 130.0, 100.0), (1012.0, 130.0, 100.0)
    square = Prism(rings=((here, (1000.0, 160.0, 100.0), (1000.0, 130.0, 140.0)),), through=(12.0, 0.0, 0.0))
    kinds = (
        Span(start=here, end=there), Span(start=here, end=(1000.0, 130.0, 2000.0)), Line(points=(here, there)),
        Arrow(points=(here, there)), Arrow(points=(here, here)), Axis(start=here, end=there, diameter=5.0, words="x"),
        Region(solid=square), Ghost(solid=square, words="x"), Span(start=here, end=here),
        Axis(start=here, end=here, diameter=5.0),
    )  # fmt: skip
    pairs = [(one, other) for one in kinds for other in kinds]
    subjects = [(), ("F5 side",), ("F5 side", "F5 plate"), ("F9 side", "port rail"), ("F5", "F7")]
    common = {"check": "odd", "level": Level.ERROR, "message": "odd", "at": here}
    bodies = bodies_of(made)
    for names in subjects:
        about = tuple(Subject(kind="part" if " " in name else "frame", name=name, frame="5") for name in names)
        for evidence in ((), *pairs, kinds):
            for frame in ("5", ""):
                finding = Finding(frame=frame, subjects=about, evidence=evidence, **common)
                close = close_up(finding, bodies, made, 1.6)
                assert np.isfinite(close.view.position).all(), finding
                if close.signs.gap is not None:
                    seen = close.view.seen(close.signs.gap, 1.6)
                    assert np.all((seen > 0.0) & (seen < 1.0)), finding


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
    assert counts[1] > 0.8 * counts[0] > 50


def test_a_subject_without_frames_has_no_signs():
    made = making.assembly([making.frame([making.part("side", making.rectangle(100, 0, 160, 300))])])
    lost = Finding(check="bend", level=Level.ERROR, message="", at=(0.0, 0.0, 0.0))
    assert PicturedBoat(assembly=made, seen="from aft", findings=(lost,)).marked
    close = close_up(lost, bodies_of(made), made, 1.6)
    assert close.signs.arrows == () and close.signs.strokes == () and close.pieces == {}
