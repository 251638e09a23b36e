"""Reading a plan: a good one with every key, every kind of bad one with its lines, and hostile ones."""

from __future__ import annotations

import datetime
import math
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from bad_plans import BAD, GOOD, Bad, line_with, write_plan
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.plan.toml_reader import MOST_BYTES, MOST_MISTAKES
from scrieve.shared import regular_file
from scrieve.shared.errors import PlanError
from scrieve.shared.findings import Source
from scrieve.shared.limits import LIMITS
from scrieve.shared.screw_table import screw_of_diameter, screw_of_gauge


def refused(folder: Path, text: str | bytes) -> list[tuple[int, str]]:
    """Line and message of each mistake of a plan, in the order in which they are told."""
    with pytest.raises(PlanError) as caught:
        read_plan(write_plan(folder, text))
    assert all(mistake.path == str(folder / "plan.toml") for mistake in caught.value.mistakes)
    return [(mistake.line, mistake.what) for mistake in caught.value.mistakes]


def test_a_plan_with_every_key_is_read_in_mm(tmp_path: Path) -> None:
    plan = read_plan(write_plan(tmp_path, GOOD))
    assert (plan.name, plan.units, plan.seen, plan.build) == ("Burdock", "mm", "from aft", "inverted")
    assert (plan.file, plan.folder) == (tmp_path / "plan.toml", tmp_path)
    assert plan.cutter.diameter == 10
    assert list(plan.stock) == ["ply12", "ply9"]
    ply12, ply9 = plan.stock.values()
    assert (ply12.thickness, ply12.measured, ply12.real_thickness, ply12.density) == (12, 11.7, 11.7, 500)
    assert ply12.size == (2440, 1219.2)
    assert (ply9.thickness, ply9.measured, ply9.real_thickness, ply9.size, ply9.density) == (9, None, 9, None, 0)
    assert plan.strongback is not None
    assert (plan.strongback.inside_width, plan.strongback.rail) == (560, (45, 145))
    assert (plan.strongback.start, plan.strongback.end) == (-200, 4400)
    assert (plan.dowels.diameter, plan.dowels.board) == (8, (4 * 304.8, 900))
    assert plan.screws["gusset"].size == screw_of_gauge(8, 19.05)
    assert plan.screws["metric"].size == screw_of_diameter(4.2, 25)
    chine = plan.battens["chine"]
    assert (chine.section, chine.arris, chine.sides) == ((32, 20), 5, "both")
    assert (chine.layers, chine.bend) == (2, 120)
    assert plan.limits["joint_gap"] == 25.4 / 32
    assert (plan.limits["screw_edge"], plan.limits["screw_count"]) == (2, 3)
    untouched = set(LIMITS) - {"joint_gap", "screw_edge", "screw_count"}
    assert all(plan.limits[name] == LIMITS[name].default for name in untouched)
    (sheet,) = plan.cut_sheets
    assert (sheet.drawing, sheet.stock, sheet.extent) == ("sheets/ply12-1.dxf", "ply12", (100, -20, 2600, 1270))
    assert [waiver.check for waiver in plan.waivers] == ["screw-edge", "fair"]
    assert plan.waivers[0].where == "F5 port sheer gusset"
    assert [waiver.until for waiver in plan.waivers] == [datetime.date(2027, 6, 30), None]


def test_layers_and_frames_are_read_with_their_defaults(tmp_path: Path) -> None:
    plan = read_plan(write_plan(tmp_path, GOOD))
    assert list(plan.layers) == sorted(plan.layers)
    gussets, screws = plan.layers["GUSSETS"], plan.layers["SCREWS FWD"]
    assert (gussets.makes, gussets.face, gussets.stock, gussets.role) == ("part", "both", "ply9", "gusset")
    assert (screws.makes, screws.screw, screws.driven_from, screws.face) == ("screw", "gusset", "forward", None)
    assert plan.layers["CORE"].role is None
    five, six = plan.frames
    assert (five.number, five.station, five.station_at, five.drawing) == ("5", 2300, "middle", "frames/5.dxf")
    assert (five.origin, five.extent) == ((10, -20.5), (-900, -200, 900, 900))
    assert (five.mirror, five.kind, five.rake, five.rake_radians) == (True, "ring", 12, math.radians(12))
    assert (six.number, six.station, six.station_at, six.drawing) == ("6", 2743.2, "aft face", "frames/6.dxf")
    assert (six.origin, six.extent, six.mirror, six.kind, six.rake) == ((0, 0), None, False, None, 0)


def test_what_a_plan_leaves_out_is_none_or_nothing(tmp_path: Path) -> None:
    text = '[plan]\nname="B"\nunits="in"\nseen="from forward"\n'
    text += '[[frames]]\nnumber="5"\nstation=10\ndrawing="./frames//5.dxf"\n'
    plan = read_plan(write_plan(tmp_path, text))
    assert plan.build == "upright"
    assert (plan.cutter.diameter, plan.dowels.diameter, plan.dowels.board) == (0, 10, None)
    assert plan.strongback is None
    assert not plan.stock and not plan.screws and not plan.battens and not plan.layers
    assert (plan.cut_sheets, plan.waivers) == ((), ())
    assert dict(plan.limits) == {name: limit.default for name, limit in LIMITS.items()}
    assert (plan.frames[0].station, plan.frames[0].drawing) == (254, "frames/5.dxf")


@pytest.mark.parametrize(
    ("units", "one", "three", "half"),
    [
        ("mm", 1, 3, 0.5),
        ("cm", 10, 30, 5),
        ("m", 1000, 3000, 500),
        ("in", 25.4, 76.2, 12.7),
        ("ft", 304.8, 914.4, 152.4),
    ],
)
def test_bare_numbers_are_in_the_plans_units_and_text_in_its_own(
    tmp_path: Path, units: str, one: float, three: float, half: float
) -> None:
    text = '[[frames]]\nnumber="5"\nstation=3\norigin=[1,"18 mm"]\ndrawing="frames/5.dxf"\nrake=5\n[limits]\nfoul=0.5\n'
    text += (
        f'gusset_lap=5\n[stock.ply]\nthickness=0.5\ndensity=500\n[plan]\nname="B"\nunits="{units}"\nseen="from aft"\n'
    )
    plan = read_plan(write_plan(tmp_path, text))
    assert plan.frames[0].station == three
    assert plan.frames[0].origin == (one, 18)
    assert plan.stock["ply"].thickness == half
    assert plan.limits["foul"] == half
    assert (plan.limits["gusset_lap"], plan.frames[0].rake, plan.stock["ply"].density) == (5, 5, 500)


def test_a_plan_says_on_which_line_a_key_is(tmp_path: Path) -> None:
    plan = read_plan(write_plan(tmp_path, GOOD))
    assert plan.line_of("frames", 0, "station") == line_with(GOOD, "station = 2300")
    assert plan.line_of("frames", 1, "drawing") == line_with(GOOD, 'drawing = "frames/6.dxf"')
    assert plan.line_of("frames", 1, "rake") == line_with(GOOD, "[[frames]]\nnumber = 6")
    assert plan.line_of("layers", "LEG INNER", "role") == line_with(GOOD, '"LEG INNER"')
    assert plan.line_of("strongback", "from") == line_with(GOOD, "from = -200")
    assert plan.source_of("cutter") == Source(file="plan.toml", line=7)


def test_a_plan_never_changes_and_does_not_depend_on_the_order_of_tables(tmp_path: Path) -> None:
    plan = read_plan(write_plan(tmp_path / "a", GOOD))
    heading, *tables = GOOD.split("\n[")
    tables = [table for table in tables if not table.startswith("[")] + [t for t in tables if t.startswith("[")]
    other = read_plan(write_plan(tmp_path / "b", "\n[".join([heading, *tables[:8][::-1], *tables[8:]])))
    for name in ("stock", "screws", "battens", "layers", "strongback", "cutter", "frames", "waivers"):
        assert getattr(other, name) == getattr(plan, name)
        assert repr(getattr(other, name)) == repr(getattr(plan, name))
    with pytest.raises(AttributeError):
        plan.name = "Other"  # type: ignore[misc]
    with pytest.raises(ValueError, match="frozen"):
        plan.frames[0].station = 0  # type: ignore[misc]


@pytest.mark.parametrize("bad", BAD, ids=[bad.name for bad in BAD])
def test_a_mistake_is_told_with_its_line_and_nothing_else(tmp_path: Path, bad: Bad) -> None:
    told = refused(tmp_path, bad.text)
    assert [line for line, _ in told] == [bad.line], told
    assert bad.says in told[0][1], told
    assert "Input should" not in told[0][1]


def test_many_mistakes_are_all_told_at_once_by_line(tmp_path: Path) -> None:
    changes = [
        ('units = "mm"', 'units = "mn"'),
        ("thickness = 12", "thickness = -12"),
        ("from = -200", "form = -200"),
        ("gauge = 8", "gauge = true"),
        ('"BATTENS" = { makes = "batten" }', '"BATTENS" = { makes = "screw" }'),
        ("number = 6", 'number = "5"'),
        ("frames/6.dxf", "../6.dxf"),
        ("joint_gap", "joint_gaps"),
        ("until = 2027-06-30", "until = 3"),
    ]
    text = GOOD
    for old, new in changes:
        text = text.replace(old, new, 1)
    told = refused(tmp_path, text)
    assert [(line, what.split(":")[0]) for line, what in told] == [
        (line_with(text, 'units = "mn"'), "plan.units"),
        (line_with(text, "thickness = -12"), "stock.ply12.thickness"),
        (line_with(text, "form = -200"), "strongback.form"),
        (line_with(text, "gauge = true"), "screws.gusset.gauge"),
        (line_with(text, '"BATTENS"'), "layers.BATTENS.driven_from"),
        (line_with(text, '"BATTENS"'), "layers.BATTENS.screw"),
        (line_with(text, 'number = "5"\nstation = "9'), "frames[1].number"),
        (line_with(text, "../6.dxf"), "frames[1].drawing"),
        (line_with(text, "joint_gaps"), "limits.joint_gaps"),
        (line_with(text, "until = 3"), "waivers[0].until"),
    ]


def test_a_mistake_is_printed_with_the_path_as_the_user_wrote_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_plan(tmp_path / "hulls" / "skiff", GOOD.replace("thickness = 12", "thickness = -12"))
    monkeypatch.chdir(tmp_path)
    for given_path in ("hulls/skiff", "hulls/skiff/plan.toml", "hulls/../hulls/skiff/"):
        with pytest.raises(PlanError) as caught:
            read_plan(Path(given_path))
        folder = given_path.removesuffix("/plan.toml").removesuffix("/")
        says = "stock.ply12.thickness: a length greater than 0 is wanted (got -12)"
        assert str(caught.value) == f"{folder}/plan.toml:11: {says}"
    monkeypatch.chdir(tmp_path / "hulls" / "skiff")
    with pytest.raises(PlanError, match=r"^plan\.toml:11: "):
        read_plan(Path("."))


def test_tables_and_frames_that_have_to_be_there(tmp_path: Path) -> None:
    no_frames = (1, "frames: at least 1 table [[frames]] is wanted")
    assert refused(tmp_path, "") == [no_frames, (1, "plan: this table is missing")]
    assert refused(tmp_path, '\n[plan]\nname="B"\nunits="mm"\nseen="from aft"\n[cutter]\n') == [
        no_frames,
        (6, "cutter.diameter: missing"),
    ]
    before = GOOD.split("[[frames]]")[0]
    assert refused(tmp_path, "frames = []\n" + before) == [(1, f"{no_frames[1]} (got [])")]
    assert refused(tmp_path, "frames = [1]\n" + before) == [(1, "frames[0]: a table is wanted (got 1)")]
    assert refused(tmp_path, 'cutter = 10\nwaivers = "none"\n' + GOOD.split("[cutter]")[0]) == [
        (1, "cutter: a table is wanted (got 10)"),
        no_frames,
        (2, 'waivers: an array of tables, [[waivers]] for each, is wanted (got "none")'),
    ]


def test_a_name_in_a_table_that_is_itself_wrong_is_told_once(tmp_path: Path) -> None:
    text = GOOD.replace("thickness = 12", "thickness = -12\nmeassured = 3")
    assert [line for line, _ in refused(tmp_path, text)] == [
        line_with(text, "thickness = -12"),
        line_with(text, "meassured"),
    ]


def test_every_check_can_be_waived(tmp_path: Path) -> None:
    waivers = "".join(f'[[waivers]]\ncheck = "{slug}"\nwhere = "F5"\nreason = "tried"\n' for slug in CHECKS)
    plan = read_plan(write_plan(tmp_path, GOOD.split("[[waivers]]")[0] + waivers))
    assert [waiver.check for waiver in plan.waivers] == list(CHECKS)


def test_reading_a_plan_loads_no_check() -> None:
    code = "import sys, scrieve.model.plan.plan_reader\nassert not any('.checks' in name for name in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


# ---- files that are no plan


def test_a_plan_is_a_folder_or_a_file_of_any_name(tmp_path: Path) -> None:
    folder = write_plan(tmp_path, GOOD)
    (folder / "burdock.toml").write_text(GOOD)
    assert read_plan(folder / "burdock.toml").file == folder / "burdock.toml"
    assert read_plan(folder).name == read_plan(folder / "plan.toml").name


def one_line(path: Path) -> str:
    with pytest.raises(PlanError) as caught:
        read_plan(path)
    assert len(caught.value.mistakes) == 1
    assert "\n" not in str(caught.value)
    return str(caught.value).replace(str(path), "PLAN")


def test_a_file_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    assert one_line(tmp_path / "missing") == "PLAN: no such file"
    assert one_line(tmp_path).startswith("PLAN: there is no plan.toml in this folder, which is empty: ")
    assert one_line(write_plan(tmp_path, GOOD) / "plan.toml" / "plan.toml") == "PLAN: no such file"
    assert one_line(tmp_path / ("x" * 300)) == "PLAN: cannot be read (file name too long)"
    assert one_line(tmp_path / "a\0b") == "PLAN: cannot be read (no name for a file)"


def test_a_link_to_itself_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").symlink_to("plan.toml")
    assert "cannot be read (too many levels of symbolic links)" in one_line(tmp_path)


def test_what_is_no_regular_file_is_one_line_and_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "plan.toml")
    says = "a regular file is wanted (got a folder, pipe or device)"
    assert one_line(tmp_path) == f"PLAN/plan.toml: {says}"
    assert one_line(Path("/dev/zero")) == f"PLAN: {says}"
    (tmp_path / "b" / "plan.toml").mkdir(parents=True)
    assert one_line(tmp_path / "b") == f"PLAN/plan.toml: {says}"


def test_a_pipe_that_takes_the_files_place_is_not_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pipe = tmp_path / "plan.toml"
    pipe.touch()
    before = pipe.stat()
    pipe.unlink()
    os.mkfifo(pipe)
    monkeypatch.setattr(Path, "stat", lambda path: before)
    assert one_line(pipe) == "PLAN: a regular file is wanted (got a pipe or device)"


def test_a_file_that_may_not_be_read_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Permissions do not hold for root, as whom tests may run: the system call refuses in their place.
    def refuse(*_: object) -> int:
        raise PermissionError(13, "Permission denied")

    write_plan(tmp_path, GOOD)
    monkeypatch.setattr(regular_file.os, "open", refuse)
    assert one_line(tmp_path) == "PLAN/plan.toml: no permission to read it"


NO_PLANS: list[tuple[str, bytes, str]] = [
    ("byte order mark", b"\xef\xbb\xbf" + GOOD.encode(), ":1: UTF-8 without a byte order mark is wanted"),
    ("utf-16", GOOD.encode("utf-16"), ":1: UTF-8 without a byte order mark is wanted"),
    ("latin-1", b"[plan]\nname = 'Kr\xe4he'\n", ":2: UTF-8 text is wanted (got byte 0xe4)"),
    ("picture", b"\x89PNG\r\n\x1a\n", ":1: UTF-8 text is wanted (got byte 0x89)"),
    ("nul", b"[plan]\n\0", ":2: not TOML: invalid statement"),
    ("open header", b"[plan\n", ":1: not TOML: "),
    ("open text", b"[plan]\nname = '''\nx\ny", ":4: not TOML: "),
    ("deep array", b"a = " + b"[" * 100_000, ":1: more than 16 arrays or tables within one another"),
    ("deep table", b"\na = " + b"{a = " * 100_000, ":2: more than 16 arrays or tables within one another"),
    ("deep key", b"\n" + b"a." * 1_000_000 + b"a = 1", ":2: more than 16 keys in one dotted name"),
    ("long number", b"a = " + b"1" * 10_000, ":1: a value of more than 200 characters"),
    ("long hexadecimal", b"a = 0x" + b"f" * 10_000, ":1: a value of more than 200 characters"),
    ("long array", b"k = [" + b"1," * 1_000_000 + b"]", ":1: more than 100000 keys and array entries"),
    ("too big", b"#" * (MOST_BYTES + 1), ": a file of at most 4 MiB is wanted (got more)"),
]


@pytest.mark.parametrize(("content", "says"), [case[1:] for case in NO_PLANS], ids=[case[0] for case in NO_PLANS])
def test_what_is_no_plan_is_one_line(tmp_path: Path, content: bytes, says: str) -> None:
    assert f"plan.toml{says}" in one_line(write_plan(tmp_path, content))


def test_a_plan_as_big_as_may_be_is_read(tmp_path: Path) -> None:
    text = GOOD.encode()
    assert read_plan(write_plan(tmp_path, text + b"#" * (MOST_BYTES - len(text)))).name == "Burdock"


def test_more_mistakes_than_anybody_reads_are_counted(tmp_path: Path) -> None:
    told = refused(tmp_path, GOOD + "".join(f"[unknown{i}]\n" for i in range(5000)))
    assert len(told) == MOST_MISTAKES + 1
    assert told[-1][1] == f"… and {5000 - MOST_MISTAKES} mistakes more"


# ---- drawings outside


def test_a_link_inside_the_folder_is_followed_and_one_to_the_outside_is_not(tmp_path: Path) -> None:
    folder = write_plan(tmp_path / "boat", GOOD)
    (tmp_path / "secret.dxf").touch()
    (folder / "in.dxf").symlink_to("frames/6.dxf")
    (folder / "out.dxf").symlink_to("../secret.dxf")
    (folder / "up").symlink_to("..")
    (folder / "loop.dxf").symlink_to("loop.dxf")
    (folder / "gone.dxf").symlink_to("nowhere.dxf")
    os.mkfifo(folder / "pipe.dxf")
    for drawing in ("in.dxf", "up/boat/frames/6.dxf"):
        assert read_plan(write_plan(folder, GOOD.replace("frames/6.dxf", drawing))).frames[1].drawing == drawing
    for drawing, says in [
        ("out.dxf", "a file inside the plan's folder is wanted, symbolic links followed"),
        ("up/secret.dxf", "a file inside the plan's folder is wanted, symbolic links followed"),
        ("loop.dxf", "too many levels of symbolic links"),
        ("gone.dxf", "no such file"),
        ("pipe.dxf", "a regular file is wanted"),
    ]:
        text = GOOD.replace("frames/6.dxf", drawing)
        ((line, what),) = refused(folder, text)
        assert line == line_with(text, drawing)
        assert says in what


def test_a_plan_folder_reached_by_a_link_is_a_plan_folder(tmp_path: Path) -> None:
    write_plan(tmp_path / "boat", GOOD)
    (tmp_path / "link").symlink_to("boat")
    assert read_plan(tmp_path / "link").folder == tmp_path / "link"


# ---- any text

Reader = Callable[[str | bytes], Plan | PlanError]


@pytest.fixture(scope="module")
def read_text(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    """Writes and reads a text; gives what came of it."""
    folder = write_plan(tmp_path_factory.mktemp("any"), GOOD)

    def read(text: str | bytes) -> Plan | PlanError:
        content = text if isinstance(text, bytes) else text.encode()
        (folder / "plan.toml").write_bytes(content)
        try:
            return read_plan(folder)
        except PlanError as error:
            assert error.mistakes
            for mistake in error.mistakes:
                assert mistake.path == str(folder / "plan.toml")
                assert 0 < mistake.line <= content.count(b"\n") + 1
                assert "\n" not in str(mistake) and "\x1b" not in str(mistake)
                assert "this cannot be taken" not in mistake.what  # a refusal that nobody has put in words
            return error

    return read


VALUES = ["true", "-1", "0", "1e400", "-0.0", "nan", "0xffffffffffffffffffff", "[]", "[[1], {a = 1}]", "{}", "''"]
VALUES += ["'18 mm'", "'1/0 in'", "1979-05-27", "1979-05-27T07:32:00Z", "07:32:00", '"\\u001b[31m"', "[1, 2]", "'\\'"]
VALUES += ["{ makes = 1 }", "['a', 'b']", "'gusset'", "'both'"]
QUICK = settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])


@QUICK
@given(data=st.data())
def test_a_plan_with_values_changed_is_a_plan_or_mistakes(read_text: Reader, data: st.DataObject) -> None:
    lines = GOOD.splitlines()
    for _ in range(data.draw(st.integers(1, 4))):
        index = data.draw(st.integers(0, len(lines) - 1))
        key, equals, _ = lines[index].partition(" = ")
        if equals:
            lines[index] = f"{key} = {data.draw(st.sampled_from(VALUES))}"
    read_text("\n".join(lines))


@QUICK
@given(data=st.data())
def test_a_plan_with_lines_lost_doubled_and_moved_is_a_plan_or_mistakes(read_text: Reader, data: st.DataObject) -> None:
    lines = GOOD.splitlines()
    for _ in range(data.draw(st.integers(1, 5))):
        here, there = data.draw(st.integers(0, len(lines) - 1)), data.draw(st.integers(0, len(lines) - 1))
        lines[here : here + data.draw(st.integers(0, 2))] = lines[there : there + data.draw(st.integers(0, 2))]
    read_text("\n".join(lines))


@QUICK
@given(at=st.integers(0, len(GOOD)), cut=st.integers(0, 10), put=st.text("[]{}\"'=.,#\\\n\t\0 a1é-", max_size=6))
def test_a_plan_with_letters_changed_is_a_plan_or_mistakes(read_text: Reader, at: int, cut: int, put: str) -> None:
    read_text(GOOD[:at] + put + GOOD[at + cut :])


@QUICK
@given(st.one_of(st.binary(max_size=80), st.text(max_size=80).map(lambda text: text.encode("utf-8", "replace"))))
def test_any_bytes_are_mistakes(read_text: Reader, content: bytes) -> None:
    assert isinstance(read_text(content), PlanError)


# ---- cost


def test_reading_a_plan_loads_no_geometry() -> None:
    code = "import sys, scrieve.model.plan.plan_reader; print(*sorted({m.split('.')[0] for m in sys.modules}))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "pydantic" in loaded
    assert not {"numpy", "shapely", "ezdxf", "manifold3d", "scipy", "vtk"} & set(loaded)
