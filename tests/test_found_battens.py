"""Battens found by their notches: as drawn where the demonstration boats draw them; labels, doubt, false notches."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import making
import numpy as np
import pytest
import replanning
from faults import HULLS
from replanning import as_toml

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.proposals.battens import found_battens
from scrieve.model.proposals.battens.found_notch import slots_of
from scrieve.model.review import review
from scrieve.shared.errors import PlanError
from scrieve.shared.findings import Level

CENTRE = 0.05  # mm by which a found section may be off the drawn one
ANGLE = np.radians(0.1)


def without_sections(plan: Path, gone: Callable[[str, str], bool] = lambda frame, label: True) -> None:
    """Takes the sections of battens out of the drawings, their texts with them: those that `gone` picks."""
    for file in sorted((plan / "frames").glob("*.dxf")):
        doc = ezdxf.readfile(file)
        space = doc.modelspace()
        texts = [text for text in space.query("TEXT") if text.dxf.layer == "BATTENS"]
        for line in [line for line in space.query("LWPOLYLINE") if line.dxf.layer == "BATTENS"]:
            middle = np.mean([p[:2] for p in line.get_points("xy")], axis=0)
            text = min(texts, key=lambda t: float(np.hypot(t.dxf.insert.x - middle[0], t.dxf.insert.y - middle[1])))
            if gone(file.stem, text.dxf.text):
                space.delete_entity(line)
                texts.remove(text)
                space.delete_entity(text)
        doc.saveas(file)


def boat(plan: Path) -> Assembly:
    return assemble(read_plan(plan))


def said(assembly: Assembly) -> list[str]:
    """What is said of battens that were found, or not."""
    words = ("found by their notches", "not checked", "names a batten")
    return [d.message for d in assembly.defects if any(word in d.message for word in words)]


def assert_alike(drawn: Assembly, found: Assembly) -> None:
    assert [batten.name for batten in found.battens] == [batten.name for batten in drawn.battens]
    for one, other in zip(drawn.battens, found.battens, strict=True):
        assert [s.frame for s in other.sections] == [s.frame for s in one.sections]
        for a, b in zip(one.sections, other.sections, strict=True):
            assert np.hypot(*np.subtract(a.centre, b.centre)) < CENTRE, (one.name, a.frame)
            assert abs((a.angle - b.angle + np.pi / 2) % np.pi - np.pi / 2) < ANGLE, (one.name, a.frame)


@pytest.fixture(params=["pram", "skiff"])
def name(request: pytest.FixtureRequest) -> str:
    return request.param


def test_what_is_found_in_a_demonstration_boat_is_what_was_drawn(name, tmp_path):
    plan = replanning.copy_of(HULLS / name, tmp_path / "copy")
    without_sections(plan)
    drawn, found = boat(HULLS / name), boat(plan)
    assert all(section.drawn is None for frame in found.frames for section in frame.sections)
    assert_alike(drawn, found)
    (note,) = said(found)
    frames = ", ".join(frame.name for frame in drawn.frames)
    assert note == (
        "battens of which no section is drawn were found by their notches: "
        f"keel, port chine, port sheer, starboard chine and starboard sheer in {frames}"
    )
    assert [f for f in review(found) if f.level is not Level.NOTE] == []


@pytest.mark.parametrize(
    "change", [replanning.seen_from_the_other_side, replanning.drawn_in_inches, replanning.half_drawn]
)
def test_however_the_boat_is_drawn(change, tmp_path):
    plan = replanning.copy_of(HULLS / "skiff", tmp_path / "copy")
    without_sections(plan)
    change(plan)
    assert_alike(boat(HULLS / "skiff"), boat(plan))


def test_sections_that_some_frames_show_are_kept_and_the_others_found(name, tmp_path):
    plan = replanning.copy_of(HULLS / name, tmp_path / "copy")
    without_sections(plan, lambda frame, label: frame in "13" or "chine" in label)
    found = boat(plan)
    assert_alike(boat(HULLS / name), found)
    kept = {(f.number, s.batten) for f in found.frames for s in f.sections if s.drawn is not None}
    assert ("2", "keel") in kept and ("2", "port chine") not in kept and ("1", "keel") not in kept
    (note,) = said(found)
    assert "keel, port sheer and starboard sheer in F1, F3" in note


def test_nothing_is_looked_for_where_every_section_is_drawn(name, monkeypatch):
    def never(*_: object) -> None:
        raise AssertionError("looked for notches")

    monkeypatch.setattr(found_battens, "slots_of", never)
    assert said(boat(HULLS / name)) == []


def holed(plan: Path) -> None:
    """Cuts into every floor what is no notch: square limber holes, lightening holes, hand holds with round ends."""
    for file in sorted((plan / "frames").glob("*.dxf")):
        doc = ezdxf.readfile(file)
        space = doc.modelspace()
        (v,) = (t.dxf.insert.y for t in space.query("TEXT") if t.dxf.text in ("floor", "transom"))
        layer = {"layer": "CORE"}
        for u in (-90, 90):
            limber = [(u - 18, v - 6), (u + 18, v - 6), (u + 18, v + 6), (u - 18, v + 6)]
            space.add_lwpolyline(limber, close=True, dxfattribs=layer)
            space.add_circle((1.5 * u, v + 8), 8, dxfattribs=layer)
            hold = [(2 * u - 10, v + 10, 0), (2 * u + 10, v + 10, 1), (2 * u + 10, v + 25, 0), (2 * u - 10, v + 25, 1)]
            space.add_lwpolyline(hold, format="xyb", close=True, dxfattribs=layer)
        doc.saveas(file)


def test_holes_that_are_no_notches_are_taken_for_none(tmp_path):
    plan = replanning.copy_of(HULLS / "skiff", tmp_path / "copy")
    holed(plan)
    drawn = boat(plan)
    assert sum(len(part.holes) for part in drawn.parts()) > 20
    without_sections(plan)
    assert_alike(drawn, boat(plan))


def test_a_notch_that_is_too_wide_is_found_and_reported(tmp_path):
    plan = replanning.copy_of(HULLS / "skiff", tmp_path / "copy")
    without_sections(plan)

    def widen(doc: Any) -> None:
        for line in doc.modelspace().query("LWPOLYLINE[layer=='CORE']"):
            points = line.get_points("xyb")
            if min(p[0] for p in points) < -200 and max(p[0] for p in points) > 200:  # the floor
                wider = [(u + 1.2 * np.sign(u), v, b) if 20 < abs(u) < 31 else (u, v, b) for u, v, b in points]
                line.set_points(wider, format="xyb")

    doc = ezdxf.readfile(plan / "frames" / "4.dxf")
    widen(doc)
    doc.saveas(plan / "frames" / "4.dxf")
    assembly = boat(plan)
    (batten,) = [b for b in assembly.battens if b.name == "keel"]
    assert "4" in {section.frame for section in batten.sections}
    loose = [f for f in review(assembly, only=["notch-slack"]) if f.level is Level.ERROR]
    assert [(f.frame, f.parts) for f in loose] == [("4", ("F4 floor", "keel"))]
    assert loose[0].measured == pytest.approx(1.2, abs=0.02)


# a boat of boards, each with notches from its top edge, (middle, width, depth) mm; battens run straight forward

BOARD = (600.0, 400.0)
FRAMES = (0, 700, 1400, 2100)
Notch = tuple[float, float, float]


def boards(
    folder: Path,
    battens: Mapping[str, Mapping[str, object]],
    notches: Sequence[Notch],
    *,
    texts: Sequence[tuple[str, float, float]] = (),
    frames: Sequence[int] = FRAMES,
    build: str = "upright",
) -> Path:
    """A plan of such boards; `texts` (text, y, v) go onto the layer of labels in every frame."""
    (folder / "frames").mkdir(parents=True)
    plan = {
        "plan": {"name": "Boards", "units": "mm", "seen": "from forward", "build": build},
        "cutter": {"diameter": 6},
        "stock": {"ply18": {"thickness": 18}},
        "battens": {name: dict(spec) for name, spec in battens.items()},
        "layers": {
            "CORE": {"makes": "part", "face": "core", "stock": "ply18"},
            "LABELS": {"makes": "label"},
        },
        "frames": [
            {"number": str(i), "station": x, "drawing": f"frames/{i}.dxf"} for i, x in enumerate(frames, start=1)
        ],
    }
    (folder / "plan.toml").write_text(as_toml(plan), encoding="utf-8")
    wide, high = BOARD
    for i in range(1, len(frames) + 1):
        doc = ezdxf.new("R2000")
        doc.header["$INSUNITS"] = 4
        points = [(-wide, 0.0), (wide, 0.0), (wide, high)]
        for middle, width, depth in sorted(notches, reverse=True):
            right, left = middle + width / 2, middle - width / 2
            points += [(right, high), (right, high - depth), (left, high - depth), (left, high)]
        points.append((-wide, high))
        doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "CORE"})
        doc.modelspace().add_text("board", height=20, dxfattribs={"layer": "LABELS", "insert": (0, 100)})
        for text, y, v in texts:
            doc.modelspace().add_text(text, height=8, dxfattribs={"layer": "LABELS", "insert": (y, v)})
        doc.saveas(folder / "frames" / f"{i}.dxf")
    return folder


PORT = {"section": [40, 20], "sides": "port"}
OTHER = {"section": [36, 24], "sides": "port"}


def centres(assembly: Assembly) -> dict[str, set[tuple[float, float]]]:
    """Where each batten's sections lie, to a hundredth."""
    return {
        batten.name: {(round(s.centre[0], 2), round(s.centre[1], 2)) for s in batten.sections}
        for batten in assembly.battens
    }


def test_a_size_of_its_own_names_a_batten(tmp_path):
    plan = boards(tmp_path / "p", {"b": PORT, "a": OTHER}, [(200, 40, 20), (400, 36, 24)])
    assert centres(boat(plan)) == {"port b": {(200, 390)}, "port a": {(400, 388)}}


def test_a_batten_may_stand_on_edge(tmp_path):
    plan = boards(tmp_path / "p", {"b": PORT, "a": OTHER}, [(200, 20, 40), (400, 36, 24)])
    assembly = boat(plan)
    assert centres(assembly) == {"port b": {(200, 380)}, "port a": {(400, 388)}}
    (angle,) = {round(np.degrees(s.angle)) % 180 for b in assembly.battens if b.name == "port b" for s in b.sections}
    assert angle == 90


def test_two_of_one_size_without_words_of_the_trade_are_not_guessed(tmp_path):
    plan = boards(tmp_path / "p", {"b": PORT, "a": PORT}, [(200, 40, 20), (400, 40, 20)])
    assembly = boat(plan)
    assert assembly.battens == ()
    assert [line.split(":")[0] for line in said(assembly)] == [
        "the port a batten is not checked",
        "the port b batten is not checked",
    ]
    assert all("in F1 at y 200.0, z 390.0 or y 400.0, z 390.0" in line for line in said(assembly))
    assert all(d.level is Level.ERROR and d.cure for d in assembly.defects if "not checked" in d.message)


def test_a_label_in_or_beside_the_notch_names_it(tmp_path):
    texts = [("port a", 390, 388), ("B", 174, 392)]
    plan = boards(tmp_path / "p", {"b": PORT, "a": PORT}, [(200, 40, 20), (400, 40, 20)], texts=texts)
    assembly = boat(plan)
    assert centres(assembly) == {"port b": {(200, 390)}, "port a": {(400, 390)}}
    assert not any("stand in no outline" in d.message for frame in assembly.frames for d in frame.defects)


def test_one_label_is_enough_to_tell_two_apart(tmp_path):
    texts = [("a", 385, 388)]
    plan = boards(tmp_path / "p", {"b": PORT, "a": PORT}, [(200, 40, 20), (400, 40, 20)], texts=texts)
    assert centres(boat(plan)) == {"port b": {(200, 390)}, "port a": {(400, 390)}}


@pytest.mark.parametrize("build", ["upright", "inverted"])
def test_two_of_one_size_are_told_by_the_order_of_the_trade(tmp_path, build):
    # from the keel up and round: on the top edge of a board that is the outer one first
    plan = boards(tmp_path / "p", {"sheer": PORT, "chine": PORT}, [(200, 40, 20), (400, 40, 20)], build=build)
    chine, sheer = ((400, 390), (200, 390)) if build == "upright" else ((200, 390), (400, 390))
    assert centres(boat(plan)) == {"port chine": {chine}, "port sheer": {sheer}}


def test_a_batten_with_two_rows_to_choose_from_is_not_guessed(tmp_path):
    assembly = boat(boards(tmp_path / "p", {"chine": PORT}, [(200, 40, 20), (400, 40, 20)]))
    assert assembly.battens == ()
    (line,) = said(assembly)
    assert "y 200.0, z 390.0 or y 400.0, z 390.0" in line


def test_of_two_rows_the_one_that_fits_is_taken(tmp_path):
    assembly = boat(boards(tmp_path / "p", {"chine": PORT}, [(200, 40, 20), (400, 42.5, 20)]))
    assert centres(assembly) == {"port chine": {(200, 390)}}


def test_notches_in_two_of_four_frames_are_no_batten_unless_labelled(tmp_path):
    plan = boards(tmp_path / "p", {"chine": PORT}, [(200, 40, 20)])
    bare = boards(tmp_path / "bare", {"chine": PORT}, [])
    for number in ("2", "4"):
        (plan / "frames" / f"{number}.dxf").write_bytes((bare / "frames" / f"{number}.dxf").read_bytes())
    assert boat(plan).battens == ()
    labelled = boards(tmp_path / "labelled", {"chine": PORT}, [(200, 40, 20)], texts=[("chine", 190, 388)])
    for number in ("2", "4"):
        (labelled / "frames" / f"{number}.dxf").write_bytes((bare / "frames" / f"{number}.dxf").read_bytes())
    assert {s.frame for b in boat(labelled).battens for s in b.sections} == {"1", "3"}


def test_a_batten_of_which_there_is_nothing_is_not_checked(tmp_path):
    (line,) = said(boat(boards(tmp_path / "p", {"chine": PORT}, [(200, 70, 20)])))
    assert line.startswith("the port chine batten is not checked: no frame shows its section or a notch that fits it")
    assert "The nearest notches that no batten has: 70.0 x 20.0 mm in F1 at y 200.0, z 390.0; " in line
    assert [d.level for d in boat(tmp_path / "p").defects if d.message == line] == [Level.ERROR]


@pytest.mark.parametrize("number", [1, 2, 4])
@pytest.mark.parametrize("width", [36.0, 44.5, 46.0])
def test_a_notch_that_differs_is_still_the_battens_and_is_judged(number, width, tmp_path):
    plan = boards(tmp_path / "p", {"chine": PORT}, [(200, 40, 20)])
    other = boards(tmp_path / "other", {"chine": PORT}, [(200, width, 20)])
    (plan / "frames" / f"{number}.dxf").write_bytes((other / "frames" / f"{number}.dxf").read_bytes())
    found = [f for f in review(boat(plan)) if f.level is Level.ERROR and f.check.startswith("notch")]
    assert {(f.frame, round(f.measured, 2)) for f in found} == {(str(number), abs(width - 40) / 2)}


def test_the_frames_a_batten_runs_through_by_the_plan(tmp_path):
    spec = {**PORT, "frames": ["2", "5"]}
    plan = boards(tmp_path / "p", {"chine": spec}, [(200, 40, 20)], frames=range(0, 3500, 700))
    assembly = boat(plan)
    assert [[s.frame for s in b.sections] for b in assembly.battens] == [["2", "3", "4", "5"]]
    (empty,) = [f for f in review(assembly) if f.check == "notch-empty"]
    assert (empty.level, empty.frame, empty.parts) == (Level.WARNING, "1", ("F1 board",))
    other = boards(tmp_path / "other", {"chine": spec}, [(-300, 40, 20)], frames=range(0, 3500, 700))
    (plan / "frames" / "5.dxf").write_bytes((other / "frames" / "5.dxf").read_bytes())
    (lacking,) = [d for d in boat(plan).defects if "by the plan" in d.message]
    assert lacking.level is Level.ERROR
    assert lacking.message == "the port chine runs from F2 to F5 by the plan, but F5 has no notch for it"


def test_a_frame_that_the_plan_does_not_have_is_refused(tmp_path):
    plan = boards(tmp_path / "p", {"chine": {**PORT, "frames": ["2", "9"]}}, [(200, 40, 20)])
    with pytest.raises(PlanError, match="the plan has no such frame"):
        boat(plan)


def test_drawn_battens_are_not_in_doubt_because_one_frame_shows_nothing(tmp_path):
    plan = replanning.copy_of(HULLS / "pram", tmp_path / "copy")
    file = plan / "frames" / "2.dxf"
    doc = ezdxf.readfile(file)
    doc.modelspace().delete_all_entities()
    doc.saveas(file)
    found = boat(plan)
    assert said(found) == []
    assert [[s.frame for s in batten.sections] for batten in found.battens] == [["1", "3", "4"]] * 5


def test_a_label_in_no_notch_is_told(tmp_path):
    plan = boards(tmp_path / "p", {"chine": PORT}, [(200, 40, 20)], texts=[("chine", 300, 420)])
    assembly = boat(plan)
    assert centres(assembly) == {"port chine": {(200, 390)}}
    assert 'the text "chine" in F1 names a batten but stands in no outline and in no notch that fits it' in said(
        assembly
    )


def test_the_sides_and_the_centreline_are_kept_apart(tmp_path):
    battens = {"keel": {"section": [40, 20], "sides": "centre"}, "chine": {"section": [40, 20], "sides": "both"}}
    plan = boards(tmp_path / "p", battens, [(0, 40, 20), (300, 40, 20), (-300, 40, 20)])
    assert centres(boat(plan)) == {"keel": {(0, 390)}, "port chine": {(300, 390)}, "starboard chine": {(-300, 390)}}


# the notches themselves, on boards in memory


def slots(*parts: Outline, cutter: float = 6.0) -> list[Any]:
    named = [making.part(f"board {i}", outline) for i, outline in enumerate(parts)]
    return list(slots_of(making.frame(named), cutter))


def turned(points: Sequence[tuple[float, float]], degrees: float) -> Outline:
    return Outline.of(making.turned(points, np.radians(degrees)))


OPEN = [(0, 0), (200, 0), (200, 100), (120, 100), (120, 80), (80, 80), (80, 100), (0, 100)]


@pytest.mark.parametrize("degrees", [0, 17, 90, 200])
def test_a_notch_of_three_walls(degrees):
    (slot,) = slots(turned(OPEN, degrees))
    assert sorted(slot.size) == pytest.approx([20, 40])
    assert tuple(slot.middle) == pytest.approx(making.turned([(100, 90)], np.radians(degrees))[0])
    assert [slot.shut(axis) for axis in (0, 1)].count(True) == 1


def test_a_notch_with_round_reliefs_in_its_corners_is_the_same():
    # dog-bones of 6 mm: the walls run to 4.24 mm from each corner, an arc between
    cut = 3 * np.sqrt(2)
    notch = [(120, 100), (120, 80 + cut), (120 - cut, 80), (80 + cut, 80), (80, 80 + cut), (80, 100)]
    points = [(0, 0), (200, 0), (200, 100), *notch, (0, 100)]
    bulges = [0, 0, 0, 0, -1, 0, -1, 0, 0, 0]
    (slot,) = slots(Outline.of(points, bulges))
    assert sorted(slot.size) == pytest.approx([20, 40])
    assert tuple(slot.middle) == pytest.approx((100, 90))


def test_a_notch_shared_by_two_parts_is_one():
    left = Outline.of([(0, 0), (100, 0), (100, 80), (80, 80), (80, 100), (0, 100)])
    right = Outline.of([(100.3, 0), (200, 0), (200, 100), (120, 100), (120, 80), (100.3, 80)])
    (slot,) = slots(left, right)
    assert sorted(slot.size) == pytest.approx([20, 40])
    assert [part.label for part in slot.parts] == ["board 0", "board 1"]


def test_a_hole_has_four_walls():
    board = making.part("board", making.rectangle(0, 0, 200, 100))
    holed_board = replace(board, holes=(making.rectangle(80, 40, 120, 60),))
    (slot,) = slots_of(making.frame([holed_board]), 6.0)
    assert sorted(slot.size) == pytest.approx([20, 40])
    assert slot.shut(0) and slot.shut(1)
    assert tuple(slot.middle) == pytest.approx((100, 50))


def test_a_corner_of_two_walls():
    (slot,) = slots(Outline.of([(0, 0), (200, 0), (200, 60), (180, 60), (180, 100), (0, 100)]))
    assert sorted(slot.size) == pytest.approx([20, 40])
    assert not slot.shut(0) and not slot.shut(1)


def test_corners_that_stand_out_are_no_notches():
    assert slots(making.rectangle(0, 0, 40, 20)) == []
