"""The table of offsets: units, fairness, the hull's curves, and every kind of slip with its line."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from lines_making import DEFAULTS, FRAMES, frame, hull, line_of, lines, written

from scrieve.model.draft import drafted_files
from scrieve.model.draft.hull import Hull, hull_of
from scrieve.model.draft.lines import read_lines
from scrieve.model.geometry.placement import Placement
from scrieve.shared.errors import PlanError, ScrieveError

REFERENCE = Path(__file__).parent / "reference" / "hull_hardchine_12m_keel_chine_sheer.csv"


def reference(scale: float = 1.0) -> dict[str, list[float]]:
    """The open table of a 12 m hull (MIT, source in its head), metres times `scale`."""
    with REFERENCE.open(encoding="utf-8") as stream:
        rows = list(csv.reader(line for line in stream if not line.startswith("#")))
    names = ["stations", "keel", "chine.half_breadth", "chine.height", "sheer.half_breadth", "sheer.height"]
    columns = zip(*([float(cell) for cell in row] for row in rows[1:]), strict=True)
    return {name: [round(v * scale, 6) for v in column] for name, column in zip(names, columns, strict=True)}


def read(folder: Path, text: str) -> tuple[Hull, tuple[str, ...]]:
    """The hull of a lines file, and the remarks."""
    file = written(folder, text)
    table, places = read_lines(file)
    return hull_of(table, places, "lines.toml")


def mistakes(folder: Path, text: str) -> list[str]:
    """The lines of the refusal, without the folder."""
    file = written(folder, text)
    with pytest.raises(ScrieveError) as refused:
        drafted_files(file)
    return [str(mistake).removeprefix(f"{folder}/") for mistake in refused.value.mistakes]


def with_cell(name: str, index: int, value: object) -> dict[str, list[object]]:
    """The usual table with one cell changed."""
    columns: dict[str, list[object]] = {key: list(values) for key, values in hull().items()}
    columns[name][index] = value
    return columns


def test_the_curves_go_through_the_table(tmp_path: Path) -> None:
    columns = hull()
    found, remarks = read(tmp_path, lines(columns))
    assert remarks == ()
    at = found.edges[1](columns["stations"])
    np.testing.assert_allclose(at[:, 0], columns["chine.half_breadth"], atol=1e-9)
    np.testing.assert_allclose(at[:, 1], np.add(columns["chine.height"], 260), atol=1e-9)  # base 260


def test_a_raked_plane_is_met_where_it_passes_the_edge(tmp_path: Path) -> None:
    found, _ = read(tmp_path, lines())
    placement = Placement(station=500.0, rake=np.radians(12))
    for edge in range(len(found.edges)):
        met = found.meets(edge, placement)
        assert met is not None
        x, y, v = met
        np.testing.assert_allclose(placement.point(y, v), (x, *found.edges[edge](x)), atol=1e-6)


def test_the_deck_has_one_radius_with_the_camber_at_the_greatest_beam(tmp_path: Path) -> None:
    found, _ = read(tmp_path, lines())
    half = float(found.edges[-1](np.linspace(found.start, found.end, 5001))[:, 0].max())
    assert found.deck_radius is not None
    # a circular segment: rise = R - sqrt(R^2 - c^2)
    assert found.deck_radius - np.sqrt(found.deck_radius**2 - half**2) == pytest.approx(60.0, abs=1e-3)


def test_the_real_stem_of_the_open_table_is_taken_with_remarks(tmp_path: Path) -> None:
    _, remarks = read(tmp_path, lines(reference(), offsets={"units": "m"}))
    assert remarks
    assert any("offsets.chine.half_breadth" in remark and "12200" in remark for remark in remarks)


def test_the_odd_cell_of_the_open_table_is_refused_by_name(tmp_path: Path) -> None:
    columns = reference()
    columns["chine.height"][0] = 0.884  # what the source's topside row has there, 0.391 m off
    text = lines(columns, offsets={"units": "m"})
    line = line_of(text, "height", 1)
    assert mistakes(tmp_path, text) == [
        f"lines.toml:{line}: offsets.chine.height at station 0: 884 mm is 391 mm off the curve through its neighbours "
        '(493 mm would lie on it); mend it, or set unfair = "accept"'
    ]


@pytest.mark.parametrize("index", [0, 1, 2, 7, 12, 18, 19, 20])
@pytest.mark.parametrize(
    ("name", "share"), [("keel", -0.45), ("chine.half_breadth", 0.45), ("chine.height", 0.3), ("sheer.height", 0.45)]
)
def test_one_slip_is_blamed_on_its_own_cell(tmp_path: Path, name: str, share: float, index: int) -> None:
    columns = hull()
    columns["sheer.height"] = [v + 600 for v in columns["sheer.height"]]  # room for a chine too high, below the sheer
    depth = max(b - a for a, b in zip(columns["keel"], columns["sheer.height"], strict=True))
    columns[name][index] = round(columns[name][index] + share * depth)
    found = mistakes(tmp_path, lines(columns))
    assert len(found) == 1
    assert f"offsets.{name} at station {columns['stations'][index]:g}:" in found[0]


def test_a_slip_that_is_accepted_is_remarked_upon(tmp_path: Path) -> None:
    columns = with_cell("sheer.half_breadth", 10, 1300)
    _, remarks = read(tmp_path, lines(columns, offsets={"unfair": "accept"}))
    assert any("accepted" in remark and "sheer.half_breadth" in remark for remark in remarks)


@pytest.mark.parametrize(
    ("change", "start", "said"),
    [
        (lambda: lines(with_cell("keel", 3, "x")), "keel", "offsets.keel[3]"),
        (lambda: lines(with_cell("keel", 3, float("nan"))), "keel", "offsets.keel[3]"),
        (lambda: lines(with_cell("chine.half_breadth", 4, -20)), "half_breadth", "half-breadths of 0 or more"),
        (lambda: lines(with_cell("stations", 5, 10)), "stations", "stations that grow are wanted"),
        (lambda: lines({**hull(), "keel": hull()["keel"][:-1]}), "keel", "one length a station, 21 in all"),
        (lambda: lines(hull(count=3)), "stations", "from 4 to 500 stations"),
        (lambda: lines(with_cell("chine.height", 2, 900)), "height", "a height of at least that of the chine"),
        (lambda: lines(with_cell("keel", 2, 400)), "height", "a height of at least that of the keel"),
        (lambda: lines(offsets={"units": "in"}), "stations", "at most 50 m is wanted"),
        (lambda: lines(offsets={"base": "60 m"}), "base", "at most 50 m is wanted"),
        (lambda: lines(offsets={"units": "furlong"}), "units", "offsets.units"),
        (lambda: lines(offsets={"units": "feet-inches-eighths"}), "stations", "feet-inches-eighths in quotes"),
        (lambda: lines(boat={"build": "sideways"}), "build", "boat.build"),
        (lambda: lines(boat={"name": 4}), "name", "boat.name"),
        (lambda: lines(framing={"core": "ply13"}), "core", "there is no such name in [stock]"),
        (lambda: lines(framing={"flor_depth": 4}), "flor_depth", "did you mean"),
        (lambda: lines(framing={"side_depth": 0}), "side_depth", "greater than 0"),
        (lambda: lines(framing={"floor_top": "round"}), "floor_top", "framing.floor_top"),
        (lambda: lines(legs={"tongue": "deep"}), "tongue", "legs.tongue"),
        (lambda: lines(dowels={"diameter": 8}), "diameter = 8", "at least the cutter's 10 mm"),
        (lambda: lines(battens__chine={"arris": 4}), "arris = 4", "battens.chine.arris"),
        (lambda: lines(battens__chine={"sides": "port"}), "sides", "battens.chine.sides"),
        (lambda: lines(battens__floor={"section": [40, 20], "arris": 6, "at": [1.2]}), "at", "a share between"),
        (lambda: lines(battens__upper_chine={"section": [40, 20], "arris": 6}), "[battens.upper", "both are wanted"),
        (lambda: lines(screws__gusset={"gauge": 5}), "gauge", "one of the gauges"),
        (lambda: lines(strongback={"to": -400}), "to = ", "forward of `from`"),
        (lambda: lines(frames=[*FRAMES, frame("2", 3500)]), "[[frames]]", "is there twice"),
        (lambda: lines(frames=[*FRAMES, frame("7", 3500, "round")]), 'kind = "round"', "frames[6].kind"),
        (lambda: lines(frames=[*FRAMES, frame("7", 3500, rake=80)]), "rake = 80", "an angle from -60 to 60"),
        (lambda: lines(frames=[*FRAMES, frame("../7", 3500)]), 'number = "../7"', "a frame's number is wanted"),
        (lambda: lines(frames=FRAMES[:1]), "[[frames]]", "at least 2"),
    ],
)  # fmt: skip
def test_each_slip_is_told_with_its_line(tmp_path: Path, change: Callable[[], str], start: str, said: str) -> None:
    text = change()
    found = mistakes(tmp_path, text)
    numbers = [n for n, line in enumerate(text.splitlines(), start=1) if line.startswith(start)]
    assert any(said in line and line.startswith(tuple(f"lines.toml:{n}:" for n in numbers)) for line in found), found


def test_all_slips_come_at_once(tmp_path: Path) -> None:
    text = lines(boat={"build": "sideways"}, framing={"core": "ply13", "side_depth": -1}, legs={"lap": "x"})
    assert len(mistakes(tmp_path, text)) == 4


@pytest.mark.parametrize("table", ["offsets", "cutter", "framing", "legs", "battens.sheer", "strongback", "dowels"])
def test_a_missing_table_is_named(tmp_path: Path, table: str) -> None:
    assert table in DEFAULTS
    if table == "offsets":
        text = "\n\n".join(block for block in lines().split("\n\n") if not block.startswith("[offsets"))
    else:
        text = lines(**{table.replace(".", "__"): None})
    assert any(table in line for line in mistakes(tmp_path, text))


def test_no_file_is_one_clear_line(tmp_path: Path) -> None:
    with pytest.raises(PlanError) as refused:
        drafted_files(tmp_path / "lines.toml")
    assert len(refused.value.mistakes) == 1


def eighths(mm: float) -> str:
    """The nearest feet-inches-eighths."""
    count = round(abs(mm) / 25.4 * 8)
    return f"{'-' if mm < 0 else ''}{count // 96}-{count // 8 % 12}-{count % 8}"


def test_feet_inches_and_eighths_give_the_same_hull(tmp_path: Path) -> None:
    columns = hull()
    rounded = {name: [round(v / 3.175) * 3.175 for v in values] for name, values in columns.items()}
    written_out = {name: [eighths(v) for v in values] for name, values in columns.items()}
    metric, _ = read(tmp_path, lines(rounded))
    feet, _ = read(tmp_path, lines(written_out, offsets={"units": "feet-inches-eighths"}))
    x = np.linspace(metric.start, metric.end, 200)
    for one, other in zip(metric.edges, feet.edges, strict=True):
        np.testing.assert_allclose(one(x), other(x), atol=1e-9)


@pytest.mark.parametrize(("units", "per"), [("m", 0.001), ("cm", 0.1), ("in", 1 / 25.4), ("ft", 1 / 304.8)])
def test_every_unit_gives_the_same_hull(tmp_path: Path, units: str, per: float) -> None:
    columns = hull()
    metric, _ = read(tmp_path, lines(columns))
    other, _ = read(
        tmp_path, lines({name: [v * per for v in values] for name, values in columns.items()}, offsets={"units": units})
    )
    x = np.linspace(metric.start, metric.end, 200)
    for one, two in zip(metric.edges, other.edges, strict=True):
        np.testing.assert_allclose(one(x), two(x), atol=1e-6)
