"""The draft: what it writes passes all checks, whatever the boat; or it says why it cannot be drafted."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
import shapely
from lines_making import FRAMES, drafted, faults, frame, hull, line_of, lines, shown, written
from test_offsets import reference

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.draft import draft, drafted_files
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.errors import DraftError, ScrieveError, UseError

HULLS = Path(__file__).parents[1] / "hulls"
UPPER = {"battens__upper_chine": {"section": [36, 20], "arris": 6}, "battens__chine": {"layers": 3}}
SLIM = {"floor_depth": 80, "side_depth": 65, "beam_depth": 65, "gusset_arm": 55}
RAKED = [{**FRAMES[0], "station": 240}, *FRAMES[1:5]]

BOATS = {
    "v-bottom": lines(),
    "flat bottom": lines(hull(flat=True)),
    "level floors": lines(hull(deadrise=4), framing={"floor_top": "level", "floor_depth": 150}),
    "double chine": lines(hull(double=True), RAKED, framing=SLIM, **UPPER),
    "inverted": lines(boat={"build": "inverted"}, offsets={"base": -1100}),
    "inverted double chine": lines(
        hull(double=True), RAKED, boat={"build": "inverted"}, offsets={"base": -1300}, framing=SLIM, **UPPER
    ),
    "seen from forward": lines(boat={"seen": "from forward"}),
    "flat deck": lines(offsets={"camber": 0}),
    "no keel batten": lines(battens__keel=None),
    "floor battens": lines(
        frames=FRAMES[:4], battens__floor={"section": [30, 20], "arris": 6, "at": [0.5, 0.62]}
    ),
    "raked amidships": lines(
        frames=[*FRAMES[:3], frame("4", 2000, "ring", rake=8), frame("5", 2600, rake=-6)], battens__chine={"layers": 2}
    ),
    "square battens": lines(battens__chine={"section": [28, 28], "arris": 6}),
}  # fmt: skip


def boat(folder: Path, text: str) -> Assembly:
    """The boat drafted from these lines, set up."""
    return assemble(read_plan(drafted(folder, text)))


@pytest.mark.parametrize("name", BOATS)
def test_what_is_drafted_passes_every_check(tmp_path: Path, name: str) -> None:
    assert faults(drafted(tmp_path, BOATS[name])) == []


@pytest.mark.parametrize("name", ["pram", "skiff"])
def test_a_demonstration_boat_is_its_own_draft_and_clean(name: str) -> None:
    folder = HULLS / name
    files, remarks = drafted_files(folder / "lines.toml")
    assert remarks == ()
    for path, content in files.items():
        assert (folder / path).read_bytes() == content
    kept = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    assert kept == {*files, "lines.toml"}
    assert faults(folder) == []


def test_the_open_12_m_table_whole(tmp_path: Path) -> None:
    columns = reference()
    stations = [round(x * 1000, 3) for x in columns["stations"]]
    frames = [frame("0", stations[0], "transom")]
    frames += [frame(str(i), stations[i], "ring" if i % 3 else "bulkhead") for i in range(1, 19)]
    text = lines(
        columns,
        frames,
        offsets={"units": "m", "base": 400, "camber": 90},
        stock__ply18={"thickness": 18},
        strongback={"inside_width": 500, "rail": [70, 195], "to": 12500},
        battens__keel={"section": [90, 35], "arris": 8},
        battens__floor={"section": [50, 30], "arris": 8, "at": [0.6]},
        battens__chine={"section": [60, 35], "arris": 8},
        battens__sheer={"section": [70, 30], "arris": 8},
        framing={
            "core": "ply18",
            "gusset": "ply12",
            "legs": "ply18",
            "floor_depth": 160,
            "side_depth": 130,
            "beam_depth": 120,
            "gusset_arm": 130,
            "gusset_radius": 90,
        },
        legs={"width": 110, "tongue": 100, "lap": 90},
        screws__gusset={"gauge": 8, "length": "1 in"},
    )
    folder = drafted(tmp_path, text)
    assert len(read_plan(folder).frames) == 19
    assert faults(folder) == []


def test_the_open_12_m_table_at_5_m(tmp_path: Path) -> None:
    scale = 5 / 12.2
    columns = reference(scale)
    stations = [round(x * 1000, 3) for x in columns["stations"]]
    frames = [frame("0", stations[0], "transom")]
    frames += [frame(str(i), stations[i], "ring" if i % 4 else "open") for i in range(2, 19, 2)]
    text = lines(
        columns,
        frames,
        offsets={"units": "m", "base": 300, "camber": 40},
        battens__chine={"layers": 3},
        battens__sheer={"layers": 2},
    )
    assert faults(drafted(tmp_path, text)) == []


def test_the_lines_are_those_of_the_table(tmp_path: Path) -> None:
    columns = hull()
    built = boat(tmp_path, lines(columns))
    at = {f.number: f for f in built.frames}["4"]  # at x = 2000, between stations 1935 and 2150
    floor = next(part for part in at.parts if part.label == "floor")
    keel = np.interp(2000, columns["stations"], columns["keel"]) + 260
    chine = np.interp(2000, columns["stations"], columns["chine.half_breadth"])
    # the bottom runs straight from keel to chine: at the outer arris of the keel batten's notch
    assert floor.shape.bounds[1] == pytest.approx(keel + 30 * np.tan(np.radians(11.0)), abs=3.0)
    assert chine - 40 < floor.shape.bounds[2] < chine


def test_battens_lie_inside_the_lines_with_their_arrises_on_them(tmp_path: Path) -> None:
    columns = hull()
    number = 9  # a station of the table, x = 1935, so that its corners are known without any curve
    built = boat(tmp_path, lines(columns, [*FRAMES[:3], frame("4", columns["stations"][number]), *FRAMES[4:]]))
    corners = [
        (0.0, columns["keel"][number]),
        *((columns[f"{e}.half_breadth"][number], columns[f"{e}.height"][number]) for e in ("chine", "sheer")),
    ]
    port = [(y, v + 260) for y, v in corners]
    outer = shapely.Polygon([*port, *((-y, v) for y, v in reversed(port[1:]))])
    at = {f.number: f for f in built.frames}["4"]
    assert {s.batten for s in at.sections} == {
        "keel", "port chine", "starboard chine", "port sheer", "starboard sheer"
    }  # fmt: skip
    for section in at.sections:
        assert section.drawn is not None
        assert section.drawn.polygon().difference(outer.buffer(1e-3)).area == pytest.approx(0.0, abs=1e-9)
        off = sorted(outer.exterior.distance(shapely.Point(point)) for point in section.drawn.points)
        assert off[1] < 1e-3, section.batten
        assert off[3] > 10, section.batten


def test_legs_lengthen_forward_as_the_hull_rises(tmp_path: Path) -> None:
    built = boat(tmp_path, lines())
    lengths = [f.legs[0].plies[0].shape.bounds[3] for f in built.frames if f.number in ("4", "5", "6")]
    assert lengths == sorted(lengths)
    assert lengths[-1] > lengths[0] + 20


def test_port_and_starboard_are_mirror_images_to_the_drawing_s_last_digit(tmp_path: Path) -> None:
    for one in boat(tmp_path, lines()).frames:
        shapes = {part.name: part.shape for part in one.parts}
        for name, shape in shapes.items():
            other = shapes[name.replace("port", "starboard")] if "port" in name else None
            if other is not None:
                image = shapely.transform(other, lambda points: points * (-1.0, 1.0))
                assert shapely.hausdorff_distance(shape.exterior, image.exterior) < 1e-3
        screws = {(round(s.at[0], 3) + 0.0, round(s.at[1], 3), s.driven_from) for s in one.screws}
        assert screws == {(-y + 0.0, v, face) for y, v, face in screws}


def test_wood_is_left_to_bevel_and_transoms_stand_outside(tmp_path: Path) -> None:
    frames = [*FRAMES, frame("7", 3500, "transom")]
    plan = read_plan(drafted(tmp_path, lines(frames=frames, framing=SLIM)))
    at = {spec.number: spec.station_at for spec in plan.frames}
    assert at["1"] == "aft face"  # transom at the stern
    assert at["2"] == "forward face"  # aft of the greatest beam
    assert at["6"] == "aft face"  # forward of it
    assert at["7"] == "forward face"  # transom at the bow


def test_the_same_lines_give_the_same_bytes(tmp_path: Path) -> None:
    text = lines()
    first, _ = drafted_files(written(tmp_path, text))
    again, _ = drafted_files(written(tmp_path, text))
    turned, _ = drafted_files(written(tmp_path, lines(frames=FRAMES[::-1])))
    assert first == again == turned


def test_the_drawing_is_small_and_names_no_place(tmp_path: Path) -> None:
    files, _ = drafted_files(written(tmp_path, lines()))
    for content in files.values():
        assert len(content) < 40_000
        assert str(tmp_path).encode() not in content


def test_nothing_is_overwritten_without_leave(tmp_path: Path) -> None:
    file = written(tmp_path, lines())
    made = draft(file, tmp_path, replace=False)  # the lines may lie in the plan's folder
    assert [path.name for path in made.files][:2] == ["plan.toml", "1.dxf"]
    (tmp_path / "plan.toml").unlink()
    (tmp_path / "frames" / "2.dxf").write_text("mine")
    with pytest.raises(UseError, match=r"1\.dxf"):
        draft(file, tmp_path, replace=False)
    assert not (tmp_path / "plan.toml").exists()
    assert (tmp_path / "frames" / "2.dxf").read_text() == "mine"
    draft(file, tmp_path, replace=True)
    assert (tmp_path / "frames" / "2.dxf").read_text() != "mine"
    assert file.read_text(encoding="utf-8") == lines()
    assert not list(tmp_path.rglob(".*"))


def test_nothing_is_written_where_a_frame_is_refused(tmp_path: Path) -> None:
    file = written(tmp_path, lines(frames=[*FRAMES, frame("9", 4290)]))
    with pytest.raises(DraftError):
        draft(file, tmp_path / "boat", replace=True)
    assert not (tmp_path / "boat").exists()


def test_a_folder_that_is_a_file_is_one_clear_line(tmp_path: Path) -> None:
    (tmp_path / "boat").write_text("")
    with pytest.raises(UseError):
        draft(written(tmp_path, lines()), tmp_path / "boat", replace=True)


@pytest.mark.parametrize(
    ("text", "start", "said"),
    [
        (lines(frames=[*FRAMES, frame("9", 4400)]), "station = 4400", "off the ends of the table"),
        (lines(reference(), [*FRAMES, frame("9", 12200)], offsets={"units": "m"}), "station = 12200", "0 mm wide"),
        (lines(offsets={"base": -100}), "station = 800", "through the datum plane; raise offsets.base"),
        (lines(boat={"build": "inverted"}), "station = 800", "through the datum plane; lower offsets.base"),
        (lines(offsets={"base": -10}), "[[frames]]", "mm are left between the rails and the frame"),
        (lines(strongback={"inside_width": 900}), "[[frames]]", "mm would do"),
        (lines(strongback={"to": 3000}), "station = 3200", "off the strongback's rails"),
        (lines(framing={"side_depth": 400}), "[[frames]]", "no opening is left"),
        (lines(framing={"floor_depth": 40}), "[[frames]]", "left behind the notch of the"),
        (lines(framing={"floor_top": "level"}), "[[frames]]", "deep at the chine, want 45 mm"),
        (lines(framing={"gusset_radius": 1}), "[[frames]]", "no round of 5 mm"),
        (lines(screws__gusset={"length": "30 mm"}), "[[frames]]", "comes through"),
        (lines(screws__gusset={"length": "12 mm"}), "[[frames]]", "does not get through a gusset"),
        (lines(screws__gusset={"gauge": 14}, framing={"beam_depth": 38, "gusset_arm": 50}), "[[f", "there is room for"),
        (lines(battens__chine={"section": [900, 22]}), "[[frames]]", "wider than the panel"),
        (lines(battens__sheer={"section": [500, 22]}), "[[frames]]", "too low for the sheer batten"),
        (lines(legs={"lap": 95}), "[[frames]]", "make legs.lap smaller"),
        (lines(legs={"width": 800}), "[[frames]]", "there are nowhere 800 mm"),
        (lines(frames=[*FRAMES, frame("9", 3205)]), "station = 3205", "stand in one another"),
        (lines(frames=[*FRAMES[:5], frame("9", 2800, rake=45)]), "station", "frames"),
    ],
)  # fmt: skip
def test_what_cannot_be_drafted_is_told_with_its_line(tmp_path: Path, text: str, start: str, said: str) -> None:
    file = written(tmp_path, text)
    with pytest.raises(DraftError) as refused:
        drafted_files(file)
    found = refused.value.mistakes
    places = [n for n, line in enumerate(text.splitlines(), start=1) if line.startswith(start)]
    assert any(said in m.what and m.line in places for m in found), [str(m) for m in found]


def test_the_width_that_would_do_does(tmp_path: Path) -> None:
    file = written(tmp_path, lines(strongback={"inside_width": 900}))
    with pytest.raises(DraftError) as refused:
        drafted_files(file)
    ranges = [
        [float(word) for word in m.what.split("; from ")[1].replace(" mm would do", "").split(" to ")]
        for m in refused.value.mistakes
    ]
    for width in (max(low for low, _ in ranges), min(high for _, high in ranges)):
        drafted_files(written(tmp_path, lines(strongback={"inside_width": width})))
    with pytest.raises(DraftError):
        drafted_files(written(tmp_path, lines(strongback={"inside_width": min(high for _, high in ranges) + 2})))


def _section(pick: random.Random, low: float, high: float, dowel: float) -> dict[str, object]:
    long = round(pick.uniform(low, high))
    short = round(pick.uniform(14, min(long, 30)))
    return {"section": [long, short], "arris": round(min(short / 2, dowel / 2 + pick.uniform(0, 2)), 2)}


def _at_random(pick: random.Random) -> str:
    """A lines file of a boat within sane ranges, which may be one that cannot be drafted."""
    deadrise = pick.choice([0, 3, 8, 12, 18, 25])
    double, inverted = pick.random() < 0.2, pick.random() < 0.3
    cutter = pick.choice([4, 6, 6.35, 8, 10])
    dowel = max(cutter, pick.choice([6, 8, 10]))
    core, plate = pick.choice([9, 12, 15]), pick.choice([6, 9])
    changes: dict[str, dict[str, object] | None] = {
        "cutter": {"diameter": cutter},
        "dowels": {"diameter": dowel},
        "stock__ply12": {"thickness": core},
        "stock__ply9": {"thickness": plate},
        "boat": {"build": "inverted" if inverted else "upright"},
        "offsets": {
            "base": round(pick.uniform(-1500, -1250)) if inverted else round(pick.uniform(150, 400)),
            "camber": pick.choice([0, 20, 60, 120]),
        },
        "strongback": {"inside_width": round(pick.uniform(160, 280))},
        "battens__chine": _section(pick, 24, 45, dowel),
        "battens__sheer": _section(pick, 25, 50, dowel),
        "battens__keel": _section(pick, 30, 60, dowel),
        "framing": {
            "floor_depth": round(pick.uniform(80, 130)),
            "side_depth": round(pick.uniform(60, 90)),
            "beam_depth": round(pick.uniform(60, 90)),
            "gusset_arm": round(pick.uniform(4 * core + 2, 100)),
            "gusset_radius": round(pick.uniform(15, 80)),
        },
        "legs": {
            "width": round(pick.uniform(50, 80)),
            "tongue": round(pick.uniform(30, 90)),
            "lap": round(pick.uniform(30, 55)),
        },
        "screws__gusset": {"gauge": pick.choice([4, 6, 8]), "length": f"{core + plate - 2:g} mm"},
    }
    if pick.random() < 0.2:
        changes["battens__floor"] = {**_section(pick, 25, 45, dowel), "at": [round(pick.uniform(0.45, 0.7), 2)]}
    if pick.random() < 0.1:
        changes["battens__keel"] = None
    if double:
        changes["battens__upper_chine"] = _section(pick, 24, 40, dowel)
    frames = [frame("1", 260, pick.choice(["transom", "open", "ring"]), rake=pick.choice([0, 8, 12]))]
    for number, station in enumerate([850, 1450, 2050, 2700, 3250], start=2):
        kind = pick.choice(["ring", "open", "open", "bulkhead"])
        rake = pick.choice([0, 0, 0, 5, -7])
        frames.append(frame(str(number), station + round(pick.uniform(-100, 100)), kind, rake=rake))
    columns = hull(deadrise=deadrise, flat=deadrise == 0, double=double)
    return lines(columns, frames[: pick.randint(2, 6)], **changes)


def test_boats_at_random_pass_or_are_refused_with_a_reason(tmp_path: Path) -> None:
    passed = 0
    for seed in range(40):
        text = _at_random(random.Random(seed))
        folder = tmp_path / str(seed)
        folder.mkdir()
        try:
            plan = drafted(folder, text)
        except ScrieveError as refused:
            assert refused.mistakes
            assert all(m.path and m.line for m in refused.mistakes), str(refused)
            continue
        assert faults(plan) == [], f"seed {seed}"
        passed += 1
    assert passed >= 15  # of 40: the ranges are those of real boats, most can be drafted


def test_a_batten_bent_too_tightly_is_refused_with_what_would_do(tmp_path: Path) -> None:
    text = lines(battens__chine={"section": [45, 30]})
    with pytest.raises(DraftError) as refused:
        drafted_files(written(tmp_path, text))
    (mistake,) = refused.value.mistakes
    assert mistake.line == line_of(text, "[battens.chine]")
    layers = int(mistake.what.split("layers = ")[1].split()[0])
    drafted_files(written(tmp_path, lines(battens__chine={"section": [45, 30], "layers": layers})))
    with pytest.raises(DraftError):
        drafted_files(written(tmp_path, lines(battens__chine={"section": [45, 30], "layers": layers - 1})))


def test_names_are_written_as_toml(tmp_path: Path) -> None:
    name = 'Said "Burdock"'
    text = lines().replace(shown("Test boat"), '"Said \\"Burdock\\""')
    assert read_plan(drafted(tmp_path, text)).name == name


def test_nothing_is_drafted_through_a_link_out_of_the_folder(tmp_path):
    (tmp_path / "boat").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "boat" / "frames").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(UseError, match="a link leads away"):
        draft(HULLS / "pram" / "lines.toml", tmp_path / "boat", replace=True)
    assert list((tmp_path / "elsewhere").iterdir()) == []
    assert not (tmp_path / "boat" / "plan.toml").exists()
