"""Titles: a text in an opening that is the frame's title names no part."""

import drawings
import pytest
from drawings import laid, rectangle, said, text
from loose_lines import box, loose, once, segments

from scrieve.model.drawing.titles import title_words
from scrieve.model.plan.label_reading import LabelReader
from scrieve.shared.findings import Level

TITLED = LabelReader(numbers=("5", "6", "A"), titles=frozenset({"spant"}))


@pytest.mark.parametrize("title", ["frame 5, boat Any", "F5", "scale 1:5", "SPANT 5", "Spant-05 (st. 2,3 m)"])
@pytest.mark.parametrize("closed", [True, False])
def test_a_title_in_an_opening_names_no_part(tmp_path, title, closed):
    document = drawings.new()
    if closed:
        rectangle(document.modelspace(), 0, 0, 300, 300)
        rectangle(document.modelspace(), 60, 60, 240, 240)
        text(document.modelspace(), "ring", (30, 30))
    else:
        rails = [box(0, 0, 300, 60), box(0, 240, 300, 300)]
        posts = [box(0, 60, 60, 240), box(240, 60, 300, 240)]
        edges = once(segments([*rails, *posts]))
        for v in (60, 240):  # the long edges are parted where the posts stand
            edges = [edge for edge in edges if {edge[0], edge[1]} != {(0, v), (300, v)}] + [((60, v), (240, v), 0)]
        loose(document.modelspace(), edges)
        for label, at in (("low", (150, 30)), ("high", (150, 270)), ("a", (30, 150)), ("b", (270, 150))):
            text(document.modelspace(), label, at)
    text(document.modelspace(), title, (120, 150))
    shapes = laid(tmp_path, document, reader=TITLED)
    assert [shape.label for shape in shapes.shapes] == (["ring"] if closed else ["a", "b", "high", "low"])
    assert any("taken for a title" in message for message in said(shapes.defects, Level.NOTE))


@pytest.mark.parametrize("reader", [TITLED, LabelReader(numbers=("5", "6"))])
def test_a_title_beside_the_name_of_a_part_is_none(tmp_path, reader):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 300, 300)
    text(document.modelspace(), "board", (30, 30))
    text(document.modelspace(), "SPANT 5", (120, 150))
    shapes = laid(tmp_path, document, reader=reader)
    assert [shape.label for shape in shapes.shapes] == ["board"]
    assert said(shapes.defects, Level.ERROR) == []
    assert any("SPANT 5" in message for message in said(shapes.defects, Level.NOTE))


@pytest.mark.parametrize("others", [["SPANT 6"], ["door 5"], []])
def test_where_parts_are_numbered_alike_no_text_is_a_title(tmp_path, others):
    """Another number behind the word, another word before the number; or a word that stands in no other frame."""
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 300, 300)
    rectangle(document.modelspace(), 60, 60, 240, 240)
    text(document.modelspace(), "ring", (30, 30))
    text(document.modelspace(), "SPANT 5", (120, 150))
    for n, other in enumerate(others):
        text(document.modelspace(), other, (500, 50 * n))
    shapes = laid(tmp_path, document, reader=TITLED if others else LabelReader(numbers=("5", "6")))
    assert [shape.label for shape in shapes.shapes] == ["SPANT 5", "ring"]


def test_the_words_of_titles_are_those_that_stand_before_several_frames_own_numbers(tmp_path):
    def words(*drawn):
        found = {}
        for n, texts in enumerate(drawn):
            document = drawings.new()
            for said_there in texts:
                text(document.modelspace(), said_there, (0, 0))
            found[str(n)] = drawings.read(tmp_path, document)
        return title_words(found, {"0": ["5"], "1": ["6"]}, LabelReader(numbers=("5", "6")))

    assert words(["SPANT 5", "floor"], ["spant 6"]) == {"spant"}
    assert words(["SPANT 5"], ["floor 6"]) == frozenset()
    assert words(["knee 5", "knee 6"], ["knee 5", "knee 6"]) == frozenset()


def test_a_part_in_an_opening_is_no_title(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 300, 300)
    rectangle(document.modelspace(), 60, 60, 240, 240)
    text(document.modelspace(), "ring", (30, 30))
    text(document.modelspace(), "F5 door", (120, 150))
    assert [shape.label for shape in laid(tmp_path, document).shapes] == ["door", "ring"]
