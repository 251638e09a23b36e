"""Parts laid out on sheets: none over another, none past the edge, the same whatever their order."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapely
from making import part, rectangle
from sheeted import beam, boat, side

from scrieve.model.checks.cut_sheet import CHECK
from scrieve.model.draft.sheets import names_of, sheet_drawing
from scrieve.model.drawing import read_drawing
from scrieve.model.geometry.outline import Outline
from scrieve.model.sheets.arrangement import MARGIN, PLAY, USUAL_SIZE, Piece, laid_out, pieces_of
from scrieve.model.sheets.packing import packed
from scrieve.model.sheets.reading import sheet_of
from scrieve.shared.findings import Level, Source

SIZE = (2440.0, 1220.0)


def boxes(sizes, spots) -> dict[int, list[shapely.Polygon]]:
    found: dict[int, list[shapely.Polygon]] = {}
    for (wide, high), spot in zip(sizes, spots, strict=True):
        wide, high = (high, wide) if spot.turned else (wide, high)
        found.setdefault(spot.sheet, []).append(shapely.box(*spot.at, spot.at[0] + wide, spot.at[1] + high))
    return found


@pytest.mark.parametrize("seed", range(12))
def test_rectangles_lie_beside_one_another_on_the_sheet(seed: int):
    pick = random.Random(seed)
    sizes = [(pick.uniform(20, 900), pick.uniform(20, 500)) for _ in range(pick.randint(1, 60))]
    spots = packed(sizes, SIZE)
    held = boxes(sizes, spots)
    assert sorted(held) == list(range(len(held)))
    for there in held.values():
        for one, other in combinations(there, 2):
            assert shapely.intersection(one, other).area < 0.01
        assert all(shapely.box(0, 0, *SIZE).buffer(1e-3).contains(box) for box in there)
    # no more sheets than a rule that fills half of every one but the last would take: common sense, no source
    assert len(held) <= 2 * sum(w * h for w, h in sizes) / (SIZE[0] * SIZE[1]) + 1


def test_rectangles_that_fill_a_sheet_exactly_lie_on_one():
    # by hand: 2 x 3 of 1220 x 406.666 and so on; a guillotine pattern without waste
    assert {spot.sheet for spot in packed([(1220, 610)] * 4, SIZE)} == {0}
    assert {spot.sheet for spot in packed([(610, 1220)] * 4, SIZE)} == {0}
    assert {spot.sheet for spot in packed([(1220, 1220), (1220, 610), (610, 610), (610, 610)], SIZE)} == {0}
    assert {spot.sheet for spot in packed([(1220, 611)] * 4, SIZE)} == {0, 1}


def test_what_fits_no_sheet_is_refused():
    with pytest.raises(ValueError, match="fits no sheet"):
        packed([(2441, 10)], SIZE)
    assert packed([], SIZE) == []


def pieces() -> list[Piece]:
    shapes = [side(), side(300), side().mirrored(), beam(), beam(1100), rectangle(0, 0, 400, 150), side(900)]
    return [
        Piece(f"F{n} piece", "ply12", outline.turned(0.7 * n), ())
        for n, outline in enumerate([*shapes, *shapes, *shapes])
    ]


def test_pieces_lie_a_cutter_apart_within_the_margin_and_are_what_they_were():
    sheets, remarks = laid_out(pieces(), sizes={"ply12": SIZE}, cutter=10.0)
    assert remarks == ()
    was = {piece.name: piece for piece in pieces()}
    assert sorted(piece.name for sheet in sheets for piece in sheet.pieces) == sorted(was)
    for sheet in sheets:
        regions = [piece.outline.polygon() for piece in sheet.pieces]
        for one, other in combinations(regions, 2):
            assert shapely.distance(one, other) >= 10.0 + PLAY - 1e-3
        assert (
            shapely.box(MARGIN, MARGIN, SIZE[0] - MARGIN, SIZE[1] - MARGIN)
            .buffer(1e-3)
            .contains(shapely.multipolygons(regions))
        )
        for piece in sheet.pieces:
            # turned, never turned over: the chords between corners are those of before, in the same order
            before, after = was[piece.name].outline.points, piece.outline.points
            turn = (np.diff(after, axis=0) @ [1, 1j]) / (np.diff(before, axis=0) @ [1, 1j])
            assert np.allclose(turn, turn[0]) and abs(turn[0]) == pytest.approx(1.0)


def test_the_order_of_the_pieces_makes_no_difference():
    shuffled = pieces()
    random.Random(1).shuffle(shuffled)
    one, other = (laid_out(some, sizes={"ply12": SIZE}, cutter=10.0)[0] for some in (pieces(), shuffled))
    assert [sheet_drawing(sheet) for sheet in one] == [sheet_drawing(sheet) for sheet in other]


def test_a_piece_larger_than_a_sheet_is_remarked_on():
    large = Piece("F3 bulkhead", "ply12", rectangle(0, 0, 2600, 900), ())
    sheets, remarks = laid_out([large, *pieces()], sizes={"ply12": None}, cutter=10.0)
    assert remarks == (
        "F3 bulkhead, 2600 x 900 mm, does not fit on a sheet of ply12, 2440 x 1220 mm: drawn on 1 of 2620 x 1220 mm",
    )
    assert [piece.name for piece in sheets[-1].pieces] == ["F3 bulkhead"]
    assert {sheet.size for sheet in sheets} == {USUAL_SIZE, (2620.0, 1220.0)}
    beams = [Piece(f"F{n} deck beam", "ply12", rectangle(0, 0, 2500 + n, 90), ()) for n in range(5)]
    sheets, remarks = laid_out([large, *beams], sizes={}, cutter=10.0)
    assert sorted(piece.name for sheet in sheets for piece in sheet.pieces) == sorted(p.name for p in [large, *beams])
    assert len(sheets) == 2  # 900 and two or three of 90 on one, 1200 mm being the room, the rest on another
    assert remarks == (
        "F3 bulkhead, 2600 x 900 mm, and 5 more parts do not fit on a sheet of ply12, 2440 x 1220 mm: "
        f"drawn on {len(sheets)} of 2620 x 1220 mm",
    )


def test_the_names_of_drawings_are_fit_for_files_and_differ():
    laid = [
        laid_out([Piece("a", stock, rectangle(0, 0, 10, 10), ())], sizes={}, cutter=0.0)[0][0]
        for stock in ("ply 12/a", "ply-12-a", "..")
    ]
    names = names_of(laid)
    assert len(set(names)) == 3
    assert all(name.startswith("sheets/") and name.count("/") == 1 and ".." not in name for name in names)


def test_a_boats_parts_laid_out_are_what_the_check_wants(tmp_path):
    ring = replace(part("ring", rectangle(0, 0, 900, 600)), holes=(rectangle(50, 50, 850, 540),))
    parts = [part("port side", side()), part("deck beam", beam()), ring, part("knee", side(200), thickness=6)]
    drawn = laid_out(pieces_of(boat(parts, [])), sizes={}, cutter=10.0)[0]
    sheets = []
    for name, laid in zip(names_of(drawn), drawn, strict=True):
        file = tmp_path / f"{laid.stock}.dxf"
        file.write_bytes(sheet_drawing(laid))
        read = read_drawing(file, shown=name, plan_unit="mm", layers=None)
        sheets.append(sheet_of(read, stock=laid.stock, size=SIZE, source=Source(file="plan.toml"))[0])
    assert [sheet.edges for sheet in sheets] == [((0, 0, *SIZE),)] * 2
    assert [f.level for f in CHECK.run(boat(parts, sheets))] == [Level.NOTE]
    assert [f.parts for f in CHECK.run(boat(parts, sheets[:1])) if f.level is Level.ERROR] == [
        ("F5 deck beam", "F5 port side", "F5 ring") if sheets[0].stock == "ply6" else ("F5 knee",)
    ]


def test_a_square_lies_square():
    (sheet,), _ = laid_out(
        [Piece("a", "ply12", Outline.of([(0, 0), (100, 0), (100, 100), (0, 100)]).turned(0.3), ())],
        sizes={"ply12": SIZE},
        cutter=6.0,
    )
    assert sheet.pieces[0].outline.polygon().bounds == pytest.approx((10, 10, 110, 110), abs=1e-6)
