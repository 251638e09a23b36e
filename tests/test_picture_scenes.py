"""Pictures: what is asked for is in them, at its place, and the same picture comes again."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import making
import numpy as np
import pytest
from making import assembly, frame, part, rails, rectangle
from picture_making import boat, finding_of, frame_named, like, pixels, strong, without_screen
from PIL import Image

from scrieve.shared.errors import UseError
from scrieve.shared.findings import Finding, Level
from scrieve.viewer.marks.colours import PAPER
from scrieve.viewer.paper.letters import LINE
from scrieve.viewer.pictures.canvas import Canvas, wide
from scrieve.viewer.pictures.captions import SMALLEST, caption
from scrieve.viewer.pictures.closing_in import finding_words
from scrieve.viewer.pictures.findings_list import listing
from scrieve.viewer.pictures.pages import LEAST, grid_of
from scrieve.viewer.pictures.picture import picture
from scrieve.viewer.pictures.stepping import step_picture, step_words
from scrieve.viewer.pictures.studio import Studio
from scrieve.viewer.pictures.subject import SIDE_WORDS, Asked, PicturedBoat, brief, letters
from scrieve.viewer.scene.apart import up_at
from scrieve.viewer.scene.bench import bench_of
from scrieve.viewer.scene.bench_things import rests_at
from scrieve.viewer.scene.bodies import bodies_of
from scrieve.viewer.scene.close_up import close_up
from scrieve.viewer.scene.looks import COMING
from scrieve.viewer.scene.sides import SIDES, view_from

SMALL = (480, 300)
FAULTY = "skiff-with-faults"


@pytest.fixture(autouse=True)
def no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything here is rendered without a screen."""
    without_screen(monkeypatch)


@cache
def made(name: str, **how: object) -> np.ndarray:
    """A small picture of a boat."""
    return pixels(picture(boat(name), Asked(size=how.pop("size", SMALL), **how), lambda what: None))


def of_finding(check: str, **how: object) -> np.ndarray:
    return made(FAULTY, finding=finding_of(boat(FAULTY), check)[0], **how)


def ink(shot: np.ndarray) -> np.ndarray:
    """Which points are not paper."""
    return ~like(shot, PAPER, 10)


# ---- the same again


def test_a_picture_is_as_large_as_asked_and_comes_again_byte_for_byte():
    asked = Asked(size=(320, 200), finding=finding_of(boat(FAULTY), "foul")[0])
    first, second = (picture(boat(FAULTY), asked, lambda what: None) for _ in range(2))
    assert first == second
    assert pixels(first).shape == (200, 320, 3)


def test_the_plan_of_a_picture_taken_before_makes_no_difference():
    subject = boat("skiff")
    view = view_from("bow", np.concatenate([body.points for body in bodies_of(subject.assembly)]), 1.6)

    def shot(studio: Studio, states: list[str]) -> np.ndarray:
        studio.stand(states)
        return np.asarray(studio.taken(view).picture())

    with Studio(bodies_of(subject.assembly), SMALL) as studio:
        whole = ["shown"] * len(studio.bodies)
        first = shot(studio, whole)
        other = shot(studio, ["hidden" if n % 2 else "faded" for n in range(len(whole))])
        again = shot(studio, whole)
    assert np.array_equal(first, again) and not np.array_equal(first, other)


# ---- the whole boat


def test_places_in_the_picture_are_where_the_kernel_draws_them():
    corners = [part("side", rectangle(-50, -50, 50, 50))]
    block = bodies_of(assembly([frame(corners, station=0.0)]))
    for side in SIDES:
        with Studio(block, SMALL) as studio:
            view = view_from(side, block[0].points, studio.aspect)
            studio.stand(["shown"], datum=False)
            seen = ink(np.asarray(studio.taken(view).picture()))
            places = np.array(studio.places(view, block[0].points))
        ys, xs = np.nonzero(seen)
        got = (xs.min(), xs.max() + 1, ys.min(), ys.max() + 1)
        want = (*(places[:, 0].min(), places[:, 0].max()), *(places[:, 1].min(), places[:, 1].max()))
        assert got == pytest.approx(want, abs=1.6), side


@pytest.mark.parametrize("side", SIDES)
def test_the_whole_boat_fills_its_part_of_the_picture_from_every_side(side):
    shot = ink(made("skiff", side=side, bare=True))
    ys, xs = np.nonzero(shot)
    assert max(np.ptp(xs) / SMALL[0], np.ptp(ys) / SMALL[1]) > 0.85
    assert shot[:4].sum() + shot[-4:].sum() + shot[:, :4].sum() + shot[:, -4:].sum() == 0
    assert set(SIDE_WORDS) == set(SIDES)


def test_sides_differ():
    shots = [made("skiff", side=side, bare=True).tobytes() for side in SIDES]
    assert len(set(shots)) == len(SIDES)


def test_findings_are_ringed_and_listed_in_the_whole_boat_but_not_in_a_bare_one():
    size = (960, 600)
    assert strong(made(FAULTY, size=size)).sum() > 2000
    assert strong(made(FAULTY, size=size)[:, int(0.75 * 960) :]).sum() > 500
    assert strong(made(FAULTY, size=size, bare=True)).sum() == 0
    assert strong(made("skiff", size=size)).sum() == 0


def test_five_hundred_findings_and_none_are_pictures_too():
    subject = boat("skiff")
    one = making.finding(message="two parts foul", frame="4", measured=1.0, unit="mm")
    many = tuple(replace(one, at=(7.0 * n, n - 250.0, 300.0)) for n in range(500))
    crowded = PicturedBoat(assembly=subject.assembly, seen=subject.seen, findings=many)
    assert strong(pixels(picture(crowded, Asked(size=SMALL), lambda what: None))).sum() > 1000
    bare = PicturedBoat(assembly=subject.assembly, seen=subject.seen)
    assert strong(pixels(picture(bare, Asked(size=SMALL), lambda what: None))).sum() == 0


def test_waived_findings_and_notes_have_no_ring():
    subject = boat("skiff")
    common = {"check": "foul", "message": "", "frame": "4", "at": (2100.0, 0.0, 400.0)}
    quiet = (
        Finding(level=Level.ERROR, waived="agreed", **common),
        Finding(level=Level.NOTE, **common),
    )
    shown = PicturedBoat(assembly=subject.assembly, seen=subject.seen, findings=quiet)
    assert strong(pixels(picture(shown, Asked(size=SMALL), lambda what: None))).sum() == 0


# ---- a frame


def test_a_frame_is_seen_alone_of_all_frames_with_what_passes_it_faded():
    subject = boat("skiff")
    own = frame_named(subject.assembly, "4")
    shot = made("skiff", frame=own, bare=True)
    ys, xs = np.nonzero(like(shot, "#d5bc90", 50))
    assert max(np.ptp(xs) / SMALL[0], np.ptp(ys) / SMALL[1]) > 0.7
    assert not np.array_equal(shot, made("skiff", frame=own, bare=True, side="forward"))


# ---- steps


def step(kind: str, number: str = "2"):
    return next(s for s in boat("skiff").steps if s.kind == kind and s.frame == number)


@pytest.mark.parametrize("kind", ["dowels", "core", "plates", "legs", "frame", "turn"])
def test_what_a_step_adds_or_turns_comes_along_an_arrow(kind):
    assert like(made("skiff", step=step(kind), size=(640, 480)), COMING, 30).sum() > 30


@pytest.mark.parametrize("kind", ["apart", "wet out", "glue"])
def test_a_step_that_adds_nothing_has_no_arrow(kind):
    assert like(made("skiff", step=step(kind)), COMING, 30).sum() == 0


def test_every_step_is_a_picture_of_its_own_but_for_the_last_look():
    subject = boat("pram")
    changing = [each for each in subject.steps if each.kind != "fair"]
    with Studio(bodies_of(subject.assembly), (160, 100)) as studio:
        shots = [shot_of(studio, subject, each) for each in changing]
    assert len(set(shots)) == len(changing)


def shot_of(studio: Studio, subject: PicturedBoat, each) -> bytes:
    return np.asarray(step_picture(studio, subject, each, captioned=False).picture()).tobytes()


def test_on_the_bench_the_face_that_plates_come_onto_is_up():
    subject = boat("skiff")
    for each in subject.steps:
        for adding in each.adds:
            if each.stage == "bench" and adding.toward is not None and abs(adding.toward[2]) > 0.5:
                assert up_at(each) == -np.sign(adding.toward[2])
    turn = step("turn")
    after = next(s for s in subject.steps if s.number > turn.number and s.kind == "plates" and s.frame == "2")
    assert up_at(turn) == up_at(after) == -up_at(step("core"))


def test_the_board_lies_under_what_lies_on_it():
    subject = boat("skiff")
    bodies = {body.name: body for body in bodies_of(subject.assembly)}
    own = frame_named(subject.assembly, "2")
    for each in subject.steps:
        if each.stage != "bench" or each.frame != "2":
            continue
        lying = [bodies["F2 floor"], bodies["F2 port chine gusset, forward"]]
        bench = bench_of(each, subject.steps, subject.assembly, lying)
        up = np.array(bench.up)
        assert np.linalg.norm(up) == pytest.approx(1.0)
        top = (bench.points @ up).max()
        rests = rests_at(subject.steps, each)
        under = (lying[0].points @ up).min() - rests.strips if rests else min((b.points @ up).min() for b in lying)
        assert top == pytest.approx(under) and (rests is None or rests.strips == 13.0)
        plane = own.placement.to_frame(bench.points)
        assert np.ptp(plane[:, 2]) == pytest.approx(18.0)


# ---- findings


@pytest.mark.parametrize("check", ["foul", "notch-foul", "corner", "leg-bottom", "notch-missing"])
def test_what_two_things_share_is_seen_in_the_strong_colour(check):
    assert strong(of_finding(check)).sum() > 250


def test_a_measure_is_drawn_in_at_its_place():
    subject = boat(FAULTY)
    number, finding = finding_of(subject, "joint-gap")
    bodies = bodies_of(subject.assembly)
    close = close_up(finding, bodies, subject.assembly, 1.6)
    assert np.linalg.norm(np.subtract(*close.signs.gap)) == pytest.approx(finding.measured, abs=0.02)
    # it is seen at its length, and in the middle
    a, b = close.view.seen(close.signs.gap, 1.6)
    assert np.allclose((a + b) / 2, 0.5, atol=0.02)
    along = np.subtract(*close.signs.gap)
    assert abs(along @ close.view.axes()[2]) < 1e-6 * np.linalg.norm(along)
    assert strong(made(FAULTY, finding=number)).sum() > 100  # the number


@pytest.mark.parametrize("check", ["station", "outline", "leg-pair"])
def test_a_finding_without_a_measure_is_ringed(check):
    assert strong(of_finding(check)).sum() > 60


def test_a_finding_without_a_place_shows_the_boat():
    subject = boat("skiff")
    number = next(n for n, finding in enumerate(subject.findings, start=1) if finding.at is None)
    assert ink(made("skiff", finding=number)).sum() > 5000


def test_a_close_up_names_the_bodies_that_the_finding_is_about():
    subject = boat(FAULTY)
    bodies = bodies_of(subject.assembly)
    for finding in subject.findings:
        close = close_up(finding, bodies, subject.assembly, 1.6)
        if finding.at is None:
            assert close is None
            continue
        names = {bodies[n].name for n in close.bodies}
        assert names - {"port rail", "starboard rail"} <= set(finding.parts)
        if finding.check == "leg-bottom":
            assert names & {"port rail", "starboard rail"}
        if finding.check in ("foul", "notch-foul", "corner"):
            points, triangles = close.signs.shared
            assert len(triangles) >= 4 and np.isfinite(points).all()
        seen = close.view.seen([finding.at], 1.6)
        assert np.all((seen > 0.02) & (seen < 0.98)), finding.message


def test_findings_of_boats_with_odd_things_in_them_have_pictures():
    side = part("side", rectangle(100, 0, 160, 300))
    own = assembly([frame([side])], strongback=rails())
    odd = (
        making.finding(message="\x00<&", frame="9", at=(0.0, 0.0, 0.0), parts=("F9 x",)),
        making.finding(at=(1e6, 0.0, 0.0)),
        making.finding(
            message="x" * 2000,
            frame="5",
            at=(1000.0, 130.0, 100.0),
            parts=("F5 side", "F5 side"),
            measured=1e9,
            unit="mm",
        ),
    )
    subject = PicturedBoat(assembly=own, seen="from aft", findings=odd)
    for number in (1, 2, 3):
        picture(subject, Asked(finding=number, size=(640, 480)), lambda what: None)
    picture(subject, Asked(size=(640, 480)), lambda what: None)


# ---- pages


def test_a_page_has_a_picture_of_every_step_of_a_frame():
    subject = boat("pram")
    own = subject.assembly.frames[1]
    told: list[str] = []
    shot = pixels(picture(subject, Asked(many="steps", frame=own, size=(900, 700)), told.append))
    steps = [each for each in subject.steps if each.frame == own.number]
    assert shot.shape == (700, 900, 3)
    assert told == [f"step {each.number}" for each in steps]
    titles = [f"{each.title} (F{each.frame})" if each.stage == "bench" else each.title for each in steps]
    grid = grid_of([(each.number, title) for each, title in zip(steps, titles, strict=True)], (900, 700))
    for n in range(len(steps)):
        left, top = (int(place) for place in grid.place(n))
        assert ink(shot[top + 3 : top + grid.cell[1] - 3, left + 3 : left + grid.cell[0] - 3]).sum() > 400


def test_a_page_of_findings_has_errors_and_warnings_waived_or_not_but_no_notes():
    subject = boat(FAULTY)
    wanted = [n for n, finding in enumerate(subject.findings, start=1) if finding.level is not Level.NOTE]
    assert [n for n, _ in subject.on_page(Asked(many="findings"))] == wanted
    own = frame_named(subject.assembly, "4")
    some = subject.on_page(Asked(many="findings", frame=own))
    assert some and all(finding.frame == "4" for _, finding in some)
    assert boat("skiff").on_page(Asked(many="findings")) == []


def many(count: int) -> list[tuple[int, str]]:
    """Numbers and titles, every fifth a long one."""
    return [(n, "a joint stands apart " * (7 if n % 5 == 0 else 2)) for n in range(count)]


@pytest.mark.parametrize("count", [1, 2, 7, 30, 40])
def test_the_pictures_of_a_page_are_as_large_as_it_lets_them_with_all_words_below(count):
    free, given = grid_of(many(count), None), grid_of(many(count), (1200, 900))
    assert free.page[0] == 2400 and free.columns * free.step == pytest.approx(2400)
    assert free.height <= free.page[1] and given.page == (1200, 900) and given.height <= 900
    assert LEAST <= given.cell[0] <= given.step
    for grid in (free, given):
        assert [" ".join(rows) for rows in grid.titles] == [title.strip() for _, title in many(count)]
        room = grid.step - grid.beside
        assert max(wide(row, grid.size) for rows in grid.titles for row in rows) <= room
        tops = [grid.place(n)[1] for n in range(0, count, grid.columns)]
        for n, (top, after) in enumerate(zip(tops, [*tops[1:], grid.height], strict=True)):
            below = max(len(rows) for rows in grid.titles[n * grid.columns : (n + 1) * grid.columns])
            assert after - top - grid.cell[1] > below * LINE * grid.size


@pytest.mark.parametrize("count", [89, 500])
def test_a_page_without_a_size_is_as_high_as_it_has_to_be(count):
    free = grid_of(many(count), None)
    assert free.page[0] == 2400
    assert 0 <= free.page[1] - free.height <= 2 * free.size


def test_pictures_that_would_be_too_small_are_not_made():
    assert grid_of(many(500), (1200, 900)) is None
    assert grid_of(many(1), (64, 64)) is None


# ---- words


@pytest.mark.parametrize("size", [(320, 240), (600, 900), (900, 600), (1600, 1000), (4000, 2000)])
def test_a_caption_has_every_word_inside_the_picture_which_yields(size):
    faulty, sound = boat(FAULTY), boat("skiff")
    said = [finding_words(n, finding) for n, finding in enumerate(faulty.findings, start=1)]
    said += [step_words(step, sound) for step in sound.steps]
    assert any("braced before you let go" in line for _, lines in said for line in lines)
    assert any("take care: lifting and tipping" in lines for _, lines in said)
    for title, lines in said:
        made = caption(title, lines, size)
        assert "".join("".join(made.titles).split()) == "".join(title.split())
        assert "".join("".join(made.rows).split()) == "".join("".join(lines).split())
        assert max(wide(row, made.size) for row in made.rows) < size[0] - 3 * made.size
        assert SMALLEST <= made.size <= letters(size) and made.height <= 0.75 * size[1]


def test_a_size_without_room_for_the_words_is_refused_with_one_that_has():
    lines = ["a word that matters " * 40, "x" * 300]
    with pytest.raises(UseError) as told:
        caption("1. a step", lines, (100, 80))
    wanted = re.search(r"words of this picture: (\d+)x(\d+) has room", str(told.value))
    caption("1. a step", lines, (int(wanted[1]), int(wanted[2])))


@pytest.mark.parametrize("size", [(320, 200), (900, 600), (1600, 1000)])
def test_a_list_of_findings_is_as_wide_as_its_words(size, monkeypatch):
    shown = boat(FAULTY).marked[:12]
    written: list[tuple[float, str, float]] = []
    monkeypatch.setattr(Canvas, "words", lambda self, at, words, size, *_, **__: written.append((at[0], words, size)))
    canvas = Canvas(Image.new("RGB", size), size)
    listing(shown, size).draw(canvas)
    told = " ".join(words for _, words, _ in written)
    assert "more" in told or all(word in told for _, finding in shown for word in brief(finding).split())
    assert "…" not in told
    assert all(x + wide(words, high) <= size[0] for x, words, high in written if not words.isdigit())
    assert listing([], size).share == 0.0


# ---- the scene


def test_every_triangle_and_every_edge_of_what_is_shown_is_there_once():
    bodies = bodies_of(boat("skiff").assembly)
    states = [("shown", "faded", "hidden")[n % 3] for n in range(len(bodies))]
    with Studio(bodies, (64, 64)) as studio:
        studio.stand(states)
        for name, state, cells in (("solid", "shown", "triangles"), ("faded", "faded", "triangles")):
            mesh = studio.scene.plotter.actors[name].mapper.dataset
            wanted = [n for n, each in enumerate(states) if each == state]
            assert mesh.n_cells == sum(len(getattr(bodies[n], cells)) for n in wanted)
            counts = dict(zip(*np.unique(mesh.cell_data["body"], return_counts=True), strict=True))
            assert counts == {n: len(bodies[n].triangles) for n in wanted}
        lines = studio.scene.plotter.actors["lines"].mapper.dataset
        assert lines.n_cells == sum(
            len(body.edges) for body, state in zip(bodies, states, strict=True) if state == "shown"
        )
