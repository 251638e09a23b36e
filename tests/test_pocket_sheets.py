"""Pockets on cut sheets against those of the parts: there, of their depth, in their place, on the face that is up."""

import pytest
from pocketed import PLAN, boat, box, layer_of_depth

from scrieve.model.checks import CHECKS

SIDE = [(0, 0), (300, 0), (260, 60), (0, 60)]
POCKET = box(20, 10, 60, 70)  # runs out over the side's top


def moved(corners, to, *, over=False):
    return [((-u if over else u) + to[0], v + to[1]) for u, v in corners]


FRAME = [
    shape
    for label, at, over in (("port side", (100, 0), False), ("starboard side", (-100, 0), True))
    for shape in (("CORE", label, moved(SIDE, at, over=over)), ("POCKETS FWD", "", moved(POCKET, at, over=over)))
]


def cut(label, at, *, over=False, layer="POCKETS FWD", pocket=POCKET):
    """A side on the sheet; not turned over it lies with its forward face up if it is that to port."""
    drawn = [("CUT", label, moved(SIDE, at, over=over))]
    return [*drawn, (layer, "", moved(pocket, at, over=over))] if layer else drawn


def told(tmp_path, *items, shapes=FRAME, check="cut-sheet"):
    sheet = [shape for item in items for shape in item]
    assembly = boat(tmp_path, shapes, sheets={"sheet.dxf": ("ply12", sheet)})
    return [str(finding.message) for finding in CHECKS[check].run(assembly) if finding.level.value == "error"]


PORT, STARBOARD = cut("port side", (0, 0)), cut("starboard side", (800, 0), over=True)


@pytest.mark.parametrize("labels", [("port side", "starboard side"), ("starboard side", "port side"), ("", "")])
def test_sheets_with_the_pockets_of_the_frames(tmp_path, labels):
    """Without labels the pocket's side tells which of the two hands a part is."""
    found = told(tmp_path, cut(labels[0], (0, 0)), cut(labels[1], (800, 0), over=True))
    # exchanged labels: each lies with its aft face up
    assert [said.split(",")[0] for said in found] == (
        []
        if labels[0] != "starboard side"
        else [
            "F5 starboard side lies with its aft face up",
            "F5 port side lies with its aft face up",
        ]
    )


def test_drawings_seen_from_aft_want_the_same_sheets(tmp_path):
    """What is cut from forward lies on the sheet the other way round than in such a drawing."""
    shapes = [(layer, label, moved(corners, (0, 0), over=True)) for layer, label, corners in FRAME]
    sheet = [*PORT, *STARBOARD]
    seen = {"plan": {**PLAN["plan"], "seen": "from aft"}}
    assembly = boat(tmp_path, shapes, sheets={"sheet.dxf": ("ply12", sheet)}, plan=seen)
    assert [finding.level.value for finding in CHECKS["cut-sheet"].run(assembly)] == ["note"]


def test_two_of_one_hand_are_not_a_pair(tmp_path):
    (said,) = told(tmp_path, cut("", (0, 0)), cut("", (800, 0)))
    assert "F5 starboard side lies with its aft face up, and its pockets are cut into the forward one" in said


def test_a_whole_boat_in_mirror_image_on_the_sheet_is_told(tmp_path):
    assert len(told(tmp_path, cut("port side", (400, 0), over=True), cut("starboard side", (800, 0)))) == 2


@pytest.mark.parametrize(
    "wrong, says",
    [
        ({"layer": ""}, "the pocket in the forward face of F5 port side at y 140.0, z 35.0 is lacking"),
        (
            {"layer": "SEATS"},
            "6.00 mm deep in its forward face, is drawn on layer SEATS for 9.00 mm in the forward one",
        ),
        ({"layer": "POCKETS AFT"}, "is drawn on layer POCKETS AFT for 6.00 mm in the aft one"),
        ({"pocket": moved(POCKET, (1, 0))}, "has another form or place than in its frame, by 1.00 mm"),
        ({"pocket": box(20, 10, 59, 70)}, "has another form or place than in its frame, by 1.00 mm"),
    ],
)
def test_a_pocket_that_differs_is_told(tmp_path, wrong, says):
    (said,) = told(tmp_path, cut("port side", (0, 0), **wrong), STARBOARD)
    assert says in said


@pytest.mark.parametrize("pocket", [moved(POCKET, (0.04, 0)), box(20, 10, 60, 95)])
def test_what_is_within_the_limit_or_past_the_edge_is_no_difference(tmp_path, pocket):
    assert told(tmp_path, cut("port side", (0, 0), pocket=pocket), STARBOARD) == []


def test_a_pocket_of_the_sheet_alone_and_one_in_no_part(tmp_path):
    (said,) = told(tmp_path, PORT, STARBOARD, [("SEATS", "", box(100, 10, 140, 40))])
    assert "F5 port side has no pocket in its frame like that on layer SEATS" in said
    (said,) = told(tmp_path, PORT, STARBOARD, [("SEATS", "", box(100, 110, 140, 140))], check="outline")[:1]
    assert "a pocket lies on layer SEATS of the cut sheet sheet.dxf in no part" in said


@pytest.mark.parametrize("turned, faults", [(False, 0), (True, 0)])
def test_a_part_that_is_its_own_mirror_image_is_laid_the_way_its_pocket_lies(tmp_path, turned, faults):
    shapes = [("CORE", "floor", box(-200, 0, 200, 60)), ("POCKETS FWD", "", box(-150, 10, -100, 50))]
    pocket = box(100, 10, 150, 50) if turned else box(-150, 10, -100, 50)
    sheet = [("CUT", "floor", box(-200, 0, 200, 60)), ("POCKETS FWD", "", pocket)]
    assert len(told(tmp_path, sheet, shapes=shapes)) == faults


def test_a_lopsided_one_in_mirror_image_lies_on_the_wrong_face(tmp_path):
    shapes = [("CORE", "floor", box(-200, 0, 200, 60)), ("POCKETS FWD", "", [(-150, 10), (-100, 10), (-150, 40)])]
    sheet = [("CUT", "floor", box(-200, 0, 200, 60)), ("POCKETS FWD", "", [(150, 10), (100, 10), (150, 40)])]
    (said,) = told(tmp_path, sheet, shapes=shapes)
    assert "F5 floor lies with its aft face up" in said


def test_a_part_with_pockets_in_both_faces_may_lie_either_way_up(tmp_path):
    shapes = [*FRAME[:2], ("POCKETS AFT", "", moved(box(200, 10, 240, 50), (100, 0)))]
    for at, over in (((0, 0), False), ((800, 0), True)):
        back = ("POCKETS AFT", "", moved(box(200, 10, 240, 50), at, over=over))
        folder = tmp_path / str(over)
        folder.mkdir()
        assert told(folder, [*cut("port side", at, over=over), back], shapes=shapes) == []


def test_an_island_is_no_pocket(tmp_path):
    island = ("POCKETS FWD", "", moved(box(30, 20, 40, 40), (100, 0)))
    on_sheet = ("POCKETS FWD", "", box(30, 20, 40, 40))
    assert told(tmp_path, [*PORT, on_sheet], STARBOARD, shapes=[*FRAME, island]) == []


BOTH_FACES = [(layer, "", POCKET) for layer in ("POCKETS FWD", "POCKETS AFT")]
DEEPER = {"layers": layer_of_depth("POCKETS AFT", 3.0)}


@pytest.mark.parametrize("plan", [None, DEEPER], ids=["as deep", "half as deep"])
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("backward", [False, True])
@pytest.mark.parametrize(
    "sheet, says",
    [
        (BOTH_FACES, []),
        ([BOTH_FACES[0], ("POCKETS AFT", "", moved(POCKET, (1, 0)))], ["aft face of F5 side at", "has another form"]),
        ([BOTH_FACES[0], ("SEATS", "", POCKET)], ["deep in its aft face, is drawn on layer SEATS for 9.00 mm"]),
        (BOTH_FACES[:1], ["the pocket in the aft face of F5 side at y 40.0, z 35.0 is lacking"]),
        (BOTH_FACES[1:], ["the pocket in the forward face of F5 side at y 40.0, z 35.0 is lacking"]),
        ([*BOTH_FACES, BOTH_FACES[1]], ["F5 side has no pocket in its frame like that on layer POCKETS AFT"]),
    ],
)
def test_pockets_of_one_outline_in_both_faces_are_told_apart(tmp_path, sheet, says, backward, turned, plan):
    """Whatever their order in the drawing, whichever face lies up, and each its own depth."""
    drawn = [("CUT", "side", SIDE), *sheet[:: -1 if backward else 1]]
    drawn = [(layer, text, moved(points, (500, 0), over=turned)) for layer, text, points in drawn]
    shapes = [("CORE", "side", SIDE), *BOTH_FACES]
    assembly = boat(tmp_path, shapes, sheets={"sheet.dxf": ("ply12", drawn)}, plan=plan)
    found = [str(f.message) for f in CHECKS["cut-sheet"].run(assembly) if f.level.value == "error"]
    assert [all(each in said for each in says) for said in found] == [True] * bool(says)
