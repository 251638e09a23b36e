"""The draft: what it writes passes all checks, whatever the boat; or it says why it cannot be drafted."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
import shapely
from lines_at_random import lines_at_random
from lines_making import FRAMES, drafted, faults, frame, hull, lines, shown, written
from test_offsets import reference

from scrieve.model.assemble import assemble
from scrieve.model.draft import draft, drafted_files, drafting, worked_out
from scrieve.model.draft.lines import LinesFile
from scrieve.model.draft.refusal import Reason
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.errors import DraftError, ScrieveError, UseError
from scrieve.shared.findings import Finding, Level

SOME = range(0, 60, 3)  # of the 500 lines files that the generator was tried on
HULLS = Path(__file__).parents[1] / "hulls"
UPPER = {"battens__upper_chine": {"section": [36, 20], "arris": 6}, "battens__chine": {"layers": 3}}
SLIM = {"floor_depth": 80, "side_depth": 65, "beam_depth": 65, "gusset_arm": 55}
RAKED = [{**FRAMES[0], "station": 240}, *FRAMES[1:5]]

BOATS = {
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


def without_advice(_: LinesFile, reasons: Sequence[Reason]) -> list[tuple[Reason, str]]:
    """The reasons as they are, for tests that have no need of the search for what would do."""
    return [(reason, reason.what) for reason in reasons]


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> list[list[Finding]]:
    """What is wrong in each draft that the test makes: the draft checks its own files, so once is enough."""
    out: list[list[Finding]] = []
    checked = worked_out._findings

    def kept(files: dict[str, bytes]) -> tuple[Finding, ...]:
        all_of_it = checked(files)
        out.append([finding for finding in all_of_it if finding.level is not Level.NOTE])
        return all_of_it

    monkeypatch.setattr(worked_out, "_findings", kept)
    return out


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the usual boat's plan, drafted once; not to be changed."""
    return drafted(tmp_path_factory.mktemp("usual"), lines())


def contents(plan: Path) -> dict[str, bytes]:
    """The files of a plan by name."""
    return {p.relative_to(plan).as_posix(): p.read_bytes() for p in plan.rglob("*") if p.is_file()}


def test_a_plan_that_was_written_passes_every_check(usual: Path) -> None:
    assert faults(usual) == []


@pytest.mark.parametrize("name", BOATS)
def test_what_is_drafted_passes_every_check(tmp_path: Path, found: list[list[Finding]], name: str) -> None:
    drafted_files(written(tmp_path, BOATS[name]))
    assert found == [[]]


@pytest.mark.parametrize("name", ["pram", "skiff"])
def test_a_demonstration_boat_is_its_own_draft_and_clean(name: str, found: list[list[Finding]]) -> None:
    folder = HULLS / name
    files, remarks = drafted_files(folder / "lines.toml")
    assert remarks == ()
    kept = contents(folder)
    del kept["lines.toml"]
    assert kept == files
    assert found == [[]]


def test_the_open_12_m_table_whole(tmp_path: Path, found: list[list[Finding]]) -> None:
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
    files, _ = drafted_files(written(tmp_path, text))
    assert sum(name.startswith("frames/") for name in files) == 19
    assert found == [[]]


def test_the_open_12_m_table_at_5_m(tmp_path: Path, found: list[list[Finding]]) -> None:
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
    drafted_files(written(tmp_path, text))
    assert found == [[]]


def test_the_lines_are_those_of_the_table(usual: Path) -> None:
    columns = hull()
    built = assemble(read_plan(usual))
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
    text = lines(columns, [*FRAMES[:3], frame("4", columns["stations"][number]), *FRAMES[4:]])
    built = assemble(read_plan(drafted(tmp_path, text)))
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


def test_legs_lengthen_forward_as_the_hull_rises(usual: Path) -> None:
    built = assemble(read_plan(usual))
    lengths = [f.legs[0].plies[0].shape.bounds[3] for f in built.frames if f.number in ("4", "5", "6")]
    assert lengths == sorted(lengths)
    assert lengths[-1] > lengths[0] + 20


def test_port_and_starboard_are_mirror_images_to_the_drawing_s_last_digit(usual: Path) -> None:
    for one in assemble(read_plan(usual)).frames:
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


def test_the_same_lines_give_the_same_bytes(tmp_path: Path, usual: Path) -> None:
    turned, _ = drafted_files(written(tmp_path, lines(frames=FRAMES[::-1])))
    assert contents(usual) == turned


def test_the_drawing_is_small_and_names_no_place(usual: Path) -> None:
    for content in contents(usual).values():
        assert len(content) < 40_000
        assert str(usual.parent).encode() not in content


def test_nothing_is_overwritten_without_leave(tmp_path: Path, usual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = dict(sorted(contents(usual).items(), key=lambda each: (each[0] != "plan.toml", each[0])))
    monkeypatch.setattr(drafting, "drafted_files", lambda _: (files, ()))
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


def test_nothing_is_written_where_a_frame_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafting, "remedied", without_advice)
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
        (lines(offsets={"base": -100}), "station = 800", "through the datum plane; offsets.base = "),
        (lines(boat={"build": "inverted"}), "station = 800", "through the datum plane; offsets.base = -"),
        (lines(offsets={"base": -10}), "[[frames]]", "mm are left between the rails and the frame"),
        (lines(strongback={"inside_width": 900}), "[[frames]]", "inside width of 900 mm; strongback.inside_width = "),
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
        (lines(legs={"lap": 95}), "[[frames]]", "legs.lap = "),
        (lines(legs={"width": 800}), "[[frames]]", "nowhere leave the 800 mm"),
        (lines(offsets={"camber": 1e5}), "camber = ", "camber: at most half the greatest breadth, 755 mm"),
        (lines(framing={"gusset_arm": 5000}), "gusset_arm = 5000", "gusset_arm: at most 1510 mm, the size of the hull"),
        (lines(framing={"gusset_radius": 4000}), "gusset_radius = 4000", "gusset_radius: at most 1510 mm"),
        (lines(legs={"tongue": 3000}), "tongue = 3000", "legs.tongue: at most 1510 mm"),
        (lines(frames=[*FRAMES, frame("9", 3205)]), "station = 3205", "stand in one another"),
        (lines(frames=[*FRAMES[:5], frame("9", 2800, rake=45)]), "station", "frames"),
    ],
)  # fmt: skip
def test_what_cannot_be_drafted_is_told_with_its_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, start: str, said: str
) -> None:
    file = written(tmp_path, text)
    if " = " not in said:
        monkeypatch.setattr(drafting, "remedied", without_advice)
    with pytest.raises(DraftError) as refused:
        drafted_files(file)
    found = refused.value.mistakes
    places = [n for n, line in enumerate(text.splitlines(), start=1) if line.startswith(start)]
    assert any(said in m.what and m.line in places for m in found), [str(m) for m in found]


def advised(text: str, said: str) -> str:
    """The lines file with all that a refusal says would do, in the place of what stands there."""
    written_out = text.splitlines()
    for change in re.split(r", with | and (?=[\w.]+ = )", said.split("; ", 1)[1].replace(" would do", "")):
        key, value, frame = re.fullmatch(r"([\w.]+) = (.*?)(?: for frame (\w+))?", change).groups()
        *table, name = key.split(".")
        head = f"[{'.'.join(table)}]" if frame is None else f'number = "{frame}"'
        start = written_out.index(head)
        here = [n for n in range(start + 1, len(written_out)) if re.match(rf"{name}\s*=", written_out[n])]
        ends = [n for n in range(start + 1, len(written_out)) if written_out[n].startswith("[")] + [len(written_out)]
        if here and here[0] < ends[0]:
            written_out[here[0]] = f"{name} = {value}"
        else:
            written_out.insert(start + 1, f"{name} = {value}")
    return "\n".join(written_out)


FEW = FRAMES[1:4]
"""Enough to find what would do; the search works each of them out many times."""


@pytest.mark.parametrize(
    "text",
    [
        lines(frames=FEW, strongback={"inside_width": 900}),
        lines(frames=FEW, framing={"side_depth": 400}),
        lines(frames=FEW, framing={"floor_depth": 40}),
        lines(frames=FEW, framing={"beam_depth": 300}),
        lines(frames=FEW, framing={"gusset_arm": 40}, legs={"lap": 95}, screws__gusset={"length": "30 mm"}),
        lines(frames=FEW, offsets={"base": -10}),
        lines(frames=FEW, battens__chine={"section": [45, 30]}),
        lines(frames=FEW, battens__chine={"arris": 4}),
        lines(frames=[*FRAMES[-2:], frame("9", 3205)]),
        lines(frames=[*FRAMES[-2:], frame("9", 3220)]),
        lines(frames=FEW, stock__ply12={"thickness": 12, "size": [1000, 600]}),
    ],
)
def test_what_would_do_does(tmp_path: Path, found: list[list[Finding]], text: str) -> None:
    with pytest.raises(DraftError) as refused:
        drafted_files(written(tmp_path, text))
    said = [mistake.what for mistake in refused.value.mistakes]
    assert all(" would do" in what for what in said), said
    for one in {advised(text, what) for what in said}:
        found.clear()
        drafted_files(written(tmp_path, one))
        assert found == [[]]


def test_all_reasons_come_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafting, "remedied", without_advice)
    text = lines(framing={"gusset_arm": 40}, legs={"lap": 95}, screws__gusset={"length": "30 mm"})
    with pytest.raises(DraftError) as refused:
        drafted_files(written(tmp_path, text))
    said = "\n".join(str(mistake) for mistake in refused.value.mistakes)
    for number in "456":
        for what in ("the legs lap", "want 48.00 mm (4 core", "comes through"):
            assert re.search(f"frame {number}: .*{re.escape(what)}", said), (number, what)


@pytest.mark.parametrize("arm", [48, 48.0004])
def test_a_gusset_of_exactly_the_least_lap_checks_clean(tmp_path: Path, found: list[list[Finding]], arm: float) -> None:
    drafted_files(written(tmp_path, lines(framing={"gusset_arm": arm})))
    assert found == [[]]


def _with_flat(wide: float) -> dict[str, list[float]]:
    columns = hull()
    columns["upper_chine.half_breadth"] = [y + wide for y in columns["chine.half_breadth"]]
    columns["upper_chine.height"] = list(columns["chine.height"])
    columns["sheer.half_breadth"] = [y + wide for y in columns["sheer.half_breadth"]]
    return columns


def _fading() -> dict[str, list[float]]:
    columns = hull(double=True)
    for name in ("half_breadth", "height"):
        low, high = (np.array(columns[f"{edge}.{name}"]) for edge in ("chine", "sheer"))
        share = np.clip(np.array(columns["stations"]) / 2200, 0, 1) ** 2
        knuckle = np.array(columns[f"upper_chine.{name}"])
        columns[f"upper_chine.{name}"] = [round(float(v)) for v in (1 - share) * knuckle + share * (low + high) / 2]
    return columns


@pytest.mark.parametrize(
    ("columns", "bottom"), [(_with_flat(90), True), (_with_flat(40), True), (_with_flat(15), True), (_fading(), False)]
)
def test_a_chine_flat_and_a_knuckle_that_fades_out_are_drafted(
    tmp_path: Path, found: list[list[Finding]], columns: dict[str, list[float]], bottom: bool
) -> None:
    slim = {"section": [32, 22], "arris": 6, "layers": 3}
    upper = {"section": [30, 20], "arris": 6, "layers": 3}
    plan = drafted(tmp_path, lines(columns, RAKED, framing=SLIM, battens__chine=slim, battens__upper_chine=upper))
    assert found == [[]]
    last = next(f for f in assemble(read_plan(plan)).frames if f.number == "5")
    labels = {part.label for part in last.core}
    assert labels == {"floor", "port side", "starboard side"}  # one member runs past the flat or the knuckle
    floor = next(part for part in last.core if part.label == "floor")
    at = np.interp(last.placement.station, columns["stations"], columns["chine.half_breadth"])
    assert bool(floor.shape.bounds[2] > at) is bottom


def test_boats_at_random_check_clean_or_are_refused_with_a_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, found: list[list[Finding]]
) -> None:
    monkeypatch.setattr(drafting, "remedied", without_advice)
    passed = 0
    for seed in SOME:
        found.clear()
        try:
            drafted_files(written(tmp_path, lines_at_random(random.Random(seed))))
        except ScrieveError as refused:
            assert refused.mistakes
            assert all(m.path and m.line for m in refused.mistakes), str(refused)
            continue
        assert found == [[]], f"seed {seed}"
        passed += 1
    assert 3 <= passed < len(SOME)


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


def test_what_the_table_of_a_long_boat_wanders_is_said_as_it_is_drafted(tmp_path):
    """The open table of 12.2 m made 13 m, rounded to eighths of an inch, but for its last stations at the stem."""
    columns = {}
    for name, values in reference(1000.0).items():
        step = 1.0 if name == "stations" else 25.4 / 8
        columns[name] = [round(value * 13 / 12.2 / step) * step for value in values[:20]]
    framing = {"floor_depth": 150, "side_depth": 120, "beam_depth": 100, "gusset_arm": 120}
    stock = {"size": None}
    text = lines(
        columns, [frame("1", 150, "transom"), *(frame(str(n), 909 + 637.5 * (n - 2)) for n in range(2, 16))],
        offsets={"base": 400}, strongback={"to": 14000, "inside_width": 500}, framing=framing, legs={"width": 90},
        battens__keel={"section": [100, 40]}, battens__chine={"section": [70, 30]},
        battens__sheer={"section": [70, 30]}, stock__ply12=stock, stock__ply9=stock,
    )  # fmt: skip
    drafted = draft(written(tmp_path, text), tmp_path / "boat")
    (said,) = [remark for remark in drafted.remarks if "wander about fair curves" in remark]
    assert 3.0 < float(re.match(r"up to ([\d.]+) mm of wander", said)[1]) < 7.0
