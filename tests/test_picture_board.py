"""The assembly board under a frame on the bench: its holes, centreline and datum line."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from picture_making import boat, frame_named, like, without_screen

from scrieve.model.boat.board import board_of
from scrieve.viewer.pictures.stepping import step_picture
from scrieve.viewer.pictures.studio import Studio
from scrieve.viewer.scene.bench import Bench, bench_of
from scrieve.viewer.scene.board_drawn import BoardDrawn
from scrieve.viewer.scene.bodies import bodies_of
from scrieve.viewer.scene.looks import HOLE

FRAME = "2"


@pytest.fixture(autouse=True)
def no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything here is rendered without a screen."""
    without_screen(monkeypatch)


def steps_of_frame(number: str = FRAME):
    return [each for each in boat("skiff").steps if each.stage == "bench" and each.frame == number]


def bench_at(step) -> Bench:
    subject = boat("skiff")
    lying = [b for b in bodies_of(subject.assembly) if b.frame == step.frame and b.kind not in ("screw", "dowel")]
    return bench_of(step, subject.steps, subject.assembly, lying)


def middles(bench: Bench, *, own: bool) -> np.ndarray:
    """(n, 2): the middles of the holes, (y, v) of the frame, in the order of the board's."""
    place = frame_named(boat("skiff").assembly, FRAME).placement
    return np.array([place.to_frame(hole.rim)[:, :2].mean(axis=0) for hole in bench.holes if hole.own == own])


def test_the_holes_are_those_of_the_board_and_its_own_are_where_its_dowels_stand():
    assembly = boat("skiff").assembly
    board = board_of(assembly)
    bench = bench_at(steps_of_frame()[0])
    assert len(bench.holes) == len(board.holes)
    for hole, seen in zip(board.holes, bench.holes, strict=True):
        rim = frame_named(assembly, FRAME).placement.to_frame(seen.rim)
        assert seen.own == (FRAME in hole.frames)
        assert rim[:, :2].mean(axis=0) == pytest.approx(hole.at, abs=0.1)
        radius = np.hypot(*(rim[:, :2] - rim[:, :2].mean(axis=0)).T)
        assert 2 * radius == pytest.approx(hole.diameter)
    own = middles(bench, own=True)
    dowels = np.array([dowel.at for dowel in frame_named(assembly, FRAME).dowels])
    assert np.sort(own, axis=0) == pytest.approx(np.sort(dowels, axis=0), abs=1e-9)
    assert len(middles(bench, own=False)) > len(own)


def test_the_holes_lie_on_the_board_and_under_the_frame():
    for step in steps_of_frame():
        bench = bench_at(step)
        up = np.array(bench.up)
        top = (bench.points @ up).max()
        for hole in bench.holes:
            height = hole.rim @ up - top
            assert np.all((height > 0.0) & (height < 1.5))


def test_a_frame_turned_over_has_the_holes_the_other_way_about_and_none_of_its_own():
    first, turn = (next(each for each in steps_of_frame() if each.kind == kind) for kind in ("dowels", "turn"))
    before, after = bench_at(first), bench_at(turn)
    assert np.dot(before.up, after.up) == pytest.approx(-1.0)
    there = np.array([hole.at for hole in board_of(boat("skiff").assembly).holes])
    assert middles(after, own=False) == pytest.approx(there * (-1.0, 1.0), abs=1e-9)
    assert not any(hole.own for hole in after.holes)


def test_the_centreline_and_the_datum_line_are_ruled_from_edge_to_edge():
    assembly = boat("skiff").assembly
    board = board_of(assembly)
    place = frame_named(assembly, FRAME).placement
    ends = np.array([place.to_frame(rule)[:, :2] for rule in bench_at(steps_of_frame()[0]).rules])
    upright = ends[np.all(ends[:, :, 0] == 0.0, axis=1)]
    level = ends[np.all(np.abs(ends[:, :, 1]) < 1e-9, axis=1) & (np.ptp(ends[:, :, 0], axis=1) > 0.0)]
    assert len(upright) + len(level) == len(ends)
    assert (upright[:, :, 1].min(), upright[:, :, 1].max()) == pytest.approx((board.low, board.high), abs=45.0)
    assert (level[:, :, 0].min(), level[:, :, 0].max()) == pytest.approx((-board.half, board.half), abs=45.0)
    for one, other in pairwise(upright):
        assert other[0, 1] > one[1, 1]  # dashes


def test_a_picture_of_the_dowels_shows_the_holes_they_go_into():
    subject = boat("skiff")
    step = next(each for each in steps_of_frame() if each.kind == "dowels")
    with Studio(bodies_of(subject.assembly), (960, 600)) as studio:
        shot = np.asarray(step_picture(studio, subject, step, captioned=False).picture())
        actors = studio.scene.plotter.actors
        assert {"board", "board rules", "holes", "hole rims", "other holes"} <= set(actors)
        own = sum(hole.own for hole in bench_at(step).holes)
        assert actors["holes"].mapper.dataset.n_cells == own == len(frame_named(subject.assembly, FRAME).dowels)
        assert like(shot, HOLE, 25).sum() > 10 * own
        studio.stand(["shown"] * len(studio.bodies))
        assert not studio.board.shown and "holes" not in studio.scene.plotter.actors


def test_the_board_is_drawn_alike_wherever_it_is_drawn():
    bench = bench_at(steps_of_frame()[0])
    subject = boat("skiff")
    with Studio(bodies_of(subject.assembly), (64, 64)) as studio:
        drawn = BoardDrawn(studio.scene.plotter)
        drawn.show(bench)
        assert drawn.shown
        points = np.array(studio.scene.plotter.actors["holes"].mapper.dataset.points)
        assert points == pytest.approx(np.concatenate([hole.rim for hole in bench.holes if hole.own]), abs=1e-3)
        drawn.show(None)
        assert not drawn.shown
