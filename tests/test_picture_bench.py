"""What lies on the board in pictures of steps: a frame in its parts, strips, film, weights; and the moving picture."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
import shapely
from picture_making import boat, frame_named, without_screen
from PIL import Image

from scrieve.model.relations.joints.joint import joints
from scrieve.shared.errors import UseError
from scrieve.viewer.pictures import picture as pictures
from scrieve.viewer.pictures.subject import Asked
from scrieve.viewer.scene.apart import PLATES, lying_at, up_at
from scrieve.viewer.scene.bench import bench_of
from scrieve.viewer.scene.bodies import bodies_of
from scrieve.viewer.scene.showing import Showing, arranged


@pytest.fixture(autouse=True)
def no_screen(monkeypatch):
    without_screen(monkeypatch)


def at(kind, number):
    """A step of a frame of the skiff; what is shown of its bodies, where (y, v, w) in the frame; and the bench."""
    subject = boat("skiff")
    own = frame_named(subject.assembly, number)
    step = next(s for s in subject.steps if s.kind == kind and s.frame == number)
    bodies = bodies_of(subject.assembly)
    made = arranged(bodies, subject.assembly, subject.steps, Showing(step=step.number))
    shown = {
        body.name: (body, own.placement.to_frame(body.points + made.offsets[n]))
        for n, body in enumerate(bodies)
        if made.states[n] == "shown"
    }
    bench = bench_of(step, subject.steps, subject.assembly, [body for body, _ in shown.values()])
    return own, step, shown, bench


def flat(own, points):
    return shapely.convex_hull(shapely.multipoints(own.placement.to_frame(points)[:, :2]))


def things(own, bench, kind):
    return [flat(own, thing.points) for thing in bench.things if thing.kind == kind]


@pytest.mark.parametrize("number", ["2", "5", "7"])
@pytest.mark.parametrize("kind", ["apart", "wet out", "glue"])
def test_nothing_lies_on_anything_else_and_all_is_on_the_board(kind, number):
    own, step, shown, bench = at(kind, number)
    up, lying = up_at(step), lying_at(own, boat("skiff").steps, step)
    top = (own.placement.to_frame(bench.points)[:, 2] * up).max()
    parts = [part for part in own.parts if part.role != "leg" and (kind != "glue" or part.name in lying.parts)]
    shapes = []
    for part in parts:
        _, points = shown[part.name]
        assert (points[:, 2] * up).min() == pytest.approx(top)
        by = lying.parts[part.name]
        shapes.append(shapely.transform(part.shape, lambda p, by=by: p + by[:2]))
    if kind == "glue":
        shapes += [part.shape for part in own.core]
        assert (shown[own.core[0].name][1][:, 2] * up).min() == pytest.approx(top)
    assert shapely.area(shapely.union_all(shapes)) == pytest.approx(sum(shape.area for shape in shapes))


@pytest.mark.parametrize("number", ["2", "5"])
def test_a_turned_frame_rests_on_strips_that_clear_the_dowels_and_the_plates_under_it(number):
    own, step, _, bench = at("turn", number)
    under = shapely.union_all([part.shape for part in own.parts if part.role in PLATES and part.face == "aft"])
    strips = [thing for thing in bench.things if thing.kind == "strip"]
    assert len(strips) >= len(own.core) and any("on strips of 13 mm" in words for words in step.watch)
    for thing in strips:
        assert np.ptp(own.placement.to_frame(thing.points)[:, 2]) == pytest.approx(13.0)
        assert not flat(own, thing.points).intersects(under)
    for part in own.core:
        assert any(flat(own, thing.points).intersects(part.shape) for thing in strips)


def test_what_is_wetted_is_what_plates_and_ends_cover():
    own, step, _, bench = at("wet out", "2")
    wet = things(own, bench, "glue")
    plates = shapely.union_all([part.shape for part in own.parts if part.role in PLATES])
    lying = lying_at(own, boat("skiff").steps, step).parts
    for part in own.core:
        by = lying[part.name][:2]
        here = shapely.union_all(
            [w for w in wet if w.intersects(shapely.transform(part.shape, lambda p, by=by: p + by))]
        )
        covered = shapely.transform(shapely.intersection(part.shape, plates), lambda p, by=by: p + by)
        assert shapely.difference(covered, here.buffer(0.01)).area < 1.0
    assert not {thing.kind for thing in at("apart", "2")[3].things}


def test_a_frame_is_glued_on_its_dowels_over_film_under_weights():
    own, _, shown, bench = at("glue", "2")
    film, weights = shapely.union_all(things(own, bench, "film")), things(own, bench, "weight")
    assert all(film.contains(joint.line) for joint in joints(own))
    assert {dowel.name for dowel in own.dowels} <= set(shown)
    up = [part for part in own.parts if part.role in PLATES and part.face == "aft"]
    assert len(weights) == len(up)
    assert all(any(weight.intersects(part.shape) for weight in weights) for part in up)
    assert {screw.driven_from for screw in own.screws if screw.name in shown} == {"aft"}
    assert any(hole.own for hole in bench.holes)


def test_a_moving_picture_has_each_step_on_its_way_and_done():
    subject = boat("pram")
    asked = Asked(many="steps", moving=True, frame=frame_named(subject.assembly, "2"), size=(320, 220))
    told: list[str] = []
    made = pictures.picture(subject, asked, told.append)
    steps = [step for _, step in subject.on_page(asked)]
    adding = sum(bool(step.adds or step.screws) for step in steps)
    moving = Image.open(BytesIO(made))
    assert (moving.format, moving.size, moving.n_frames) == ("WEBP", (320, 220), len(steps) + adding)
    assert told == [f"step {step.number}" for step in steps]
    shots = []
    for n in range(moving.n_frames):
        moving.seek(n)
        shots.append(moving.convert("RGB").tobytes())
    assert len(set(shots)) == len(shots)


def test_one_of_too_many_steps_is_refused(monkeypatch):
    monkeypatch.setattr(pictures, "MOST_MOVING", 20)
    with pytest.raises(UseError, match=r"has room for 20 pictures.*--frame NUMBER has those of a frame"):
        pictures.picture(boat("pram"), Asked(many="steps", moving=True), lambda _: None)
