"""`check --tolerance`: stock at both ends of its band, a worn cutter, screws set out off; and how much room is left."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import making
import notched
import pocketed
import pytest
import shapely
from pocketed import box
from replanning import copy_of, planned_in_inches

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan, remeasured
from scrieve.model.tolerance.fits import fits
from scrieve.model.tolerance.tolerance import WORN, tolerance
from scrieve.shared.sheet_bands import SHEET_STANDARDS, usual_standard
from scrieve.viewer.reports.report import Report
from scrieve.viewer.reports.style import Style
from scrieve.viewer.reports.text_report import text_report
from scrieve.viewer.verbs.commands import run

ROOT = Path(__file__).parents[1]
HULLS = ROOT / "hulls"

FLOOR = ("CORE", "floor", box(-400, 0, 400, 100))
STEM = ("CORE", "stem", box(-50, -100, 50, 300))


def lapped(folder, *, wide=0.0, stock=None, cutter=None):
    """A floor and a stem of 12 mm half-lapped by 6 and 6, the floor's pocket wider than the stem by twice `wide`."""
    plan = {"stock": {**pocketed.PLAN["stock"], "ply12": {"thickness": 12, **(stock or {})}}}
    if cutter:
        plan["cutter"] = {"diameter": cutter}
    forward = ("POCKETS FWD", "floor", box(-50 - wide, 0, 50 + wide, 100))
    aft = ("POCKETS AFT", "stem", box(-50, 0, 50, 100))
    return pocketed.boat(folder, [FLOOR, STEM, forward, aft], plan=plan)


def notch(thickness=18.0, slope=0.0, side=1, **walls):
    """The boat of a board with a notch and a batten that runs `slope` mm to port for each mm forward."""
    frame = notched.frame(thickness=thickness, side=side, **walls)
    return making.assembly([frame], battens=[notched.batten(slope=(slope, 0.0), side=side)], cutter=10.0)


def plays(boat):
    return {key: fit.play for key, fit in fits(boat).items()}


def room(boat, kind="notch"):
    """The one fit of a kind, as drawn."""
    (only,) = (fit for fit in fits(boat).values() if fit.kind == kind)
    return only


# ---- bands


@pytest.mark.parametrize(
    "standard, thickness, low, high",
    [
        # REFERENCE: EN 315 worked out there, US PS 1 as in APA's table
        ("EN 315", 9, 8.33, 9.47),
        ("EN 315", 12, 11.24, 12.56),
        ("EN 315", 18, 17.06, 18.74),
        ("PS 1", 25.4 / 4, 5.56, 7.14),
        ("PS 1", 25.4 / 2, 11.91, 13.49),
        ("PS 1", 25.4 * 3 / 4, 18.26, 19.84),
        ("PS 1", 25.4, 24.13, 26.67),
        ("PS 1 sanded", 25.4 / 2, 12.303, 13.097),
        ("BS 1088", 6, 5.35, 6.04),
        ("BS 1088", 12, 11.18, 12.09),
        ("BS 1088", 18, 17.02, 18.12),
    ],
)
def test_a_standards_band_is_the_published_one(standard, thickness, low, high):
    assert SHEET_STANDARDS[standard].band(thickness) == pytest.approx((low, high), abs=0.006)


@pytest.mark.parametrize(
    "thickness, standard", [(6, "EN 315"), (6.35, "PS 1"), (12, "EN 315"), (12.7, "PS 1"), (12.5, "EN 315")]
)
def test_stock_in_inches_is_taken_for_american(thickness, standard):
    assert usual_standard(thickness).name == standard


def test_each_stock_of_a_plan_has_its_own(tmp_path):
    found = tolerance(lapped(tmp_path, stock={"standard": "BS 1088"}), CHECKS)
    assert [(band.stock, band.standard, band.low, band.high) for band in found.bands] == [
        ("ply12", "BS 1088", pytest.approx(11.18), pytest.approx(12.09))
    ]


def test_a_standard_that_there_is_not_is_refused(tmp_path, capsys):
    lapped(tmp_path)
    plan = tmp_path / "plan.toml"
    plan.write_text(
        plan.read_text(encoding="utf-8").replace("thickness = 12\n", 'thickness = 12\nstandard = "EN 31"\n')
    )
    assert run(["check", str(tmp_path)]) == 2
    assert 'stock.ply12.standard: "EN 315", "BS 1088", "PS 1" or "PS 1 sanded" is wanted' in capsys.readouterr().err


# ---- how thickness tells


@pytest.mark.parametrize("slope", [-0.3, 0.0, 0.1, 0.4])
@pytest.mark.parametrize("side", [1, -1])
def test_a_notch_loses_what_the_batten_goes_sideways_in_the_wood(slope, side):
    """A batten at a slope s is sqrt(1 + s2) as wide in the frame's plane, and s t further over at the other face."""
    grown = 16 * ((1 + slope**2) ** 0.5 - 1)
    for thickness in (18.0, 18.74):
        boat = notch(thickness, side * slope, side=side, port=9.0, starboard=9.0, lower=9.5)
        fit = room(boat)
        assert fit.play == pytest.approx(9.0 - grown - abs(slope) * thickness, abs=1e-6)


@pytest.mark.parametrize("wide", [0.0, 0.3])
def test_a_half_lap_loses_what_the_stock_is_thicker(tmp_path, wide):
    """Both are cut 6 mm deep from 12: what stands is 0.56 too thick at 12.56, and the limit of 0.1 is met at 12.1."""
    found = tolerance(lapped(tmp_path, wide=wide), CHECKS)
    by_where = {each.fit.where: each for each in found.rooms if each.fit.kind == "lap"}
    faces = by_where["faces"]
    assert (faces.planned, faces.worst) == (pytest.approx(0.0), pytest.approx(-0.56))
    assert faces.fails == "stock" and faces.when == "ply12 12.56 mm" and faces.worn == ()
    assert faces.from_ == ("ply12", pytest.approx(12.1))
    assert found.rooms[0] is faces
    assert {(each.check, str(each.message).split(":")[0]) for each in found.came} == {
        ("foul", "at ply12 12.56 mm"),
        ("joint-gap", "at ply12 11.24 mm"),
    }
    assert [each.measure.value for each in found.came if each.check == "foul"] == pytest.approx([0.56])


def test_what_is_gone_at_an_end_is_told_too(tmp_path):
    """Pockets of 6 mm in stock of 11.4 leave a gap of 0.6, which thicker stock fills."""
    found = tolerance(lapped(tmp_path, stock={"thickness": 11.4}), CHECKS)
    assert [(each.check, str(each.message).split(":")[0]) for each in found.went] == [
        ("joint-gap", "at ply12 11.94 mm")
    ]


def test_measured_stock_is_what_it_is(tmp_path):
    found = tolerance(lapped(tmp_path, stock={"measured": 12.1}), CHECKS)
    assert (found.bands, dict(found.kept), found.came) == ((), {"ply12": "measured"}, ())
    plan = read_plan(tmp_path)
    found = tolerance(assemble(remeasured(plan, {"ply12": 11.9})), CHECKS)
    assert (found.bands, found.came, found.went) == ((), (), ())


def test_sawn_timber_has_no_band_and_no_more_stocks_are_varied_than_it_says(tmp_path, monkeypatch):
    monkeypatch.setattr("scrieve.model.tolerance.tolerance.MOST_STOCKS", 2)
    names = ["fir12", "ply6", "ply8", "ply9"]
    plan = {
        "stock": {name: {"thickness": float(name[3:])} for name in names},
        "layers": {name: {"makes": "part", "face": "core", "stock": name} for name in names}
        | {"LABELS": {"makes": "label"}},
    }
    shapes = [(name, f"part {n}", box(100 * n, 0, 100 * n + 90, 50)) for n, name in enumerate(names)]
    found = tolerance(pocketed.boat(tmp_path, shapes, plan=plan), ["foul"])
    assert [band.stock for band in found.bands] == ["ply6", "ply8"]
    assert dict(found.kept) == {"fir12": "sawn, of no standard", "ply9": "one of more than 2"}


# ---- what a worn cutter does


def outlined(drawn, wear, radius=5.0):
    """What a cutter leaves of a shape that it goes round at `radius`, `wear` mm less in diameter than twice that."""
    path = shapely.buffer(drawn, radius, join_style="mitre", mitre_limit=10)
    left = shapely.buffer(path, -(radius - wear / 2), join_style="mitre", mitre_limit=10)
    return Outline.of(shapely.get_coordinates(left.exterior)[:-1])


@pytest.mark.parametrize("wear", WORN)
def test_a_worn_cutter_takes_of_a_notch_and_a_joint_what_it_leaves_on_their_edges(wear):
    board, batten = notched.board_outline(port=0.5, starboard=0.4, lower=0.7), notched.batten()
    halves = {"left": box(0, 0, 100, 80), "right": box(100.5, 0, 200, 80)}

    def boats(cut):
        one = making.part("board", cut(board.polygon()), frame="1000")
        yield making.assembly([making.frame([one], number="1000")], battens=[batten])
        parts = [making.part(name, cut(shapely.Polygon(corners))) for name, corners in halves.items()]
        yield making.assembly([making.frame(parts)])

    pairs = zip(boats(lambda shape: outlined(shape, 0.0)), boats(lambda shape: outlined(shape, wear)), strict=True)
    for (true, worn), loses in zip(pairs, (0.5, 1.0), strict=True):
        ((key, fit),) = fits(true).items()
        assert fit.cut == loses
        assert plays(worn)[key] == pytest.approx(fit.play - fit.cut * wear, abs=1e-6)


def test_a_worn_cutter_takes_of_the_flanks_of_a_lap_and_not_of_its_faces(tmp_path):
    found = tolerance(lapped(tmp_path, wide=0.15, cutter=10), ["foul"])
    (flanks,) = (each for each in found.rooms if each.fit.where == "flanks" and each.planned > 0.1)
    assert flanks.worst == pytest.approx(0.15)
    assert flanks.worn == pytest.approx((0.05, -0.05))
    assert flanks.fails == ""


def test_what_fits_with_a_true_cutter_alone_is_a_note():
    """A batten may be 0.2 in the wood: a cutter 0.2 too small adds 0.1."""
    for drawn, said in ((-0.05, []), (-0.15, ["with the cutter 0.2 mm smaller"])):
        found = tolerance(notch(port=drawn, starboard=5.0, lower=5.0), CHECKS)
        assert [str(each.message).split(" than")[0] for each in found.notes] == said
        assert {str(each.level) for each in found.notes} <= {"note"}
        assert [each.fails for each in found.rooms] == ["cutter" if said else ""]
    assert tolerance(making.assembly([notched.frame()], battens=[notched.batten()]), CHECKS).rooms[0].worn == ()


# ---- screws set out off


@pytest.mark.parametrize("distance, notes", [(4.10, 0), (4.18, 1), (5.15, 1), (5.18, 0)])
def test_a_screw_that_a_millimetre_brings_too_near_an_edge_is_noted(distance, notes):
    """No. 8 is 4.166 mm thick, as near to an edge as an axis may be."""
    parts = [
        making.part("floor", making.rectangle(0, 0, 400, 100)),
        making.part("gusset", making.rectangle(0, 0, 200, 100), face="forward", thickness=9),
    ]
    frame = making.frame(parts, screws=[making.screw(parts, (200 - distance, 50), core=27.0)])
    found = tolerance(making.assembly([frame]), ["screw-edge"]).notes
    assert [each.check for each in found] == ["screw-edge"] * notes
    assert [each.measure.value for each in found] == pytest.approx([distance] * notes)


@pytest.mark.parametrize("apart, notes", [(8.42, 0), (8.44, 1), (10.42, 1), (10.44, 0)])
def test_two_screws_that_a_millimetre_each_brings_together_are_noted(apart, notes):
    """Heads of No. 8 are 0.332 in wide, 8.433 mm, and may touch."""
    parts = [making.part("floor", making.rectangle(0, 0, 400, 100))]
    screws = [making.screw(parts, (200 + at, 50), name=f"screw {n}") for n, at in enumerate((0.0, apart))]
    found = tolerance(making.assembly([making.frame(parts, screws=screws)]), ["screw-foul"]).notes
    assert [each.check for each in found] == ["screw-foul"] * notes


# ---- whole boats


def test_a_boat_with_room_enough_has_nothing_but_the_table():
    boat = notch(slope=0.02, port=0.9, starboard=0.9, lower=0.9)
    found = tolerance(boat, CHECKS)
    assert (found.came, found.went, found.notes) == ((), (), ())
    report = Report.of(boat, [], plan="boat", ran=CHECKS, left_out=[], tolerance=found)
    text = text_report([report], Style())
    assert "  Nothing comes and nothing goes.\n" in text
    (row,) = (line for line in text.splitlines() if line.endswith("F1000 port sheer, port wall of board"))
    assert row.split()[:5] == ["0.54", "0.54", "0.49", "0.44", "-0.20"]


@pytest.fixture(scope="module", name="boats")
def whole_boats():
    return {name: assemble(read_plan(HULLS / name)) for name in ("pram", "skiff")}


@pytest.mark.parametrize("name", ["pram", "skiff"])
def test_both_sides_of_a_clean_boat_have_the_same_room(boats, name):
    found = tolerance(boats[name], ["notch-foul", "joint-gap"])
    by_side = {"port": [], "starboard": []}
    for each in found.rooms:
        sides = {word for subject in each.fit.subjects for word in subject.name.split() if word in by_side}
        numbers = (each.fit.kind, each.fit.frame, each.fails, *(round(n, 3) for n in (each.worst, *each.worn)))
        for side in sides:
            by_side[side].append(numbers)
    assert sorted(by_side["port"]) == sorted(by_side["starboard"]) != []
    assert [each.least - each.fit.least for each in found.rooms] == sorted(
        (each.least - each.fit.least for each in found.rooms), key=lambda spare: round(spare, 4)
    )


def test_a_plan_in_inches_has_the_same_room(boats, tmp_path):
    planned_in_inches(copy_of(HULLS / "pram", tmp_path / "pram"))
    ours, theirs = (
        {room.fit.key: (room.planned, room.worst, *room.worn) for room in tolerance(boat, ["notch-foul"]).rooms}
        for boat in (boats["pram"], assemble(read_plan(tmp_path / "pram")))
    )
    assert ours.keys() == theirs.keys()
    assert all(theirs[key] == pytest.approx(room, abs=1e-3) for key, room in ours.items())


def test_each_end_is_what_measuring_it_finds(boats):
    """The worst of the skiff's fits is that of the boat with its stock given as measured, and so is what comes."""
    found = tolerance(boats["skiff"], CHECKS)
    plan = read_plan(HULLS / "skiff")
    thick, thin = (
        assemble(remeasured(plan, {band.stock: end for band in found.bands for end in [getattr(band, which)]}))
        for which in ("high", "low")
    )
    known = plays(thick)
    assert found.rooms[0].worst == pytest.approx(known[found.rooms[0].fit.key])
    bites = [each.message for each in CHECKS["screw-bite"].run(thin) if each.level == "warning"]
    assert [str(each.message).partition(": ")[2] for each in found.came] == sorted(map(str, bites))
    assert {str(each.message).partition(": ")[0] for each in found.came} == {"at ply12 11.24 mm and ply9 8.33 mm"}
    assert all(not each.edits for each in found.came)


def test_the_verb_counts_what_comes_and_its_json_is_as_the_schema_says(capsys):
    asked = ["check", str(HULLS / "skiff"), "--only", "screw-bite,notch-foul"]
    assert run([*asked, "--tolerance", "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    jsonschema.validate(told, json.loads((ROOT / "viewer" / "reports" / "findings.schema.json").read_text("utf-8")))
    assert told["tolerance"]["play"][0]["fails"] == "cutter" and told["counts"]["warning"] == 0
    assert run([*asked, "--tolerance", "--fail-on", "warning", "--format", "github"]) == 1
    assert "::warning file=" in capsys.readouterr().out
    assert run([*asked, "--fail-on", "warning"]) == 0
    assert "Room where" not in capsys.readouterr().out


def test_of_the_faulty_boat_port_and_starboard_alike_are_one_line(capsys):
    asked = ["check", str(HULLS / "skiff-with-faults"), "--only", "notch-foul,gusset-lap"]
    run([*asked, "--tolerance"])
    text = capsys.readouterr().out
    table = {line[62:].strip() for line in text.partition("Room where things meet")[2].splitlines()}
    assert "F4 port chine, upper starboard wall of port side, too tight from ply12 12.52 mm" in table
    assert "F7 port sheer, starboard wall of deck beam, at ply12 12.56 mm; starboard alike" in table
    assert "\n  goes     at ply12 11.24 mm: F4 starboard chine gusset on both faces reaches 47.00 mm" in text
