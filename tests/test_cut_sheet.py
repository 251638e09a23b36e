"""Check `cut-sheet`: parts on the sheets once each, in their stock, whatever else is drawn there."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pocketed
import pytest
from making import frame, part, rectangle
from sheeted import SIZE, Drawn, beam, boat, found, laid, only, sheet, side, two_parts, two_shapes

from scrieve.model.checks.cut_sheet import CHECK
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_tables import Stock
from scrieve.shared.findings import Level

# ---- what is right


def test_a_plan_without_cut_sheets_is_none_of_its_business():
    assert list(CHECK.run(boat(two_parts(), []))) == []


def test_a_sheet_that_holds_every_part_is_clean_but_for_its_use():
    built = boat(two_parts(), [sheet(two_shapes(), edge=SIZE)])
    (note,) = CHECK.run(built)
    assert note.level is Level.NOTE
    area = side().polygon().area + beam().polygon().area
    assert f"{100 * area / (2440 * 1220):.0f} %" in note.message


@pytest.mark.parametrize("over", [False, True], ids=["as drawn", "turned over"])
@pytest.mark.parametrize("angle", [0.0, math.pi / 2, 1.234, -2.9])
def test_turned_and_turned_over_it_is_the_same_part(angle: float, over: bool):
    shapes = two_shapes(laid(side(), (60, 60), angle=angle, over=over), laid(beam(), (900, 200), angle=-angle))
    assert found(boat(two_parts(), [sheet(shapes, edge=SIZE)])) == []


def test_far_from_the_drawings_zero_and_at_an_odd_angle_too():
    shapes = two_shapes(laid(side(), (5e3, -7e3), angle=0.77), laid(beam(), (5e3, -6.2e3), angle=0.77, over=True))
    assert found(boat(two_parts(), [sheet(shapes)])) == []


def test_the_order_of_what_is_drawn_and_where_an_outline_begins_make_no_difference():
    def begun(outline: Outline, n: int, *, back: bool) -> Outline:
        points, bulges = [*outline.points[n:], *outline.points[:n]], [*outline.bulges[n:], *outline.bulges[:n]]
        if back:
            points, bulges = points[::-1], [-b for b in [*bulges[-2::-1], bulges[-1]]]
        return Outline.of(points, bulges)

    chance = random.Random(3)
    shapes = [Drawn(outline=begun(s.outline, chance.randrange(4), back=i == 0), text=s.text)
              for i, s in enumerate(two_shapes())]  # fmt: skip
    wrong = Drawn(outline=rectangle(900, 100, 1000, 150))
    plain = list(CHECK.run(boat(two_parts(), [sheet([*two_shapes(), wrong], edge=SIZE)])))
    mixed = list(CHECK.run(boat(two_parts(), [sheet([wrong, *reversed(shapes)], edge=SIZE)])))
    assert [f.message for f in plain] == [f.message for f in mixed]


def test_parts_on_several_sheets():
    first, second = two_shapes()
    sheets = [sheet([first], edge=SIZE), sheet([second], edge=SIZE, name="sheets/2.dxf")]
    assert found(boat(two_parts(), sheets)) == []


def test_marks_texts_and_circles_are_let_be():
    built = boat(
        two_parts(),
        [
            sheet(
                [
                    *two_shapes(),
                    Drawn(outline=rectangle(70, 60, 90, 70), layer="ENGRAVE"),  # in a part, on another layer
                    Drawn(outline=rectangle(73, 62, 76, 66), layer="ENGRAVE"),  # in that
                    Drawn(outline=rectangle(2000, 900, 2300, 1000), layer="TITLE"),  # beside the parts
                ],
                edge=SIZE,
                texts=[("ply18, sheet 1 of 1", (2010, 950)), ("this face up", (300, 80))],
                circles=[("DRILL", (200, 80), 2.0)],
                chains=[("ENGRAVE", [(60, 60), (90, 62), (95, 80)])],
            )
        ],
    )
    assert found(built) == []
    assert [f.message for f in found(built, Level.NOTE) if "marks" in f.message] == [
        "1 outline on layer TITLE of the cut sheet sheets/1.dxf is taken for marks: no part is on that layer"
    ]


def test_a_part_may_lie_in_the_opening_of_another():
    ring = replace(part("ring", rectangle(0, 0, 900, 600)), holes=(rectangle(50, 50, 850, 550),))
    shapes = [
        Drawn(outline=rectangle(20, 20, 920, 620), text="F5 ring"),
        Drawn(outline=rectangle(70, 70, 870, 570)),
        Drawn(outline=laid(side(), (100, 100)), text="F5 port side"),
    ]
    parts = [ring, part("port side", side())]
    assert found(boat(parts, [sheet(shapes, edge=SIZE)])) == []
    shapes[2] = Drawn(outline=laid(side(), (79, 100)), text="F5 port side")
    assert only(boat(parts, [sheet(shapes, edge=SIZE)])).measured == pytest.approx(9.0)
    missing = only(boat(parts, [sheet([shapes[0], Drawn(outline=laid(side(), (1000, 100)))], edge=SIZE)]))
    assert missing.parts == ("F5 ring",)
    assert missing.measured == pytest.approx(50.0)  # from the edge of the opening to what is there


@pytest.mark.parametrize("layer", ["CUT", "SHEET"])
@pytest.mark.parametrize("text", ["", "F5 port side"])
@pytest.mark.parametrize("size", [None, SIZE, (2500.0, 1250.0)])
def test_the_edge_of_the_sheet_is_known_on_a_layer_of_its_own_and_on_that_of_the_parts(layer: str, text: str, size):
    shapes = [replace(shape, text=text and shape.text) for shape in two_shapes()]
    edge = Drawn(outline=rectangle(0, 0, *SIZE), layer=layer)
    margin = Drawn(outline=rectangle(20, 20, SIZE[0] - 20, SIZE[1] - 20), layer="MARGIN")
    for drawn in ([edge, *shapes], [edge, margin, *shapes]):
        made = sheet(drawn, size=size)
        assert made.edges == ((0.0, 0.0, *SIZE),)
        assert found(boat(two_parts(), [made])) == []


# ---- how often


def test_a_part_on_no_sheet():
    finding = only(boat(two_parts(), [sheet(two_shapes()[:1], edge=SIZE)]))
    assert finding.parts == ("F5 deck beam",)
    assert finding.message == "F5 deck beam is on no cut sheet" and "ply18" in finding.cure


def test_a_part_on_the_sheets_twice():
    again = Drawn(outline=laid(side(), (1000, 50), angle=1.0), text="F5 port side")
    finding = only(boat(two_parts(), [sheet([*two_shapes(), again], edge=SIZE)]))
    assert finding.parts == ("F5 port side",)
    assert (finding.measured, finding.limit) == (2.0, 1.0)


def test_an_old_version_beside_the_new_one_is_of_no_part():
    old = Drawn(outline=laid(side(499), (1000, 50)), text="F5 port side")
    finding = only(boat(two_parts(), [sheet([*two_shapes(), old], edge=SIZE)]))
    assert finding.parts == ("F5 port side",) and "is of no part" in finding.message
    assert finding.cure.startswith("take it off the sheet") and finding.edits


def test_plates_of_both_faces_are_wanted_twice():
    plates = [part(f"gusset, {face}", side(200), face=face, thickness=9) for face in ("forward", "aft")]
    one = Drawn(outline=laid(side(200), (50, 50)), text="F5 gusset")
    other = Drawn(outline=laid(side(200), (50, 300), over=True), text="F5 gusset")
    assert found(boat(plates, [sheet([one, other], stock="ply9", edge=SIZE)])) == []
    finding = only(boat(plates, [sheet([one], stock="ply9", edge=SIZE)]))
    assert finding.parts == ("F5 gusset, forward",)
    assert finding.message.endswith(": 2 of its form are wanted and 1 is there")


def test_an_outline_of_no_part():
    stranger = Drawn(outline=rectangle(1000, 100, 1300, 160), text="bench")
    finding = only(boat(two_parts(), [sheet([*two_shapes(), stranger], edge=SIZE)]))
    assert finding.parts == () and '"bench"' in finding.message and "u 1150.0, v 130.0" in finding.message
    assert finding.cure.startswith('look whether the drawings lack "bench"') and not finding.edits


def test_the_form_of_another_part_under_a_name_that_is_not_drawn_may_be_a_part_that_was_not_read():
    other = Drawn(outline=laid(side(), (1000, 50), over=True), text="F5 stbd side")
    finding = only(boat(two_parts(), [sheet([*two_shapes(), other], edge=SIZE)]))
    assert finding.parts == ("F5 port side",)
    assert finding.cure.startswith('look whether the drawings lack "F5 stbd side"') and not finding.edits


@pytest.mark.parametrize("again", [False, True])
def test_the_form_of_another_part_under_the_name_of_one_that_is_on_no_sheet_is_told_once(again):
    parts = [*two_parts(), part("aft side", side(520), frame="6")]
    wrong = Drawn(outline=laid(side(), (1000, 50), over=True), text="F6 aft side")
    if not again:
        finding = only(boat(parts, [sheet([*two_shapes(), wrong], edge=SIZE)]))
        assert finding.message.startswith('the outline "F6 aft side" on the cut sheet')
        assert finding.message.endswith("has the form of F5 port side; F6 aft side is on no cut sheet")
        assert finding.cure == "draw F6 aft side in its place, as in its frame"
        return
    # drawn besides as it is, there is one too many and none missing
    right = Drawn(outline=laid(side(520), (1000, 400)), text="F6 aft side")
    finding = only(boat(parts, [sheet([*two_shapes(), wrong, right], edge=SIZE)]))
    assert "too often" in finding.message


def test_a_sheet_drawn_twice_in_the_plan_is_told_once():
    one = sheet(two_shapes(), edge=SIZE)
    finding = only(boat(two_parts(), [one, one]))
    assert finding.message == (
        "the cut sheet sheets/1.dxf is named twice under [[cut_sheets]]: 2 parts on it would be cut once too often"
    )
    assert finding.cure == "take one of the two entries out of the plan"
    assert finding.source == one.source


def test_all_parts_of_a_stock_missing_are_one_finding():
    parts = [*two_parts(), part("plate", side(150), face="forward", thickness=6), part("knee", beam(200), thickness=6)]
    finding = only(boat(parts, [sheet(two_shapes(), edge=SIZE)]))
    assert finding.parts == ("F5 knee", "F5 plate")
    assert finding.message == "no part of ply6 is on the cut sheets: 2 are missing"


@pytest.mark.parametrize(
    ("stock", "sheets", "sawn"),
    [("fir20", None, True), ("White Oak", None, True), ("fir ply", None, False), ("m9", None, False),
     ("fir20", True, False), ("m9", False, True)],
)  # fmt: skip
def test_sawn_timber_is_wanted_on_no_sheet(stock: str, sheets: bool | None, sawn: bool):
    spec = Stock.model_construct(thickness=20.0, sheets=sheets)
    assert spec.is_sawn(stock) is sawn
    knees = [replace(part(name, beam(200)), stock=stock) for name in ("knee", "apron")]
    built = boat([*two_parts(), *knees], [sheet(two_shapes(), edge=SIZE)])
    built = replace(built, sawn=frozenset([stock] if sawn else []))
    assert len(found(built)) == (not sawn)
    assert any(f"2 parts of {stock} are on no cut sheet" in note.message for note in found(built, Level.NOTE)) is sawn


@pytest.mark.parametrize("on_sheet", [False, True])
def test_nor_is_a_single_part_of_it_or_what_of_it_is_on_no_sheet_though_another_is(on_sheet: bool):
    """A laminated deck beam; the other of its stock was cut from a sheet that was there."""
    knees = [replace(part(name, beam(long)), stock="fir20") for name, long in (("knee", 200), ("apron", 260))]
    shapes = [Drawn(outline=laid(beam(260), (50, 600)), text="F5 apron")] if on_sheet else []
    sheets = [sheet(two_shapes(), edge=SIZE), *([sheet(shapes, stock="fir20", name="2.dxf")] if on_sheet else [])]
    built = replace(boat([*two_parts(), *knees[: 1 + on_sheet]], sheets), sawn=frozenset(["fir20"]))
    assert found(built) == []
    said = "F5 knee, of fir20, is on no cut sheet: fir20 is taken for sawn timber"
    assert [note.message for note in found(built, Level.NOTE) if "sawn" in note.message] == [said]


def test_a_frame_that_is_on_no_sheet_is_told_whole_whatever_of_it_is_sawn():
    def parts(number: str, more: float):
        return [
            part("side", side(500 + more), frame=number),
            part("plate", beam(300 + more), frame=number, thickness=6),
        ]

    knee = replace(part("knee", beam(200)), stock="fir20")
    frames = [frame([*parts("5", 0), knee]), frame(parts("6", 150), number="6", station=2000)]
    sheets = [sheet([Drawn(outline=laid(side(650), (50, 50)))], edge=SIZE)]
    sheets.append(sheet([Drawn(outline=laid(beam(450), (50, 50)))], stock="ply6", edge=SIZE, name="2.dxf"))
    built = replace(boat(frames, sheets), sawn=frozenset(["fir20"]))
    assert only(built).message == "no part of F5 is on the cut sheets: 2 are missing"


@pytest.mark.parametrize("sheets, on_sheet, sawn", [(None, False, True), (None, True, False), (False, True, True)])
def test_a_wood_by_its_name_that_has_a_sheet_is_no_sawn_timber(tmp_path, sheets, on_sheet, sawn):
    stock = {"fir20": {"thickness": 20} | ({} if sheets is None else {"sheets": sheets})}
    core = {"CORE": {"makes": "part", "face": "core", "stock": "fir20"}, "LABELS": {"makes": "label"}}
    shape = [("CORE", "floor", [(0, 0), (400, 0), (400, 100), (250, 100), (250, 50), (200, 50), (200, 100), (0, 100)])]
    made = pocketed.boat(
        tmp_path,
        shape,
        plan={"cutter": {"diameter": 10}, "stock": stock | {"ply9": {"thickness": 9}}, "layers": core, "screws": {}},
        sheets={"sheet.dxf": ("fir20" if on_sheet else "ply9", shape)},
    )
    assert ("fir20" in made.sawn) is sawn
    (floor,) = made.parts()
    assert made.cutter_of(floor) == (0.0 if sawn else 10.0)
    assert (floor.shape.area == floor.drawn_shape.area) is sawn


# ---- stock and names


def test_parts_on_a_sheet_of_other_stock():
    parts = [*two_parts(), part("knee", beam(200), thickness=6)]
    knee = Drawn(outline=laid(beam(200), (50, 600)), text="F5 knee")
    finding = only(boat(parts, [sheet([*two_shapes(), knee], edge=SIZE)]))
    assert finding.parts == ("F5 knee",)
    assert finding.message == "the cut sheet sheets/1.dxf is of ply18, and F5 knee is of ply6"
    whole = only(boat(two_parts(), [sheet(two_shapes(), stock="ply6", edge=SIZE)]))
    assert whole.parts == ("F5 deck beam", "F5 port side")
    assert "all the 2 parts on it are of ply18" in whole.message


def test_labels_that_have_changed_places():
    parts = [part("port side", side()), part("aft side", side(520))]
    shapes = [
        Drawn(outline=laid(side(520), (50, 50)), text="F5 port side"),
        Drawn(outline=laid(side(), (50, 300)), text="F5 aft side"),
    ]
    finding = only(boat(parts, [sheet(shapes, edge=SIZE)]))
    assert finding.parts == ("F5 aft side", "F5 port side") and "have changed names" in finding.message


def test_two_of_one_name_and_one_form_are_a_warning():
    parts = [part("port side", side()), part("starboard side", side().mirrored())]
    shapes = [Drawn(outline=laid(side(), at), text="F5 port side") for at in ((50, 50), (50, 300))]
    built = boat(parts, [sheet(shapes, edge=SIZE)])
    assert found(built) == []
    (warning,) = found(built, Level.WARNING)
    assert warning.parts == ("F5 starboard side",)


@pytest.mark.parametrize("text", ["F5 PORT SIDE", "5 port-side", "port side, frame 5", "port side F5", "port side", ""])
def test_names_are_known_however_they_are_written(text: str):
    shapes = [Drawn(outline=laid(side(), (50, 50)), text=text), two_shapes()[1]]
    built = boat(two_parts(), [sheet(shapes, edge=SIZE)])
    assert found(built) == [] and found(built, Level.WARNING) == []


# ---- whatever is drawn


def test_an_outline_drawn_twice_in_one_place_is_one_finding():
    finding = only(boat(two_parts(), [sheet([*two_shapes(), two_shapes()[0]], edge=SIZE)]))
    assert finding.parts == ("F5 port side",) and "too often" in finding.message


def test_many_outlines_of_no_part_on_one_layer_are_one_finding():
    strangers = [Drawn(outline=rectangle(100 * n + 5, 900, 100 * n + 65, 940)) for n in range(20)]
    finding = only(boat(two_parts(), [sheet([*two_shapes(), *strangers], edge=SIZE)]))
    assert finding.message.startswith("20 outlines on layer CUT are of no part, the first of them on the cut sheet")


def test_an_empty_sheet_and_a_boat_without_parts():
    (finding,) = found(boat(two_parts(), [sheet([], edge=SIZE)]))
    assert finding.parts == ("F5 deck beam", "F5 port side")
    assert [f.parts for f in found(boat([], [sheet(two_shapes(), edge=SIZE)]))] == [(), ()]
    assert found(boat([], [sheet([], size=None)])) == []


def test_outlines_that_cross_themselves_touch_or_are_points_end_in_findings_and_nothing_else():
    pick = random.Random(8)
    for _ in range(30):
        wild = [
            Drawn(
                outline=Outline.of(
                    [
                        (pick.uniform(0, 900), pick.choice([50.0, pick.uniform(0, 700)]))
                        for _ in range(pick.randint(3, 9))
                    ]
                ),
                text=pick.choice(["", "F5 port side", "F5", "?"]),
                layer=pick.choice(["CUT", "MARKS"]),
            )
            for _ in range(pick.randint(1, 12))
        ]
        built = boat(two_parts(), [sheet(wild, edge=pick.choice([None, SIZE])), sheet(two_shapes()[:1])])
        missing = [f for f in found(built) if f.parts == ("F5 deck beam",)]
        assert missing, "the deck beam is on neither sheet"


def test_thousands_of_marks_are_looked_at_in_a_moment():
    circles = [("DRILL", (20.0 + 5 * (n % 400), 700 + 5 * (n // 400)), 2.0) for n in range(20_000)]
    built = boat(two_parts(), [sheet(two_shapes(), edge=SIZE, circles=circles)])
    assert found(built) == []
    assert any("20000 outlines on layer DRILL" in f.message for f in found(built, Level.NOTE))


@pytest.mark.parametrize(("label", "told"), [("rail", 1), ("unlabelled 1", 0), ("rail / knee", 0)])
def test_no_name_is_offered_that_stands_for_a_label_missing_or_doubled(label, told):
    parts = [part(label, side()), part("beam", beam())]
    shapes = [Drawn(outline=laid(side()), text="beam"), Drawn(outline=laid(beam(), (0, 200)))]
    named = found(boat([frame(parts)], [sheet(shapes)]))
    assert [each.check for each in named if "has the form of" in each.message] == ["cut-sheet"] * told
