"""Labels: which text names which outline, holes, and the names of the two sides."""

import drawings
import pytest
from drawings import laid, only, polyline, read, rectangle, said, text

from scrieve.model.drawing import lay_out
from scrieve.shared.findings import Level


def by_label(shapes):
    return {shape.label: shape for shape in shapes.shapes}


# ---- which text names which outline


def test_the_smallest_outline_round_a_text_is_the_one_it_names(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    rectangle(space, 0, 0, 500, 300)
    rectangle(space, 50, 50, 250, 150, layer="GUSSETS AFT")
    rectangle(space, 100, 90, 130, 110, layer="BATTENS")
    text(space, "floor", (400, 200))
    text(space, "gusset", (60, 60))
    text(space, "chine", (110, 100))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert {s.label: s.layer for s in shapes.shapes} == {"floor": "CORE", "gusset": "GUSSETS AFT", "chine": "BATTENS"}


def test_a_text_on_a_parts_own_layer_names_outlines_of_that_layer_alone(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    rectangle(space, 0, 0, 500, 300)
    rectangle(space, 50, 50, 250, 150, layer="GUSSETS AFT")
    text(space, "floor", (100, 100), layer="CORE")
    text(space, "gusset", (120, 120), layer="GUSSETS AFT")
    assert {s.label: s.layer for s in laid(tmp_path, document).shapes} == {"floor": "CORE", "gusset": "GUSSETS AFT"}


def test_where_the_anchor_is_outside_the_middle_of_the_text_counts(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 20, 100)
    text(document.modelspace(), "port side", (-5, 50))  # nine letters: 31 mm long or so
    assert only(laid(tmp_path, document)).label == "port side"


def test_white_space_in_labels_does_not_count(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50)
    document.modelspace().add_mtext("  port \\P  chine\\~gusset ", dxfattribs={"layer": "LABELS", "insert": (5, 25)})
    assert only(laid(tmp_path, document)).label == "port chine gusset"


def test_an_outline_without_a_label_is_a_defect_and_stays_a_part(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 200, 0, 300, 50)
    rectangle(document.modelspace(), 0, 0, 100, 50)
    shapes = laid(tmp_path, document)
    assert [s.label for s in shapes.shapes] == ["unlabelled 1", "unlabelled 2"]
    assert shapes.shapes[0].outline.points.min() == 0
    assert said(shapes.defects, Level.ERROR) == [
        "an outline on layer CORE, 100 x 50 mm round y 250.0, z 25.0, has no label",
        "an outline on layer CORE, 100 x 50 mm round y 50.0, z 25.0, has no label",
    ]


def test_a_section_without_a_label_is_left_out(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 32, 20, layer="BATTENS")
    shapes = laid(tmp_path, document)
    assert shapes.shapes == ()
    assert said(shapes.defects) == [
        "an outline on layer BATTENS, 32 x 20 mm round y 16.0, z 10.0, has no label, and is left out"
    ]


def test_a_border_round_parts_is_left_out(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), -10, -10, 400, 400)
    rectangle(document.modelspace(), 0, 0, 100, 50, label="floor")
    rectangle(document.modelspace(), 200, 0, 300, 50)
    shapes = laid(tmp_path, document)
    assert [s.label for s in shapes.shapes] == ["floor", "unlabelled 1"]
    assert [message.endswith("has no label, and is left out") for message in said(shapes.defects)] == [False, True]


def test_two_labels_in_one_outline_are_a_defect(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50)
    text(document.modelspace(), "side", (10, 10))
    text(document.modelspace(), "floor", (10, 30))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == ["an outline on layer CORE has two labels: floor, side"]
    assert shapes.defects[0].cure == "move all but one of them out of it"
    assert [s.label for s in shapes.shapes] == ["floor / side"]


def test_the_same_label_written_twice_in_an_outline_is_one(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50)
    text(document.modelspace(), "floor", (10, 10))
    text(document.modelspace(), "Floor", (10, 30))
    assert only(laid(tmp_path, document)).label == "Floor"


def test_a_text_in_no_outline_is_noted(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, label="floor")
    text(document.modelspace(), "scale 1:1", (400, 400))
    text(document.modelspace(), "FRAME 5", (400, 300))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects, Level.NOTE) == ['2 texts stand in no outline and name nothing: "FRAME 5", "scale 1:1"']


def test_gussets_drawn_over_each_other_share_as_many_labels(tmp_path):
    for order in (1, -1):
        document = drawings.new()
        for layer in ("GUSSETS AFT", "GUSSETS FWD")[::order]:
            polyline(document.modelspace(), [(0, 0), (100, 0), (0, 80)], [0, 0.2, 0], layer=layer)
        for label, at in (("sheer gusset, forward", (10, 10)), ("sheer gusset, aft", (10, 30)))[::order]:
            text(document.modelspace(), label, at)
        shapes = laid(tmp_path, document)
        assert said(shapes.defects) == []
        assert {s.layer: s.label for s in shapes.shapes} == {
            "GUSSETS AFT": "sheer gusset, aft",
            "GUSSETS FWD": "sheer gusset, forward",
        }


def test_one_label_inside_two_outlines_drawn_over_each_other_names_both(tmp_path):
    document = drawings.new()
    for layer in ("GUSSETS AFT", "GUSSETS FWD"):
        polyline(document.modelspace(), [(0, 0), (100, 0), (0, 80)], layer=layer)
    text(document.modelspace(), "sheer gusset", (10, 10))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert [s.label for s in shapes.shapes] == ["sheer gusset"] * 2


def test_three_labels_inside_two_outlines_are_a_defect_of_both(tmp_path):
    document = drawings.new()
    for layer in ("GUSSETS AFT", "GUSSETS FWD"):
        polyline(document.modelspace(), [(0, 0), (100, 0), (0, 80)], layer=layer)
    for k, label in enumerate("abc"):
        text(document.modelspace(), label, (10, 10 + 20 * k))
    assert said(laid(tmp_path, document).defects) == [
        "an outline on layer GUSSETS AFT has 3 labels: a, b, c",
        "an outline on layer GUSSETS FWD has 3 labels: a, b, c",
    ]


def test_an_own_label_goes_before_a_shared_one(tmp_path):
    document = drawings.new()
    for layer in ("GUSSETS AFT", "GUSSETS FWD"):
        polyline(document.modelspace(), [(0, 0), (100, 0), (0, 80)], layer=layer)
    text(document.modelspace(), "aft one", (10, 10), layer="GUSSETS AFT")
    text(document.modelspace(), "the other", (10, 30))
    shapes = laid(tmp_path, document)
    assert {s.layer: s.label for s in shapes.shapes} == {"GUSSETS AFT": "aft one", "GUSSETS FWD": "the other"}


def test_the_order_of_things_in_the_file_makes_no_difference(tmp_path):
    def draw(space, order):
        for k in range(6)[::order]:
            polyline(space, [(k * 50, 0), (k * 50 + 40, 0), (k * 50 + 40, 30)], [0, 0.1 * (k - 2), 0])
            text(space, f"part {k % 3}", (k * 50 + 30, 5))
            space.add_circle((k * 50 + 30, 10), 1 + k % 2, dxfattribs={"layer": "SCREWS"})

    outcome = []
    for order in (1, -1):
        document = drawings.new()
        draw(document.modelspace(), order)
        shapes = laid(tmp_path, document)
        outcome.append(
            (
                [(s.label, s.layer, s.outline.points.tolist(), s.outline.bulges.tolist()) for s in shapes.shapes],
                [(m.layer, m.at, m.radius) for m in shapes.marks],
                [(d.message, d.at) for d in shapes.defects],
            )
        )
    assert outcome[0] == outcome[1]
    assert len(outcome[0][0]) == 6


# ---- holes


def holed(space, *holes):
    rectangle(space, 0, 0, 500, 300)
    text(space, "bulkhead", (10, 10))
    for hole in holes:
        rectangle(space, *hole)


def test_an_unlabelled_outline_inside_another_of_its_layer_is_a_hole(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    holed(space, (100, 100, 200, 150))
    space.add_circle((300, 150), 40, dxfattribs={"layer": "CORE"})
    shape = only(laid(tmp_path, document))
    assert shape.label == "bulkhead"
    assert len(shape.holes) == 2
    assert drawings.corners(shape.holes[0]) == {(100, 100), (200, 100), (200, 150), (100, 150)}
    assert shape.holes[1].radii() == pytest.approx([40, 40])
    assert all(hole.polygon().exterior.is_ccw for hole in shape.holes)


def test_a_labelled_outline_inside_another_is_a_part_of_its_own(tmp_path):
    document = drawings.new()
    holed(document.modelspace(), (100, 100, 200, 150))
    text(document.modelspace(), "pad", (120, 120))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert {s.label: len(s.holes) for s in shapes.shapes} == {"bulkhead": 0, "pad": 0}


def test_an_outline_inside_a_hole_is_none(tmp_path):
    document = drawings.new()
    holed(document.modelspace(), (100, 100, 200, 200), (120, 120, 180, 180))
    shapes = laid(tmp_path, document)
    assert {s.label: len(s.holes) for s in shapes.shapes} == {"bulkhead": 1, "unlabelled 1": 0}
    assert said(shapes.defects) == ["an outline on layer CORE, 60 x 60 mm round y 150.0, z 150.0, has no label"]


def test_an_outline_that_touches_the_edge_from_inside_is_no_hole(tmp_path):
    document = drawings.new()
    holed(document.modelspace(), (0, 100, 50, 150))
    assert said(laid(tmp_path, document).defects) == [
        "an outline on layer CORE, 50 x 50 mm round y 25.0, z 125.0, has no label"
    ]


def test_holes_that_cross_are_a_defect(tmp_path):
    document = drawings.new()
    holed(document.modelspace(), (100, 100, 200, 200), (150, 150, 250, 250))
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == ['outline "bulkhead" on layer CORE has holes that meet or cross']
    assert shapes.shapes[0].holes == ()


def test_an_outline_on_another_layer_is_no_hole(tmp_path):
    document = drawings.new()
    holed(document.modelspace())
    rectangle(document.modelspace(), 100, 100, 200, 150, layer="GUSSETS AFT", label="pad")
    assert {s.label: len(s.holes) for s in laid(tmp_path, document).shapes} == {"bulkhead": 0, "pad": 0}


# ---- sides (seen from forward: port is to the right)


def test_the_same_label_on_both_sides_becomes_port_and_starboard(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    rectangle(space, 100, 0, 200, 50, label="side")
    rectangle(space, -200, 0, -100, 50, label="side")
    rectangle(space, -50, 0, 50, 50, label="floor")
    rectangle(space, 300, 0, 332, 20, layer="BATTENS", label="chine")
    rectangle(space, -332, 0, -300, 20, layer="BATTENS", label="chine")
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert {s.label: s.outline.polygon().centroid.x for s in shapes.shapes} == pytest.approx(
        {"floor": 0, "port chine": 316, "port side": 150, "starboard chine": -316, "starboard side": -150}
    )


def test_what_lies_about_the_centreline_is_on_neither_side(tmp_path):
    document = drawings.new()
    for low, off in ((0, 0.9), (100, -0.9)):
        rectangle(document.modelspace(), off - 50, low, off + 50, low + 50, label="port light")
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == ['2 outlines are labelled "port light", round y -0.9, z 125.0 and y 0.9, z 25.0']


def test_a_label_that_says_its_side_is_taken_by_it_whatever_its_capitals(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 100, 0, 200, 50, label="Port side")
    rectangle(document.modelspace(), -200, 0, -100, 50, label="STARBOARD side")
    rectangle(document.modelspace(), 300, 0, 400, 50, label="knee")
    shapes = laid(tmp_path, document)
    assert said(shapes.defects) == []
    assert [s.label for s in shapes.shapes] == ["knee", "port side", "starboard side"]


def test_a_drawing_seen_from_the_other_side_is_told_once(tmp_path):
    document = drawings.new()
    for label, sign in (("port side", 1), ("starboard side", -1), ("port knee", 2)):
        rectangle(document.modelspace(), sign * 200 - 50, 0, sign * 200 + 50, 50, label=label)
    drawing = read(tmp_path, document)
    right = lay_out(drawing, layers=drawings.LAYERS, seen="from forward", origin=(0, 0), frame="5")
    assert said(right.defects) == []
    wrong = lay_out(drawing, layers=drawings.LAYERS, seen="from aft", origin=(0, 0), frame="5")
    (defect,) = wrong.defects
    assert defect.level is Level.ERROR
    assert defect.message == (
        '"port knee", "port side" and "starboard side" lie on the other side of the boat than their labels say: '
        "is the drawing seen from the other side?"
    )


def test_one_part_on_the_wrong_side(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), -200, 0, -100, 50, label="port side")
    assert said(laid(tmp_path, document).defects) == [
        '"port side" lies to starboard: is the drawing seen from the other side?'
    ]


def test_a_label_given_twice_on_one_side_is_a_defect_and_the_names_stay_apart(tmp_path):
    document = drawings.new()
    for left in (100, 300, -200):
        rectangle(document.modelspace(), left, 0, left + 100, 50, label="side")
    shapes = laid(tmp_path, document)
    assert [s.label for s in shapes.shapes] == ["port side (1)", "port side (2)", "starboard side"]
    assert said(shapes.defects) == ['2 outlines are labelled "port side", round y 150.0, z 25.0 and y 350.0, z 25.0']


@pytest.mark.parametrize("shift, clash", [(20, False), (200, True)])
def test_layers_may_share_a_label_where_their_outlines_lie_over_each_other(tmp_path, shift, clash):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, layer="GUSSETS AFT")
    rectangle(document.modelspace(), shift, 0, shift + 100, 50, layer="GUSSETS FWD")
    text(document.modelspace(), "port leg", (10, 10), layer="GUSSETS AFT")
    text(document.modelspace(), "port leg", (shift + 10, 10), layer="GUSSETS FWD")
    shapes = laid(tmp_path, document)
    assert bool(said(shapes.defects)) is clash
    assert len({s.label for s in shapes.shapes}) == 1 + clash


def test_two_labels_where_a_layer_is_nearly_one_of_the_plan_say_so(tmp_path):
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 200, 100)
    rectangle(document.modelspace(), 150, 0, 250, 100, layer="GUSSET FWD")
    for label, at in (("floor", 20), ("gusset", 180)):
        text(document.modelspace(), label, (at, 50))
    drawing = read(tmp_path, document)
    (note,) = (defect for defect in drawing.defects if "not read" in defect.message)
    assert note.cure == "look whether a layer is misspelt: GUSSET FWD is nearly GUSSETS FWD"
    (error,) = (defect for defect in laid(tmp_path, document).defects if "two labels" in defect.message)
    assert error.cure.endswith("; or look whether a layer is misspelt: GUSSET FWD is nearly GUSSETS FWD")


@pytest.mark.parametrize("smaller", [0.0, 6.0])
@pytest.mark.parametrize(("forward", "aft"), [("knee B fwd", "knee A aft"), ("knee A forward", "knee B aft")])
def test_labels_of_two_plates_over_one_another_go_to_the_face_that_they_say(tmp_path, smaller, forward, aft):
    """Both texts stand in both outlines."""
    document = drawings.new()
    space = document.modelspace()
    drawings.rectangle(space, 0, 0, 100, 80, layer="GUSSETS FWD")
    drawings.rectangle(space, smaller, smaller, 100, 80, layer="GUSSETS AFT")
    drawings.text(space, forward, (30, 30), layer="LABELS")
    drawings.text(space, aft, (30, 60), layer="LABELS")
    assert drawings.laid(tmp_path, document).defects == ()
    named = {shape.layer: shape.label for shape in drawings.laid(tmp_path, document).shapes}
    assert named == {"GUSSETS FWD": forward, "GUSSETS AFT": aft}


@pytest.mark.parametrize(("core", "told"), [("core of it", 0), ("panel", 0), ("strap two", 2)])
def test_labels_of_parts_over_one_another_go_to_the_layer_that_is_called_so(tmp_path, core, told):
    layers = {**drawings.LAYERS, "9 STRAP": drawings.Use("part", "aft")}
    document = drawings.new()
    space = document.modelspace()
    drawings.rectangle(space, 0, 0, 100, 80, layer="9 STRAP")
    drawings.rectangle(space, 40, 0, 160, 50, layer="CORE")
    drawings.text(space, "strap", (60, 10), layer="LABELS")
    drawings.text(space, core, (60, 30), layer="LABELS")
    found = drawings.laid(tmp_path, document, layers=layers)
    assert len([defect for defect in found.defects if defect.level == "error"]) == told
    if not told:
        assert {shape.layer: shape.label for shape in found.shapes} == {"9 STRAP": "strap", "CORE": core}


# ---- laminated frames: plates that lie wholly over core parts


def laminated(side="side", *, without=(), more=()):
    """A floor and two sides, each half with a lamination over them and a knee; every label stands in three outlines."""
    document = drawings.new()
    space = document.modelspace()
    rectangle(space, -300, 0, 300, 60)
    for half, turn in (("P", 1), ("S", -1)):
        for layer, corners in (
            ("CORE", [(300, 0), (360, 0), (360, 300), (300, 300)]),
            ("GUSSETS FWD", [(0, 0), (360, 0), (360, 300), (300, 300), (300, 60), (0, 60)]),
            ("GUSSETS AFT", [(200, 0), (350, 0), (350, 260), (300, 260), (300, 60), (200, 60)]),
        ):
            polyline(space, [(turn * x, y) for x, y in corners], layer=layer)
        for words, x, y in ((side, 330, 90), ("doubler", 330, 30), ("knee", 280, 30)):
            if f"{half} {words}" not in without:
                text(space, f"{half} {words}", (turn * x, y))
    text(space, "floor", (240, 20))
    for words, at in more:
        text(space, words, at)
    return document


def named(tmp_path, document, **more):
    shapes = laid(tmp_path, document, **more)
    found = {s.label: s.layer for s in shapes.shapes}
    for shape in shapes.shapes:
        y = shape.outline.polygon().centroid.x
        assert not ("port" in shape.label and y < 0) and not ("starboard" in shape.label and y > 0)
    return found, said(shapes.defects, Level.ERROR)


SHARED_OUT = {
    "floor": "CORE",
    **{f"{half} side": "CORE" for half in ("port", "starboard")},
    **{f"{half} doubler": "GUSSETS FWD" for half in ("port", "starboard")},
    **{f"{half} knee": "GUSSETS AFT" for half in ("port", "starboard")},
}


def test_labels_that_stand_in_several_outlines_are_shared_out_one_to_an_outline(tmp_path):
    assert named(tmp_path, laminated()) == (SHARED_OUT, [])


def test_a_label_of_core_and_plate_that_says_neither_is_not_guessed(tmp_path):
    """Rib and doubler could each be the one or the other."""
    found, errors = named(tmp_path, laminated("rib"))
    assert sorted(errors) == [
        "an outline on layer CORE has two labels: P doubler, P rib",
        "an outline on layer CORE has two labels: S doubler, S rib",
        "an outline on layer GUSSETS FWD, 360 x 300 mm round y -240.0, z 90.0, has no label",
        "an outline on layer GUSSETS FWD, 360 x 300 mm round y 240.0, z 90.0, has no label",
    ]
    assert found["floor"] == "CORE"  # this alone is beyond doubt


def test_where_a_name_lies_in_other_frames_tells(tmp_path):
    found, errors = named(tmp_path, laminated("rib"), layer_of={"doubler": "GUSSETS FWD"})
    assert errors == []
    assert found == {label.replace("side", "rib"): layer for label, layer in SHARED_OUT.items()}


def test_a_label_left_out_is_told_of_its_own_side_alone(tmp_path):
    _, errors = named(tmp_path, laminated(without=["S knee"]))
    assert errors and all(("y -" in each or "S doubler" in each) for each in errors)


def test_a_label_too_many_is_told(tmp_path):
    _, errors = named(tmp_path, laminated(more=[("P pad", (330, 60))]))
    assert any("has 3 labels" in each or "two labels" in each for each in errors)


def test_a_title_beside_a_label_is_given_to_no_other_part(tmp_path):
    """The second text of the side names the frame: the plate over it still lacks its own."""
    document = drawings.new()
    rectangle(document.modelspace(), 0, 0, 100, 50, label="side")
    rectangle(document.modelspace(), -100, 0, 200, 50, layer="GUSSETS AFT")
    text(document.modelspace(), "frame 5", (10, 10))
    assert said(laid(tmp_path, document).defects, Level.ERROR) == [
        "an outline on layer GUSSETS AFT, 300 x 50 mm round y 50.0, z 25.0, has no label"
    ]


def test_a_hole_is_given_no_label(tmp_path):
    document = drawings.new()
    space = document.modelspace()
    rectangle(space, 0, 0, 500, 300, layer="GUSSETS AFT", label="strap")
    rectangle(space, 10, 10, 200, 100, layer="GUSSETS AFT")
    rectangle(space, 50, 50, 100, 80)
    text(space, "pad", (60, 60))
    text(space, "gusset", (60, 70))
    assert said(laid(tmp_path, document).defects) == ["an outline on layer CORE has two labels: gusset, pad"]
