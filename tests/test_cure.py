"""`check --cure`: the file of computed moves; followed in a copy of the drawings, the findings are gone."""

from __future__ import annotations

import csv
import os
import random
import re
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from replanning import (
    change_drawings,
    change_plan,
    copy_of,
    drawn_in_inches,
    half_drawn,
    seen_from_the_other_side,
    shuffled,
)

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.viewer.verbs.commands import run

SKIFF = Path(__file__).parents[1] / "hulls" / "skiff"
JUDGING = ("screw-foul", "screw-edge", "screw-bite", "screw-count", "driver", "foul")


def shifted(plan: Path, seed: int, *, share: float = 0.3, furthest: float = 12.0) -> Path:
    """The plan, some of its screws shifted by chance."""
    chance = random.Random(seed)

    def shift(document) -> None:
        scale = 1 / 25.4 if document.header["$INSUNITS"] == 1 else 1.0
        for circle in document.modelspace().query("CIRCLE"):
            if circle.dxf.layer.startswith("SCREWS") and chance.random() < share:
                far = chance.uniform(-furthest, furthest), chance.uniform(-furthest, furthest)
                circle.translate(far[0] * scale, far[1] * scale, 0)

    change_drawings(plan / "frames", shift)
    return plan


def table_of(plan: Path, *more: str) -> list[dict[str, str]]:
    """The rows of the table that `check --cure` writes."""
    out = plan.parent / "cure.csv"
    out.unlink(missing_ok=True)
    run(["check", str(plan), "--only", "screw-foul,screw-edge", "--output", str(plan.parent / "report.txt"),
         "--replace", "--cure", str(out), *more])  # fmt: skip
    with out.open(encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))


def follow(plan: Path, rows: list[dict[str, str]]) -> None:
    """Does in the drawings what the table says, by the handles alone."""
    for shown in sorted({row["file"] for row in rows}):
        document = ezdxf.readfile(plan / shown)
        for row in rows:
            if row["file"] != shown:
                continue
            for handle in row["handle"].split():
                entity = document.entitydb[handle]
                if row["do"] == "leave out":
                    document.modelspace().delete_entity(entity)
                else:
                    by = [float(row[f"new {axis}"]) - float(row[axis]) for axis in "uv"]
                    entity.translate(*by, 0)
        document.saveas(plan / shown)


def boat(plan: Path) -> Assembly:
    return assemble(read_plan(plan))


def found(assembly: Assembly, checks: tuple[str, ...] = JUDGING) -> set[tuple[str, str, tuple[float, ...]]]:
    """The findings by check, level and place: names of screws count from port, and change as screws move."""
    findings = (f for slug in checks for f in CHECKS[slug].run(assembly))
    return {(f.check, str(f.level), tuple(round(c, 2) for c in f.at)) for f in findings if f.level != "note"}


CURED = ("screw-foul", "screw-edge")
CHANGES: dict[str, Callable[[Path], None] | None] = {
    "as drafted": None,
    "seen from forward": seen_from_the_other_side,
    "in inches": drawn_in_inches,
    "half drawn": half_drawn,
}


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("seed", range(2))
def test_following_the_table_leaves_no_finding_and_makes_none(tmp_path, seed, change):
    plan = copy_of(SKIFF, tmp_path / "skiff")
    if CHANGES[change] is not None:
        CHANGES[change](plan)
    shifted(plan, seed)
    before = found(boat(plan))
    assert sum(check in CURED for check, *_ in before) > 5
    rows = table_of(plan)
    assert {row["do"] for row in rows} <= {"move", "move after the others"}
    follow(plan, rows)
    after = found(boat(plan))
    assert not [what for what in after if what[0] in CURED]
    assert after <= before


@pytest.mark.parametrize("seed", (0, 3, 7))
def test_in_a_drawing_gone_badly_wrong_what_has_no_place_is_left_out(tmp_path, seed):
    """Four screws in five up to 40 mm off: some have no place, and are told."""
    plan = shifted(copy_of(SKIFF, tmp_path / "skiff"), seed, share=0.8, furthest=40.0)
    before = found(boat(plan), CURED)
    rows = table_of(plan)
    assert "leave out" in {row["do"] for row in rows}
    follow(plan, rows)
    assert found(boat(plan), CURED) == set()
    assert before


@pytest.mark.parametrize("seed", range(2))
def test_any_half_of_the_moves_is_as_good_as_far_as_it_goes(tmp_path, seed):
    """Each place is clear of all others as they stand: no move needs another, and none spoils another."""
    plan = shifted(copy_of(SKIFF, tmp_path / "skiff"), seed)
    before = found(boat(plan))
    rows = [row for row in table_of(plan) if row["do"] == "move"]
    some = random.Random(seed).sample(rows, len(rows) // 2)
    follow(plan, some)
    assert found(boat(plan)) < before


def test_report_and_file_name_the_same_places(tmp_path):
    plan = shifted(copy_of(SKIFF, tmp_path / "skiff"), 1)
    rows = table_of(plan)
    report = (tmp_path / "report.txt").read_text(encoding="utf-8")
    told = set(re.findall(r"to y (-?[\d.]+), z (-?[\d.]+)", report))
    assert told == {(f"{float(row['new y mm']):.1f}", f"{float(row['new z mm']):.1f}") for row in rows}


def test_the_order_of_things_in_the_drawing_makes_no_difference(tmp_path):
    plan = shifted(copy_of(SKIFF, tmp_path / "skiff"), 2)
    rows = table_of(plan)
    shuffled(plan, 5)
    assert table_of(plan) == rows


def test_port_and_starboard_are_cured_alike(tmp_path):
    """Every screw of F2 is shifted as its image is."""
    plan = copy_of(SKIFF, tmp_path / "skiff")

    def shift(document) -> None:
        for circle in document.modelspace().query('CIRCLE[layer=="SCREWS FWD"]'):
            u, v, _ = circle.dxf.center
            circle.translate(np.sign(u) * 7.0 * np.sin(v), 9.0 * np.cos(u * u), 0)

    change_drawings(plan / "frames", shift)
    rows = table_of(plan)
    assert len(rows) > 10
    for frame in {row["frame"] for row in rows}:
        places = [
            (abs(float(row["new y mm"])), float(row["new z mm"]), float(row["new y mm"]) > 0)
            for row in rows
            if row["frame"] == frame
        ]
        port = sorted(place[:2] for place in places if place[2])
        assert port == sorted(place[:2] for place in places if not place[2])


# ---- what is drawn as one


def two_at_the_edge(plan: Path, draw: Callable) -> tuple[float, float]:
    """Puts the first screw of F3's port chine gusset 3 mm off the edge, as `draw` draws it; gives where it stood."""
    document = ezdxf.readfile(plan / "frames" / "3.dxf")
    space = document.modelspace()
    circle = min(space.query('CIRCLE[layer=="SCREWS FWD"]'), key=lambda c: (c.dxf.center.x, c.dxf.center.y))
    place = next(f for f in boat(plan).frames if f.number == "3")
    part = next(p for p in place.parts if p.name == "F3 port chine gusset, forward")
    u, v, _ = circle.dxf.center
    edge, axis = shapely.get_coordinates(shapely.shortest_line(part.shape.boundary, shapely.Point(-u, v)))
    y, z = edge + (axis - edge) / np.hypot(*(axis - edge)) * 3.0
    radius = circle.dxf.radius
    space.delete_entity(circle)
    draw(document, (-y, z), radius)
    document.saveas(plan / "frames" / "3.dxf")
    return -y, z


def test_head_and_shank_drawn_as_two_circles_go_together(tmp_path):
    plan = copy_of(SKIFF, tmp_path / "skiff")

    def draw(document, at, radius):
        for each in (radius, 2 * radius):
            document.modelspace().add_circle(at, each, dxfattribs={"layer": "SCREWS FWD"})

    two_at_the_edge(plan, draw)
    (row,) = table_of(plan)
    assert len(row["handle"].split()) == 2
    follow(plan, [row])
    assert found(boat(plan)) == set()


def test_a_block_of_two_screws_moves_as_a_whole_and_both_keep_clear(tmp_path):
    plan = copy_of(SKIFF, tmp_path / "skiff")

    def draw(document, at, radius):
        block = document.blocks.new("PAIR")
        for u in (0.0, 12.0):
            block.add_circle((u, 0.0), radius)
        document.modelspace().add_blockref("PAIR", at, dxfattribs={"layer": "SCREWS FWD"})

    at = two_at_the_edge(plan, draw)
    (row,) = table_of(plan)
    assert (float(row["u"]), float(row["v"])) == pytest.approx(at, abs=1e-4)
    assert row["goes along"]
    follow(plan, [row])
    assert not [what for what in found(boat(plan)) if what[0] in CURED]


def test_in_a_half_drawing_the_image_goes_along(tmp_path):
    plan = copy_of(SKIFF, tmp_path / "skiff")
    half_drawn(plan)
    shifted(plan, 1)
    rows = table_of(plan)
    assert all(re.fullmatch(r"F\d (forward|aft) screw \d+", row["goes along"]) for row in rows)
    assert all(float(row["new y mm"]) > 0 for row in rows)
    assert "drawn as one with it, " in (tmp_path / "report.txt").read_text(encoding="utf-8")


# ---- which findings, which file


def test_what_is_waived_stays_where_it_is(tmp_path):
    plan = shifted(copy_of(SKIFF, tmp_path / "skiff"), 1)
    frames = sorted({row["frame"] for row in table_of(plan)})
    waivers = [{"check": check, "where": f"F{frames[0]}", "reason": "pulled after gluing"} for check in CURED]
    change_plan(plan, lambda content: content.update(waivers=waivers))
    assert sorted({row["frame"] for row in table_of(plan)}) == frames[1:]


def test_only_what_the_report_tells_is_cured(tmp_path):
    plan = shifted(copy_of(SKIFF, tmp_path / "skiff"), 2, share=0.8)
    rows = table_of(plan, "--skip", "screw-edge")
    follow(plan, rows)
    left = {check for check, *_ in found(boat(plan), CURED)}
    assert left == {"screw-edge"}


def test_with_nothing_to_move_the_file_says_so(tmp_path, capsys):
    out = tmp_path / "cure.csv"
    out.write_text("of last week")
    assert run(["check", str(SKIFF), "--cure", str(out), "--replace"]) == 0
    assert out.read_text(encoding="utf-8").splitlines() == [out.read_text(encoding="utf-8").strip()]
    assert out.read_text(encoding="utf-8").startswith("frame,name,do,")
    assert f"wrote {out}: nothing to change" in capsys.readouterr().err
    drawing = tmp_path / "cure.dxf"
    assert run(["check", str(SKIFF), "--cure", str(drawing)]) == 0
    (text,) = ezdxf.readfile(drawing).modelspace()
    assert text.dxf.text == "Nothing in the drawings of frames has to be changed."


def test_the_drawing_has_the_new_places_on_the_screws_own_layers(tmp_path):
    """Each frame's block, laid over its drawing at 0, 0, has a mark where the table has a new place."""
    plan = shifted(copy_of(SKIFF, tmp_path / "skiff"), 1)
    rows = table_of(plan)
    before = {file: file.read_bytes() for file in plan.rglob("*") if file.is_file()}
    out = tmp_path / "cure.dxf"
    run(["check", str(plan), "--cure", str(out), "--output", str(tmp_path / "r"), "--fail-on", "never"])
    assert {file: file.read_bytes() for file in plan.rglob("*") if file.is_file()} == before
    document = ezdxf.readfile(out)
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == 4
    for row in rows:
        block = document.blocks[f"FRAME {row['frame']}"]
        at = float(row["new u"]), float(row["new v"])
        marks = [m for m in block.query("INSERT") if np.allclose((m.dxf.insert.x, m.dxf.insert.y), at, atol=1e-5)]
        assert [m.dxf.layer for m in marks] == [row["layer"]]
        assert any(
            np.allclose((line.dxf.start.x, line.dxf.start.y), (float(row["u"]), float(row["v"])), atol=1e-5)
            and np.allclose((line.dxf.end.x, line.dxf.end.y), at, atol=1e-5)
            for line in block.query('LINE[layer=="MOVES"]')
        )
        assert any(text.dxf.text.startswith(row["name"]) for text in block.query("TEXT"))
    again = tmp_path / "again.dxf"
    run(["check", str(plan), "--cure", str(again), "--output", str(tmp_path / "r2"), "--fail-on", "never"])
    assert again.read_bytes() == out.read_bytes()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--cure", "cure.txt"], "a name ending in .dxf or .csv is wanted"),
        (["--cure", "there.csv"], "is there already"),
        (["--cure", "nowhere/cure.csv"], "no such folder"),
        (["--cure", "one.csv", "--output", "one.csv"], "--cure and --output want two files"),
        ([str(SKIFF), "--cure", "two.csv"], "--cure takes one plan at a time"),
    ],
)
def test_what_cannot_be_asked(tmp_path, monkeypatch, capsys, words, said):
    monkeypatch.chdir(tmp_path)
    Path("there.csv").write_text("mine")
    assert run(["check", str(SKIFF), *words]) == 2
    assert said in capsys.readouterr().err
    assert Path("there.csv").read_text() == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["there.csv"]


def test_report_and_cures_are_both_written_or_neither(tmp_path, monkeypatch, capsys):
    out, cures = tmp_path / "report.txt", tmp_path / "elsewhere" / "cure.csv"
    cures.parent.mkdir()
    out.write_text("of last week")
    real = os.rename

    def full(start, end) -> None:
        if Path(end) == cures:
            raise OSError(28, "No space left on device")
        real(start, end)

    words = ["check", str(SKIFF), "--only", "station", "--output", str(out), "--cure", str(cures), "--replace"]
    with monkeypatch.context() as patched:
        patched.setattr(os, "rename", full)
        assert run(words) == 2
    assert f"{cures}: cannot be written (No space left on device)" in capsys.readouterr().err
    assert out.read_text() == "of last week"
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["elsewhere", "report.txt"]
    assert run(words) == 0
    assert out.read_text() != "of last week" and cures.exists()
