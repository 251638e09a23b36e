"""Labels as people write them: what is read out of them, and what cannot be right where they stand."""

import re
import shutil
from dataclasses import replace
from pathlib import Path

import ezdxf
import pocketed
import pytest

from scrieve.model.assemble import assemble
from scrieve.model.plan.label_reading import LabelReader, names_both_sides
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review

PRAM = Path(__file__).parent.parent / "hulls" / "pram"
READER = LabelReader(numbers=("1", "3", "5", "5A", "12"), words={"PS": "port side", "DB": "deck beam"})


@pytest.mark.parametrize(
    ("text", "frame", "label"),
    [
        ("port side", "", "port side"),
        ("F3 PORT SIDE", "3", "port side"),
        ("3 P side", "3", "port side"),
        ("SIDE, STBD", "", "starboard side"),
        ("3-PS", "3", "port side"),
        ("3ps", "3", "port side"),
        ("5B", "5", "B"),
        ("5A floor", "5A", "floor"),
        ("12 floor", "12", "floor"),
        ("FRAME 3 - DECK BEAM", "3", "deck beam"),
        ("port side (F5)", "5", "port side"),
        ("F9 floor", "9", "floor"),  # which the plan does not have
        ("side stb'd", "", "starboard side"),
        ("half-lap floor", "", "half-lap floor"),
        ("1.5 mm packer", "", "1.5 mm packer"),
        ("port and starboard", "", "port and starboard"),
        ("gusset 3", "", "gusset 3"),
        ("123 floor", "", "123 floor"),
    ],
)
def test_number_side_and_name_are_read_out_of_a_label(text, frame, label):
    read = READER.alone(text)
    assert (read.frame, read.label) == (frame, label)


def test_numbers_in_front_of_parts_that_are_counted_are_no_frames_and_single_letters_want_a_counterpart():
    read = READER.of_frame(["1 gusset", "3 gusset", "side P", "plate S"], "5")
    assert {text: each.label for text, each in read.items()} == {
        "1 gusset": "1 gusset", "3 gusset": "3 gusset", "side P": "port side", "plate S": "starboard plate",
    }  # fmt: skip
    assert READER.of_frame(["side P"], "5")["side P"].label == "side P"
    assert READER.of_frame(["5 floor", "5 P side", "3 S side"], "5")["3 S side"].frame == "3"
    assert replace(READER, sided=True).of_frame(["side P"], "5")["side P"].label == "port side"


@pytest.mark.parametrize(
    ("own", "texts", "read"),
    [
        ("C", ["lam STBD C", "C floor"], {"lam STBD C": "starboard lam", "C floor": "floor"}),
        ("C", ["gusset A", "gusset C"], {"gusset A": "gusset A", "gusset C": "gusset C"}),
        (
            "5",
            ["floor 5", "side, port 5", "beam-05"],
            {"floor 5": "floor", "side, port 5": "port side", "beam-05": "beam"},
        ),
        ("5", ["gusset 4", "gusset 5", "floor 5"], {"gusset 5": "gusset 5", "floor 5": "floor 5"}),
        ("5", ["gusset 5"], {"gusset 5": "gusset 5"}),
        ("5", ["gusset5", "floor5"], {"gusset5": "gusset5"}),
    ],
)
def test_a_frames_own_number_may_stand_behind_where_it_counts_no_parts(own, texts, read):
    found = LabelReader(numbers=("4", "5", "A", "C")).of_frame(texts, own)
    assert {text: found[text].label for text in read} == read


@pytest.mark.parametrize(
    ("texts", "sided"),
    [(["P side", "S side"], True), (["side P", "plate S"], False), (["P1", "S2"], False), (["S2", "p2"], True)],
)
def test_a_letter_is_a_side_in_every_drawing_if_two_labels_differ_by_it_alone(texts, sided):
    assert names_both_sides(texts) is sided


def test_a_half_drawing_says_with_one_letter_what_the_cut_sheets_say_with_two(tmp_path):
    half, other = ("CORE", "P BHD", pocketed.box(0, 0, 300, 100)), ("CORE", "S BHD", pocketed.box(400, 0, 700, 100))
    layers = {"layers": {key: pocketed.PLAN["layers"][key] for key in ("CORE", "LABELS")}, "screws": {}}
    sheets = {"sheet.dxf": ("ply12", [half, other])}
    boat = pocketed.boat(tmp_path, [half], plan=layers, frame={"mirror": True}, sheets=sheets)
    assert [part.name for part in boat.parts()] == ["F5 port bhd", "F5 starboard bhd"]
    assert [found.message for found in review(boat, only=["cut-sheet"]) if found.level.value != "note"] == []


def _sided(text):
    found = re.match(r"(port|starboard) (.*)", text)
    return (found[1], found[2]) if found else ("", text)


def _number_and_letter(number, side, what):
    return " ".join(filter(None, [number, side[:1].upper(), what]))


def _capitals(number, side, what):
    return f"F{number} {side} {what}".replace("  ", " ").upper()


def _side_behind(number, side, what):
    return f"{what.upper()}, {'STBD' if side == 'starboard' else 'PORT'}" if side else what


STYLES = [_number_and_letter, _capitals, _side_behind]


def relabelled(folder, style, change=lambda number, text, said: said, also=""):
    """A copy of the pram with its labels written in another way, frames and sheets alike."""
    shutil.copytree(PRAM, folder)
    for file in sorted(folder.glob("*/*.dxf")):
        document = ezdxf.readfile(file)
        for text in document.modelspace().query("TEXT"):
            whole, number = text.dxf.text, file.stem
            if file.parent.name == "sheets":
                number, _, whole = whole.removeprefix("F").partition(" ")
            text.dxf.text = change(number, whole, style(number, *_sided(whole)))
        document.saveas(file)
    plan = folder / "plan.toml"
    plan.write_text(plan.read_text() + also)
    return folder


def findings_of(folder):
    plan = read_plan(folder)
    return [
        (f.check, f.level, f.frame, f.parts, f.at, f.message, f.cure)
        for f in review(assemble(plan))
        if not (f.check == "label" and f.level == "note")
    ]


@pytest.mark.parametrize("style", STYLES)
def test_a_boat_labelled_in_another_way_is_the_same_boat(tmp_path, style):
    # of one boat, told: the sheets' texts are quoted in no finding of a sound boat
    order = '\n[[order]]\nfirst = "2 P side"\nthen = "F2 FLOOR"\n' if style is _number_and_letter else ""
    assert findings_of(relabelled(tmp_path / "boat", style, also=order)) == findings_of(PRAM)


@pytest.mark.parametrize("style", STYLES)
def test_labels_that_cannot_be_right_where_they_stand_are_told_once(tmp_path, style):
    def exchanged(number, text, said):
        other = {"port side": "starboard side", "starboard side": "port side"}.get(text) if number == "2" else None
        return style(number, *_sided(other)) if other else said

    (finding,) = [f for f in findings_of(relabelled(tmp_path / "boat", style, exchanged)) if f[0] == "label"]
    assert finding[2] == "2" and finding[6] == "exchange the two labels"


@pytest.mark.parametrize("style", STYLES[:2])
def test_another_frames_number_in_a_label_is_told(tmp_path, style):
    def slip(number, text, said):
        return style("3", *_sided(text)) if (number, text) == ("2", "port side") else said

    found = [f for f in findings_of(relabelled(tmp_path / "boat", style, slip)) if f[0] == "label"]
    assert [(f[2], "names frame 3" in f[5]) for f in found] == [("2", True)]


def _backwards(text):
    text.dxf.text_generation_flag = 2


def _from_behind(text):
    """As seen through the sheet: x of the text's own axes runs the other way."""
    x, y, _ = text.dxf.insert
    text.dxf.extrusion, text.dxf.insert = (0, 0, -1), (-x, y)


def _in_a_mirrored_block(text):
    x, y, _ = text.dxf.insert
    block = text.doc.blocks.new("NAME")
    block.add_text(text.dxf.text, dxfattribs={"layer": text.dxf.layer, "height": text.dxf.height})
    text.doc.modelspace().add_blockref("NAME", (x, y), dxfattribs={"xscale": -1})
    text.doc.modelspace().delete_entity(text)


def _upside_down_and_backwards(text):
    text.dxf.text_generation_flag = 6


@pytest.mark.parametrize(
    ("change", "told"),
    [(_backwards, 1), (_from_behind, 1), (_in_a_mirrored_block, 1), (_upside_down_and_backwards, 0)],
)
def test_letters_that_read_backwards_on_a_cut_sheet_are_told(tmp_path, change, told):
    folder = Path(shutil.copytree(PRAM, tmp_path / "pram"))
    path = folder / "sheets" / "ply6-1.dxf"
    document = ezdxf.readfile(path)
    text = min(document.modelspace().query("TEXT"), key=lambda each: each.dxf.text)
    words = text.dxf.text
    change(text)
    document.saveas(path)
    found = [found[5] for found in findings_of(folder) if found[0] == "label"]
    assert found == [f'the text "{words}" on sheets/ply6-1.dxf reads mirrored'] * told
