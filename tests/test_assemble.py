"""From a plan folder to placed solids: faces, thicknesses, stations, kinds, names, battens, notes on a drawing."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import making
import numpy as np
import pytest
from replanning import as_toml

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.errors import DrawingError, PlanError
from scrieve.shared.findings import Level

CORE = {"makes": "part", "face": "core", "stock": "ply12"}
PLAN = {
    "plan": {"name": "Test boat", "units": "mm", "seen": "from aft"},
    "cutter": {"diameter": 10},
    "stock": {"ply12": {"thickness": 12, "density": 500}, "ply9": {"thickness": 9, "density": 680}},
    "screws": {"gusset": {"gauge": 8, "length": "3/4 in", "head": "countersunk"}},
    "battens": {"chine": {"section": [32, 20], "arris": 5, "sides": "both"}},
    "layers": {
        "CORE": CORE,
        "GUSSETS": {"makes": "part", "face": "both", "stock": "ply9", "role": "gusset"},
        "KNEES FWD": {"makes": "part", "face": "forward", "stock": "ply9", "role": "gusset"},
        "KNEES AFT": {"makes": "part", "face": "aft", "stock": "ply9", "role": "gusset"},
        "SCREWS FWD": {"makes": "screw", "screw": "gusset", "driven_from": "forward"},
        "BATTENS": {"makes": "batten"},
        "DOWELS": {"makes": "dowel"},
    },
}
FLOOR = [(-400, 0), (400, 0), (400, 100), (-400, 100)]


def drawn(
    folder: Path,
    name: str,
    *,
    unit: int = 4,
    stray: str = "",
    tall: float = 20,
    board: str = "floor",
    chine: str = "chine",
) -> None:
    """A frame drawing: a floor with a gusset on it, a screw, a dowel and the two sections of the chine batten."""
    doc = ezdxf.new("R2000", units=unit)
    space = doc.modelspace()
    for layer, label, corners in (
        ("CORE", board, FLOOR),
        ("GUSSETS", "gusset", [(-380, 10), (-250, 10), (-250, 90), (-380, 90)]),
        ("KNEES FWD", "knee", [(-100, 10), (0, 10), (0, 90), (-100, 90)]),
        ("KNEES AFT", "knee", [(-100, 10), (0, 10), (0, 90), (-100, 90)]),
        ("BATTENS", chine, [(-432, 40), (-400, 40), (-400, 40 + tall), (-432, 40 + tall)]),
        ("BATTENS", chine, [(432, 40), (400, 40), (400, 40 + tall), (432, 40 + tall)]),
    ):
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
        middle = np.mean(corners, axis=0) + ((0, 30) if label == board else (0, 0))
        space.add_text(label, dxfattribs={"layer": layer, "insert": tuple(middle)})
    space.add_circle((-300, 50), 2, dxfattribs={"layer": "SCREWS FWD"})
    space.add_circle((-405, 65), 5, dxfattribs={"layer": "DOWELS"})
    if stray:
        space.add_line((0, 0), (10, 10), dxfattribs={"layer": stray})
    doc.saveas(folder / name)


def boat(folder: Path, *, plan: dict = PLAN, frame: dict | None = None, **drawing: object) -> Assembly:
    """Two like frames at 1000 and 2000."""
    for name in ("1.dxf", "2.dxf"):
        drawn(folder, name, **drawing)
    frames = [
        {"number": n, "station": 1000 * int(n), "drawing": f"{n}.dxf", "origin": [0, 0], **(frame or {})} for n in "12"
    ]
    (folder / "plan.toml").write_text(as_toml({**plan, "frames": frames}), encoding="utf-8")
    return assemble(read_plan(folder))


def spans(assembly: Assembly) -> dict[str, tuple[float, float]]:
    return {part.name: (part.low, part.high) for part in assembly.frames[0].parts}


@pytest.mark.parametrize(("at", "low"), [("aft face", 0.0), ("forward face", -12.0), ("middle", -6.0)])
def test_the_named_face_of_the_core_stands_on_the_station_and_plates_lie_on_its_faces(tmp_path, at, low):
    high = low + 12
    assert spans(boat(tmp_path, frame={"station_at": at})) == {
        "F1 floor": (low, high),
        "F1 gusset, forward": (high, high + 9),
        "F1 gusset, aft": (low - 9, low),
        "F1 knee, forward": (high, high + 9),
        "F1 knee, aft": (low - 9, low),
    }


@pytest.mark.parametrize(
    ("table", "name", "key", "size", "refused"),
    [
        ("battens", "chine", "section", [30000, 20], "30000"),
        ("battens", "chine", "section", [300000, 30000], "300000"),
        ("battens", "chine", "section", [800.5, 20], "800.5"),
        ("battens", "chine", "section", [799.5, 20], ""),
        ("stock", "ply9", "thickness", 3000, "3000"),
    ],
)
def test_what_is_larger_than_any_frame_is_a_mistake_of_the_plan(tmp_path, table, name, key, size, refused):
    plan = {**PLAN, table: {**PLAN[table], name: {**PLAN[table][name], key: size}}}
    if not refused:
        assert boat(tmp_path, plan=plan).frames
        return
    with pytest.raises(PlanError) as said:
        boat(tmp_path, plan=plan)
    (mistake,) = said.value.mistakes
    assert mistake.what == (
        f"{table}.{name}.{key}: no more than the largest frame is across, 800 mm, is wanted (got {refused} mm)"
    )
    line = (tmp_path / "plan.toml").read_text(encoding="utf-8").splitlines()[mistake.line - 1]
    assert line.startswith(key) and mistake.path == str(tmp_path / "plan.toml")


def test_a_boat_with_faces_of_layers_edited_has_the_labels_that_go_with_them(tmp_path):
    """Of plates over one another each has the label that says its face."""
    faces = {"KNEES FWD": "aft", "KNEES AFT": "forward"}
    layers = {name: {**layer, "face": faces.get(name, layer.get("face"))} for name, layer in PLAN["layers"].items()}
    layers = {name: {key: value for key, value in layer.items() if value} for name, layer in layers.items()}
    boat(tmp_path, plan={**PLAN, "layers": {**layers, "LABELS": {"makes": "label"}}})
    for name in ("1.dxf", "2.dxf"):
        doc = ezdxf.readfile(tmp_path / name)
        for text, label in zip(doc.query('TEXT[text=="knee"]'), ("knee A fwd", "knee B aft"), strict=True):
            text.dxf.text, text.dxf.layer = label, "LABELS"
            text.dxf.insert = (-60, 30 if "A" in label else 60)
        doc.saveas(tmp_path / name)
    plan = read_plan(tmp_path)

    def labels(assembly: Assembly) -> dict[str, str]:
        return {part.source.layer: part.label for part in assembly.frames[0].parts if "knee" in part.label}

    before = assemble(plan)
    assert labels(before) == {"KNEES FWD": "knee B aft", "KNEES AFT": "knee A fwd"}
    right = {"KNEES FWD": "forward", "KNEES AFT": "aft"}
    edits = [edit for name in right for edit in plan.keys.set(("layers", name), "face", right[name])]
    assert labels(before.edited(edits)) == {"KNEES FWD": "knee A fwd", "KNEES AFT": "knee B aft"}


def test_a_caliper_reading_replaces_the_nominal_thickness_everywhere(tmp_path):
    measured = {**PLAN, "stock": {**PLAN["stock"], "ply12": {"thickness": 12, "measured": 11.7, "density": 500}}}
    assembly = boat(tmp_path, plan=measured)
    assert spans(assembly)["F1 floor"] == (0.0, 11.7)
    assert spans(assembly)["F1 gusset, forward"] == (11.7, pytest.approx(20.7))
    floor = next(part for part in assembly.parts() if part.label == "floor")
    assert floor.volume == pytest.approx(800 * 100 * 11.7, rel=1e-9)


def test_a_screw_is_driven_flush_through_the_plies_under_it(tmp_path):
    (screw,) = boat(tmp_path).frames[0].screws
    assert screw.name == "F1 forward screw 1"
    assert screw.at == pytest.approx((300, 50))
    assert [ply.part.name for ply in screw.plies] == ["F1 gusset, forward", "F1 floor"]
    assert (screw.head, screw.tip) == pytest.approx((21.0, 21.0 - 19.05))
    assert screw.far == -9.0


def test_dowels_and_batten_sections_come_out_in_the_frames_own_axes(tmp_path):
    assembly = boat(tmp_path)
    (dowel,) = assembly.frames[0].dowels
    assert dowel.at == pytest.approx((405, 65))
    assert dowel.diameter == pytest.approx(10)
    assert [batten.name for batten in assembly.battens] == ["port chine", "starboard chine"]
    port = assembly.battens[0]
    assert port.centres == pytest.approx(np.array([(1000, 416, 50), (2000, 416, 50)]))


def test_the_kind_of_a_frame_is_seen_from_its_core_unless_the_plan_says(tmp_path):
    assert boat(tmp_path).frames[0].kind == "open"
    assert boat(tmp_path, frame={"kind": "bulkhead"}).frames[0].kind == "bulkhead"
    assert boat(tmp_path, board="Bulkhead 2").frames[0].kind == "bulkhead"
    assert boat(tmp_path, board="Bulkhead 2", frame={"kind": "open"}).frames[0].kind == "open"


@pytest.mark.parametrize(
    ("rake", "tall", "told"), [(0, 20.6, True), (20, 21.28, False), (-20, 20, False), (20, 22, True)]
)
def test_a_section_in_a_raked_frame_may_be_drawn_as_its_plane_cuts_it(tmp_path, rake, tall, told):
    """Upright, 20 mm square to the batten are 20 / cos 20 = 21.28 mm in the plane."""
    found = boat(tmp_path, frame={"rake": rake}, tall=tall)
    assert any("section of the port chine" in defect.message for defect in found.frames[0].defects) == told


def test_a_batten_of_another_size_than_the_plan_says_is_told(tmp_path):
    plan = {**PLAN, "battens": {"chine": {"section": [32, 22], "sides": "both"}}}
    said = [defect.message for defect in boat(tmp_path, plan=plan).frames[0].defects]
    assert "the section of the port chine is drawn 32.0 x 20.0 mm, the plan says 32.0 x 22.0 mm" in said


@pytest.mark.parametrize(
    ("label", "told"),
    [
        ("chine 32x20", False),
        ("CHINE 20 x 32 mm", False),
        ("chine (32×20)", False),
        ("F1 chine, 3,2 cm x 2 cm", False),
        ("32 x 20 chine", False),
        ("chine 32.3 x 20", False),
        ("chine 30 x 20", True),
        ("chine 1-1/4 x 3/4 in", True),
        ('chine 1 17/64" x 25/32"', False),
    ],
)
def test_a_label_may_say_the_size_of_its_batten_and_is_told_where_the_plan_has_another(tmp_path, label, told):
    assembly = boat(tmp_path, chine=label)
    assert [batten.name for batten in assembly.battens] == ["port chine", "starboard chine"]
    said = [(defect.check, defect.level) for defect in assembly.frames[0].defects if label in defect.message]
    assert said == ([("label", Level.WARNING)] * 2 if told else [])


@pytest.mark.parametrize("label", ["chine 32", "chine 2", "chines 32x20", "32x20", "chine 32x"])
def test_what_is_no_name_and_size_names_no_batten(tmp_path, label):
    assert boat(tmp_path, chine=label).battens == ()


def test_a_batten_may_be_called_by_a_size(tmp_path):
    plan = {**PLAN, "battens": {"rail 30x18": {"section": [32, 20], "sides": "both"}}}
    assembly = boat(tmp_path, plan=plan, chine="rail 30x18")
    assert [batten.name for batten in assembly.battens] == ["port rail 30x18", "starboard rail 30x18"]
    assert not any(defect.check == "label" for defect in assembly.frames[0].defects)


def test_a_section_that_names_no_batten_is_told(tmp_path):
    plan = {**PLAN, "battens": {"sheer": {"section": [32, 20], "sides": "both"}}}
    assembly = boat(tmp_path, plan=plan)
    assert any('"port chine" names no batten' in defect.message for defect in assembly.frames[0].defects)
    assert [defect.message for defect in assembly.defects] == [
        f"the {side} sheer batten is not checked: no frame shows its section or a notch that fits it, "
        "two or more are needed to follow it"
        for side in ("port", "starboard")
    ]


def test_a_batten_drawn_on_a_side_the_plan_does_not_have_is_told(tmp_path):
    plan = {**PLAN, "battens": {"chine": {"section": [32, 20], "sides": "port"}}}
    assembly = boat(tmp_path, plan=plan)
    assert [batten.name for batten in assembly.battens] == ["port chine"]
    (defect,) = assembly.defects
    assert defect.message == (
        'the starboard chine is drawn in F1, F2, but the plan has this batten on side "port" only'
    )


def test_what_is_to_be_known_of_a_drawing_is_told_once_with_its_frame(tmp_path):
    told = [defect.message for defect in boat(tmp_path, unit=0, stray="SKETCH").frames[0].defects]
    assert sum("no unit of its own" in message for message in told) == 1
    assert sum("SKETCH" in message for message in told) == 1


def test_a_frame_without_a_core_part_is_told(tmp_path):
    plan = {**PLAN, "layers": {**PLAN["layers"], "CORE": {**CORE, "face": "forward"}}}
    assert any("frame has a core part" in defect.message for defect in boat(tmp_path, plan=plan).defects)


@pytest.mark.parametrize(
    ("size", "thickness", "density", "mass"),
    [((1220, 2440), 9, 500, 13.40), ((1220, 2440), 12, 680, 24.29), ((1220, 2440), 18, 680, 36.44)],
)
def test_a_whole_sheet_weighs_what_its_volume_and_density_make(tmp_path, size, thickness, density, mass):
    """Hand-worked: length x breadth x thickness x density of the usual sheet sizes, to 10 g."""
    sheet = making.part("sheet", making.rectangle(0, 0, *size), thickness=thickness, density=density)
    assert sheet.mass == pytest.approx(mass, abs=0.005)


def test_two_frames_at_one_station_leave_the_battens_through_both_unjudged(tmp_path):
    assembly = boat(tmp_path, frame={"station": 1000})
    assert assembly.battens == ()
    assert [defect.message for defect in assembly.defects] == [
        f"the {side} chine batten is not checked: F1 and F2 hold it at one place along the boat"
        for side in ("port", "starboard")
    ]
    root, *held = (f for f in review(assembly, skip=["screw-count"], held=True) if f.level == "error")
    assert (root.check, root.because) == ("station", None)
    assert {each.check for each in held} == {"foul"}
    assert all(each.because is root for each in held)
    assert {each.check for each in review(assembly, only=["foul"], held=True) if each.because is None} == {"foul"}


def test_a_limit_of_nothing_for_open_outlines_can_be_set(tmp_path):
    assert len(boat(tmp_path, plan={**PLAN, "limits": {"outline": 0}}).frames[0].screws) == 1


def test_every_drawing_that_cannot_be_read_is_told_as_the_plan_was_named(tmp_path, monkeypatch):
    boat(tmp_path)
    (tmp_path / "1.dxf").write_text("xx")
    (tmp_path / "2.dxf").write_text("")
    monkeypatch.chdir(tmp_path.parent)
    with pytest.raises(DrawingError) as raised:
        assemble(read_plan(Path(tmp_path.name)))
    assert [str(mistake) for mistake in raised.value.mistakes] == [
        f"{tmp_path.name}/1.dxf: a DXF drawing is wanted (this is no DXF file)",
        f"{tmp_path.name}/2.dxf: a DXF drawing is wanted (the file is empty)",
    ]


@pytest.mark.parametrize("of_frames", [{}, {"1": "from forward"}, {"1": "from forward", "2": "from forward"}])
def test_a_frame_may_be_seen_otherwise_than_the_plan_says(tmp_path, of_frames):
    boat(tmp_path)
    frames = [
        {"number": n, "station": 1000 * int(n), "drawing": f"{n}.dxf"}
        | ({"seen": of_frames[n]} if n in of_frames else {})
        for n in "12"
    ]
    (tmp_path / "plan.toml").write_text(as_toml({**PLAN, "frames": frames}), encoding="utf-8")
    for frame in assemble(read_plan(tmp_path)).frames:
        gusset = next(part for part in frame.parts if part.label == "gusset")
        assert np.sign(gusset.shape.centroid.x) == (-1 if frame.number in of_frames else 1)
        assert [np.sign(screw.at[0]) for screw in frame.screws] == [np.sign(gusset.shape.centroid.x)]
