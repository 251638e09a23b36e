"""`scrieve screws`: a layout that can be laid over the drawings, and what it says."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf.addons import Importer
from replanning import change_drawings, change_plan, copy_of, drawn_in_inches, half_drawn, seen_from_the_other_side
from test_screws_proposed import found, held, without_screws

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.findings import Level
from scrieve.viewer.verbs.commands import run

HULLS = Path(__file__).parents[1] / "hulls"


@pytest.fixture
def pram(tmp_path) -> Path:
    """A copy of the pram."""
    return copy_of(HULLS / "pram", tmp_path / "pram")


def boat(plan: Path) -> Assembly:
    return assemble(read_plan(plan))


def lay_over(plan: Path, out: Path) -> None:
    """Inserts the layers of screws of each frame's block in that frame's drawing, at 0, 0, as a designer would."""
    layout = ezdxf.readfile(out)
    for number in [block.name.removeprefix("FRAME ") for block in layout.blocks if block.name.startswith("FRAME ")]:
        file = plan / "frames" / f"{number}.dxf"
        drawing = ezdxf.readfile(file)
        importer = Importer(layout, drawing)
        marks = [
            entity for entity in layout.blocks[f"FRAME {number}"] if entity.dxf.layer in ("SCREWS FWD", "SCREWS AFT")
        ]
        importer.import_entities(marks)
        importer.finalize()
        drawing.saveas(file)


@pytest.mark.parametrize("change", [None, seen_from_the_other_side, drawn_in_inches, half_drawn])
def test_the_layout_laid_over_the_drawings_is_what_check_had_proposed(pram, tmp_path, change, capsys):
    if change is not None:
        change(pram)
    plan = without_screws(pram)
    proposed = boat(plan)
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(plan), str(out)]) == 0
    said = capsys.readouterr().out
    assert f"wrote {out}: 64 screws (No. 6 x 1/2 in)" in said
    assert "F2: 16 screws in 4 gussets (8 from forward, 8 from aft)" in said
    lay_over(plan, out)
    drawn = boat(plan)
    assert held(drawn) == held(proposed)
    for before, now in zip(proposed.frames, drawn.frames, strict=True):
        assert [screw.driven_from for screw in now.screws] == [screw.driven_from for screw in before.screws]
        np.testing.assert_allclose([s.at for s in now.screws], [s.at for s in before.screws], atol=1e-3)
        assert not any(screw.proposed for screw in now.screws)
    assert found(drawn) == []
    said_now = {defect.message for frame in drawn.frames for defect in frame.defects}
    assert said_now <= {defect.message for frame in proposed.frames for defect in frame.defects}  # the crosses too


def test_it_reads_in_other_programs_and_is_the_same_again(pram, tmp_path):
    plan = without_screws(pram)
    texts = []
    for name in ("one.dxf", "two.dxf"):
        out = tmp_path / name
        assert run(["screws", str(plan), str(out)]) == 0
        texts.append(out.read_bytes())
    assert texts[0] == texts[1]
    document = ezdxf.readfile(tmp_path / "one.dxf")
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == 4
    assert [insert.dxf.name for insert in document.modelspace().query("INSERT")] == [f"FRAME {n}" for n in "1234"]
    (mark,) = (block for block in document.blocks if block.name.startswith("SCREW "))
    (circle,) = mark.query("CIRCLE")
    assert circle.dxf.radius == pytest.approx(0.138 * 25.4 / 2)  # No. 6: 0.060 + 0.013 x 6 in (ASME B18.6.1 series)
    assert len(mark.query("LINE")) == 2
    words = {text.dxf.text for text in document.blocks["FRAME 2"].query("TEXT")}
    assert {"floor", "port chine gusset", "starboard side"} <= words


def test_the_blocks_do_not_lie_over_one_another(pram, tmp_path):
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(without_screws(pram)), str(out)]) == 0
    document = ezdxf.readfile(out)
    boxes = []
    for insert in document.modelspace().query("INSERT"):
        lines = document.blocks[insert.dxf.name].query("LWPOLYLINE")
        points = np.array([(u, v) for line in lines for u, v, *_ in line.get_points()])
        points += np.array([insert.dxf.insert.x, insert.dxf.insert.y])
        boxes.append((points.min(axis=0), points.max(axis=0)))
    for n, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[n + 1 :]:
            assert np.any(high < other_low) or np.any(other_high < low)


def test_the_plans_layers_are_used_and_plain_words_where_it_has_none(pram, tmp_path):
    plan = without_screws(pram)

    def no_layers(content) -> None:
        for layer in ("SCREWS FWD", "SCREWS AFT"):
            del content["layers"][layer]
        content["layers"]["SCREWS AFT"] = {"makes": "reference"}
        content["layers"]["NAMES"] = {"makes": "label"}

    change_plan(plan, no_layers)
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(plan), str(out)]) == 0
    block = ezdxf.readfile(out).blocks["FRAME 2"]
    layers = {insert.dxf.layer for insert in block.query("INSERT")}
    assert layers == {"SCREWS FORWARD", "SCREWS AFT (2)"}
    assert {text.dxf.layer for text in block.query("TEXT")} == {"NAMES (2)"}


def test_a_kind_that_the_plan_does_not_have_is_refused_even_where_nothing_is_to_be_laid_out(pram, tmp_path, capsys):
    assert run(["screws", str(pram), str(tmp_path / "screws.dxf"), "--screw", "guset"]) == 2
    assert capsys.readouterr().err == (
        'scrieve: --screw must name a kind of screw of the plan (got "guset"; did you mean "gusset"?)\n'
    )


def test_only_the_face_without_screws_is_laid_out(pram, tmp_path, capsys):
    plan = without_screws(pram, "SCREWS AFT")
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(plan), str(out)]) == 0
    said = capsys.readouterr().out
    assert "F2: 8 screws in 2 gussets (8 from aft)" in said
    assert "F1" not in said  # a transom has its gussets, and its screws, forward
    block = ezdxf.readfile(out).blocks["FRAME 2"]
    assert len(block.query('CIRCLE[layer=="SCREWS AS DRAWN"]')) == 8
    lay_over(plan, out)
    assert found(boat(plan)) == []


def test_with_screws_everywhere_nothing_is_written(tmp_path, capsys):
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(HULLS / "pram"), str(out)]) == 0
    assert "every gusset has screws from its own face; nothing to lay out" in capsys.readouterr().out
    assert not out.exists()


def test_a_gusset_without_room_is_told_with_its_measure_and_ends_1(pram, tmp_path, capsys):
    plan = without_screws(pram)
    change_plan(plan, lambda content: content.update(limits={"screw_edge_warning": 7.0}))
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(plan), str(out)]) == 1
    said = capsys.readouterr().out
    # No. 6: 7 x 3.505 + 0.5 mm
    why = "no more fit there 25.04 mm from one another and from all edges"
    assert f"  F3 port chine gusset, forward: 1 of 2 screws into F3 floor: {why}" in said
    assert f"  F3 port chine gusset, aft: no screws into F3 floor: {why}" in said


def test_a_screw_too_long_for_all_gussets_writes_nothing(pram, tmp_path, capsys):
    plan = without_screws(pram)
    change_plan(plan, lambda content: content["screws"]["gusset"].update(length="1-1/2 in"))
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(plan), str(out)]) == 1
    said = capsys.readouterr().out
    assert "No. 6 x 1-1/2 in comes 23.10 mm through, want 1.00 mm left" in said
    assert "No screw could be laid out" in said
    assert not out.exists()


def test_several_kinds_ask_which(pram, tmp_path, capsys):
    plan = without_screws(pram)

    def two(content) -> None:
        content["screws"]["long"] = {"gauge": 6, "length": "5/8 in"}
        content["layers"]["SCREWS AFT"]["screw"] = "long"

    change_plan(plan, two)
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(plan), str(out)]) == 2
    assert "say which one with --screw NAME (one of gusset, long)" in capsys.readouterr().err
    assert run(["screws", str(plan), str(out), "--screw", "lonk"]) == 2
    assert 'did you mean "long"?' in capsys.readouterr().err
    assert run(["screws", str(plan), str(out), "--screw", "gusset"]) == 0
    layers = {mark.dxf.layer for mark in ezdxf.readfile(out).blocks["FRAME 2"].query("INSERT")}
    assert layers == {"SCREWS FWD", "SCREWS AFT (2)"}  # the plan's aft layer is for the other kind


def test_the_kind_drawn_through_other_gussets_is_the_one(pram, tmp_path):
    def first_alone(document) -> None:
        space = document.modelspace()
        if len(space.query('CIRCLE[layer=="SCREWS AFT"]')):  # F2 and F3 lose theirs
            for circle in list(space.query("CIRCLE")):
                if circle.dxf.layer.startswith("SCREWS"):
                    space.delete_entity(circle)

    change_drawings(pram / "frames", first_alone)

    def two(content) -> None:
        content["screws"]["long"] = {"gauge": 6, "length": "5/8 in"}
        content["layers"]["SCREWS LONG"] = {"makes": "screw", "screw": "long", "driven_from": "aft"}

    change_plan(pram, two)
    out = tmp_path / "screws.dxf"
    assert run(["screws", str(pram), str(out)]) == 0
    assert [block.name for block in ezdxf.readfile(out).blocks if block.name.startswith("FRAME")] == [
        "FRAME 2",
        "FRAME 3",
    ]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("screws.svg", "a name ending in .dxf is wanted"),
        ("there.dxf", "is there already"),
        ("a/b.dxf", "no such folder"),
    ],
)
def test_what_cannot_be_written(tmp_path, monkeypatch, capsys, name, said):
    monkeypatch.chdir(tmp_path)
    Path("there.dxf").write_text("mine")
    assert run(["screws", str(HULLS / "pram"), name]) == 2
    assert said in capsys.readouterr().err
    assert Path("there.dxf").read_text() == "mine"


def test_a_plan_without_screws_is_told_what_it_lacks(pram, tmp_path, capsys):
    plan = without_screws(pram)

    def none(content) -> None:
        del content["screws"]
        for layer in ("SCREWS FWD", "SCREWS AFT"):
            del content["layers"][layer]

    change_plan(plan, none)
    assert run(["screws", str(plan), str(tmp_path / "screws.dxf")]) == 2
    assert "names no screws: a table [screws.NAME] with a gauge and a length is wanted" in capsys.readouterr().err
    assert Level.NOTE in {defect.level for defect in boat(plan).defects}
