r"""Letters that a drawing's file has no code for, written as \U+0448 in R2000 and older, are read as letters."""

import drawings
import pytest
from drawings import laid, only, polyline, read, rectangle, said, text


@pytest.mark.parametrize("version", ["R12", "R2000", "R2010"])
def test_a_label_is_read_as_its_letters(version, tmp_path):
    document = drawings.new(version)
    rectangle(document.modelspace(), 0, 0, 100, 50)
    text(document.modelspace(), r"\U+0448\U+043f\U+0430\U+043D 2", (50, 25))
    shapes = laid(tmp_path, document)
    assert (only(shapes).label, said(shapes.defects)) == ("шпан 2", [])


def test_so_is_a_text_of_several_lines(tmp_path):
    document = drawings.new("R2000")
    rectangle(document.modelspace(), 0, 0, 100, 50)
    document.modelspace().add_mtext(
        r"\U+0448\U+043F\P{\fArial;\U+0430}", dxfattribs={"layer": "LABELS", "insert": (5, 25)}
    )
    assert only(laid(tmp_path, document)).label == "шп а"


@pytest.mark.parametrize("written", [r"U+0448", r"\U+044", r"\U+04g8", r"\U 0448"])
def test_what_only_looks_like_one_stays_as_it_is(written, tmp_path):
    document = drawings.new("R2000")
    rectangle(document.modelspace(), 0, 0, 100, 50)
    text(document.modelspace(), written, (50, 25))
    assert only(laid(tmp_path, document)).label == written


@pytest.mark.parametrize("code", ["001B", "0007", "202E", "D83D"])
def test_one_that_does_not_print_is_a_space(code, tmp_path):
    document = drawings.new("R2000")
    rectangle(document.modelspace(), 0, 0, 100, 50)
    text(document.modelspace(), rf"side\U+{code}knee", (50, 25))
    assert only(laid(tmp_path, document)).label == "side knee"


def test_a_layer_is_known_by_its_letters(tmp_path):
    document = drawings.new("R2000")
    polyline(document.modelspace(), [(0, 0), (100, 0), (100, 50), (0, 50)], layer=r"\U+042f\U+0434\U+0440\U+043E")
    (outline,) = read(tmp_path, document, layers=["ЯДРО"]).outlines
    assert outline.layer == "ЯДРО"
