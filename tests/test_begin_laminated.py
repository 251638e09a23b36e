"""A plan begun for laminated frames in inches: layers called by faces, a board as a frame, letters, several sheets."""

import tomllib

import drawings
import pytest

from scrieve.model.beginning import begin

HALF = [(0, -24), (19, -24), (19, -12), (16, -12), (16, -20.5), (0, -20.5)]  # of a lamination
NOTCH = [(-1.5, -24), (-1.5, -23.25), (1.5, -23.25), (1.5, -24)]
LEG = [(5, -22), (8, -22), (8, 0), (5, 0)]


def other(corners):
    return [(-x, y) for x, y in corners]


def part(space, corners, layer, label=""):
    drawings.polyline(space, corners, layer=layer)
    if label:
        at = (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
        drawings.text(space, label, at, layer=layer)


def reference(space):
    drawings.line(space, (0, -30), (0, 4), layer="REF")
    drawings.line(space, (-25, 0), (25, 0), layer="REF")


def sections(space):
    part(space, NOTCH, "STRIPS", "keelson")


def frame(letter):
    document = drawings.new(units=drawings.INCH)
    space = document.modelspace()
    part(space, [(-16, -24), *NOTCH, (16, -24), (16, -20.5), (-16, -20.5)], "TIMBER CORE", f"{letter} FLOOR")
    for side, turned in (("P", other), ("S", list)):  # seen from aft, port is on the left
        part(space, turned([(16, -24), (19, -24), (19, -12), (16, -12)]), "TIMBER CORE", f"{letter} {side} SIDE")
        drawings.polyline(space, turned(HALF), layer="LAMELLA FWD")
        drawings.text(space, f"{letter} {side} LAM", turned([(10, -22)])[0], layer="LAMELLA FWD")
        part(space, turned(LEG), "LEGS AFT", f"{letter} {side} LEG")
        for x in (7, 11, 13):
            space.add_circle(turned([(x, -23)])[0], 0.082, dxfattribs={"layer": "S8 F"})
        space.add_circle(turned([(6.5, -21.5)])[0], 0.082, dxfattribs={"layer": "S8 A"})
    sections(space)
    reference(space)
    return document, space


def board():
    document = drawings.new(units=drawings.INCH)
    space = document.modelspace()
    part(space, [(-16, -24), *NOTCH, (16, -24), (16, -10), (-16, -10)], "BOARDS", "TRANSOM")
    for side, turned in (("P", other), ("S", list)):
        part(space, turned(LEG), "LEGS FWD", f"{side} LEG")
    sections(space)
    reference(space)
    return document


@pytest.fixture
def begun(tmp_path):
    drawings.saved(tmp_path, board(), name="rib_a.dxf")
    for letter in "BC":
        document, space = frame(letter)
        if letter == "B":  # the floor and a side once more, beside the frame, which the frame of the sheet cuts
            part(space, [(40, -24), (72, -24), (72, -20.5), (40, -20.5)], "TIMBER CORE", "FLOOR")
            part(space, [(80, -24), (83, -24), (83, -12), (80, -12)], "TIMBER CORE", "SIDE")
            drawings.polyline(space, [(-30, -36), (82, -36), (82, 8), (-30, 8)], layer="BLOCK")
            drawings.text(space, "RIB B SCALE 1:1", (-28, -34), layer="BLOCK")
        drawings.saved(tmp_path, document, name=f"rib_{letter.lower()}.dxf")
    sheet = drawings.new(units=drawings.INCH)
    space = sheet.modelspace()
    for low, turned in ((0, list), (60, other)):
        drawings.polyline(space, [(0, low), (96, low), (96, low + 48), (0, low + 48)], layer="EDGE")
        for left in (20, 60):
            drawings.polyline(space, [(x + left, y + low + 30) for x, y in turned(HALF)], layer="LAMELLA FWD")
    drawings.saved(tmp_path, sheet, name="half.dxf")
    return begin(tmp_path)


def test_layers_are_taken_for_the_faces_that_they_are_called_by(begun):
    taken = {layer.layer: (layer.makes, layer.role, layer.face or layer.driven_from) for layer in begun.layers}
    assert taken["TIMBER CORE"] == ("part", "", "core")
    assert taken["BOARDS"] == ("part", "", "core")  # there is no other core in that frame
    assert taken["LAMELLA FWD"][::2] == ("part", "forward")
    assert taken["LEGS AFT"] == ("part", "leg", "aft")
    assert taken["LEGS FWD"] == ("part", "leg", "forward")
    assert taken["S8 F"] == ("screw", "", "forward")
    assert taken["S8 A"] == ("screw", "", "aft")
    assert taken["BLOCK"][0] == ""


def test_frames_are_lettered_as_drawings_and_labels_have_it(begun):
    assert [frame.number for frame in begun.frames] == ["A", "B", "C"]


def test_sizes_boards_views_and_sheets_are_written_as_they_are(begun):
    plan = tomllib.loads(begun.text)
    assert plan["battens"]["keelson"]["section"] == [3, 0.75]
    first, second, third = plan["frames"]
    assert (first["kind"], first["rake"]) == ("transom", "")
    assert second["extent"][2] < 40 and "extent" not in third and "kind" not in third
    assert [sheet["extent"] for sheet in plan["cut_sheets"]] == [[-1, -1, 97, 49], [-1, 59, 97, 109]]
    assert all(stock.get("size", [96, 48]) == [96, 48] for stock in plan["stock"].values())
    assert "dowels" not in plan
