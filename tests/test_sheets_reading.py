"""Cut sheets of a plan: read with its frames, in their own units, and told with the rest where they cannot be."""

from __future__ import annotations

import shutil
from pathlib import Path

import ezdxf
import pytest
from ezdxf.math import Matrix44
from replanning import change_plan

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks.cut_sheet import CHECK
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.errors import DrawingError
from scrieve.shared.findings import Level

PRAM = Path(__file__).parents[1] / "hulls" / "pram"
INCH = 25.4


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    return Path(shutil.copytree(PRAM, tmp_path / "pram"))


def errors(plan: Path) -> list[tuple[str, ...]]:
    return [f.parts for f in CHECK.run(assemble(read_plan(plan))) if f.level is Level.ERROR]


def sheets_of(plan: Path) -> list[Path]:
    return sorted((plan / "sheets").glob("*.dxf"))


def test_every_part_of_a_demonstration_boat_is_on_its_sheets(plan: Path):
    boat: Assembly = assemble(read_plan(plan))
    assert sum(len(sheet.shapes) for sheet in boat.sheets) == sum(1 for _ in boat.parts())
    assert {(sheet.stock, sheet.edges) for sheet in boat.sheets} == {
        (stock, ((0.0, 0.0, 2440.0, 1220.0),)) for stock in ("ply6", "ply9")
    }
    assert {text for sheet in boat.sheets for shape in sheet.shapes for text in shape.texts} == {
        part.name for part in boat.parts()
    }
    assert [f.level for f in CHECK.run(boat)] == [Level.NOTE]


def test_a_sheet_in_inches_that_says_so_is_as_good(plan: Path):
    for file in sheets_of(plan):
        drawing = ezdxf.readfile(file)
        for entity in drawing.modelspace():
            entity.transform(Matrix44.scale(1 / INCH, 1 / INCH, 1 / INCH))
        drawing.header["$INSUNITS"] = 1
        drawing.saveas(file)
    assert errors(plan) == []


def test_parts_that_were_only_copied_from_the_frames_on_one_layer_without_names_are_known(plan: Path):
    for file in sheets_of(plan):
        drawing = ezdxf.readfile(file)
        for entity in list(drawing.modelspace()):
            if entity.dxftype() == "TEXT" or entity.dxf.layer == "SHEET":
                drawing.modelspace().delete_entity(entity)
            else:
                entity.dxf.layer = "0"
        drawing.saveas(file)
    assert errors(plan) == []


def test_sheets_and_frames_that_cannot_be_read_are_told_all_at_once(plan: Path):
    (plan / "frames" / "2.dxf").write_text("no drawing")
    sheets_of(plan)[0].write_text("no drawing either")
    with pytest.raises(DrawingError) as told:
        assemble(read_plan(plan))
    assert [Path(mistake.path).name for mistake in told.value.mistakes] == ["2.dxf", "ply6-1.dxf"]


def test_lines_that_fork_are_a_warning_of_the_drawing(plan: Path):
    file = sheets_of(plan)[0]
    drawing = ezdxf.readfile(file)
    for end in ((2300, 900), (2350, 950), (2300, 950)):
        drawing.modelspace().add_line((2320, 920), end, dxfattribs={"layer": "PARTS"})
    drawing.saveas(file)
    boat = assemble(read_plan(plan))
    assert [d.level for d in boat.defects if "cannot be told apart" in d.message] == [Level.WARNING]
    assert errors(plan) == []


def test_a_plan_that_names_no_sheets_reads_none(plan: Path):
    change_plan(plan, lambda content: content.pop("cut_sheets"))
    shutil.rmtree(plan / "sheets")
    boat = assemble(read_plan(plan))
    assert boat.sheets == () and list(CHECK.run(boat)) == []


def test_the_stock_of_two_sheets_swapped(plan: Path):
    def swap(content) -> None:
        first, second = content["cut_sheets"]
        first["stock"], second["stock"] = second["stock"], first["stock"]

    change_plan(plan, swap)
    found = [f for f in CHECK.run(assemble(read_plan(plan))) if f.level is Level.ERROR]
    assert [len(f.parts) for f in found] == [16, 24]
    assert all(f.source is not None and f.source.file == "plan.toml" and f.source.line for f in found)
