"""The builder's book: its numbers against the drawings, read by other means; nothing in it runs, asks or changes."""

from __future__ import annotations

import math
import os
import re
import shutil
import subprocess
import tomllib
import zlib
from dataclasses import replace
from html import unescape
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from faults import HULLS
from scipy.interpolate import CubicSpline
from stepped import demo

from scrieve.model.sequence.steps import steps_of
from scrieve.model.sequence.steps.words import weight
from scrieve.shared.findings import Finding, Level
from scrieve.viewer.paper.book.book import book_html
from scrieve.viewer.paper.book.style import on_paper
from scrieve.viewer.paper.book.templates import templates_html
from scrieve.viewer.system.browser import BROWSERS, printed
from scrieve.viewer.verbs.commands import run

SKIFF = HULLS / "skiff"
F5 = ezdxf.readfile(SKIFF / "frames" / "5.dxf").modelspace()


@pytest.fixture(scope="module")
def boat():
    return demo("skiff")


@pytest.fixture(scope="module")
def book(boat) -> str:
    return book_html(boat, steps_of(boat), plan="hulls/skiff")


@pytest.fixture(scope="module")
def browser() -> str:
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None and not os.environ.get("CI"):
        pytest.skip("no browser on this machine")
    assert found is not None, f"none of {BROWSERS} is on the PATH"
    return found


def chapter(book: str, name: str) -> str:
    return re.search(rf'<section id="{name}">.*?</section>', book, re.DOTALL).group()


def drawing(text: str, title: str, nth: int = 0) -> list[str]:
    """The words in the nth drawing of this title."""
    svgs = [svg for svg in re.findall(r"<svg.*?</svg>", text, re.DOTALL) if f"<title>{title}</title>" in svg]
    return re.findall(r"<text[^>]*>([^<]*)</text>", svgs[nth])


def rows(text: str, nth: int = 0) -> list[list[str]]:
    table = re.findall(r"<table>.*?</table>", text, re.DOTALL)[nth]
    return [re.findall(r"<td[^>]*>(.*?)</td>", row) for row in re.findall(r"<tr>(.*?)</tr>", table)[1:]]


def polylines(layer: str) -> list[list[tuple[float, float]]]:
    """Outlines of frame 5 in (y, v): the drawing is seen from aft."""
    return [[(-x, y) for x, y, *_ in each.get_points("xyb")] for each in F5.query(f'LWPOLYLINE[layer=="{layer}"]')]


def off(point, start, end) -> float:
    (x, y), (a, b), (c, d) = point, start, end
    return abs((c - a) * (b - y) - (a - x) * (d - b)) / math.hypot(c - a, d - b)


@pytest.mark.parametrize(("face", "nth"), [("AFT", 0), ("FWD", 1)])
def test_screws_are_dimensioned_from_edges_as_the_drawing_has_them(book, face, nth):
    (plate,) = [p for p in polylines("GUSSETS") if min(y for y, _ in p) > 0]
    screws = [(-c.dxf.center.x, c.dxf.center.y) for c in F5.query(f'CIRCLE[layer=="SCREWS {face}"]')]
    screws = [at for at in screws if at[0] > 0]
    edges = [(a, b) for a, b in zip(plate, plate[1:] + plate[:1], strict=True) if math.dist(a, b) > 20]
    words = drawing(chapter(book, "frame-5"), "port chine gusset", nth)
    told = [word for word in words if re.fullmatch(r"\d+\.\d", word)]
    assert set(told) <= {f"{off(at, *edge):.1f}" for at in screws for edge in edges}
    # two distances fix a screw: each has two of those told, from edges that are not alike
    for at in screws:
        own = [edge for edge in edges if f"{off(at, *edge):.1f}" in told]
        assert any(abs(turned(one, other)) > 0.5 for one in own for other in own)
    assert len(screws) == 4 and {str(n) for n in range(1, 5)} <= set(words)


def turned(one, other) -> float:
    """The sine of the angle between two edges."""
    (a, b), (c, d) = (np.subtract(*edge) / math.dist(*edge) for edge in (one, other))
    return a * d - b * c


def test_legs_are_as_long_as_drawn(book):
    table = {row[0]: row[1:] for row in rows(chapter(book, "legs"))}
    for layer, name, face in (("LEG INNER", "leg inner", "core"), ("LEG OUTER", "leg outer", "forward")):
        (leg,) = [p for p in polylines(layer) if min(y for y, _ in p) > 0]
        outer = max(v for y, v in leg if y == max(y for y, _ in leg))
        inner = max(v for y, v in leg if y == min(y for y, _ in leg))
        low, across = min(v for _, v in leg), (min(y for y, _ in leg), max(y for y, _ in leg))
        row = table[f"F5 {name}"]
        assert row[0] == face
        wanted = (outer, inner, -low, outer - low)
        assert [float(cell) for cell in row[1:5]] == pytest.approx(wanted, abs=0.051)
        assert [float(cell) for cell in row[6:8]] == pytest.approx(across, abs=0.051)
        rail = tomllib.loads((SKIFF / "plan.toml").read_text(encoding="utf-8"))["strongback"]["inside_width"] / 2
        low = min(v for p in polylines("CORE") for _, v in p)
        assert [float(cell) for cell in row[8:]] == pytest.approx((rail, low), abs=0.051)
    assert [sum(word == letter for word in drawing(book, "legs of F7")) for letter in "ABCDEFGHJ"] == [2] * 8 + [1]


def test_every_hole_of_the_board_has_its_number_in_the_drawing(book):
    board = chapter(book, "board")
    numbers = {row[0] for nth in (0, 1) for row in rows(board, nth)}
    assert len(numbers) > 40 and numbers <= set(drawing(board, "the assembly board"))


def test_marks_are_measured_from_the_end_of_the_rails(book):
    plan = tomllib.loads((SKIFF / "plan.toml").read_text(encoding="utf-8"))
    rails = plan["strongback"]
    table = {row[0]: row for row in rows(chapter(book, "setting-up"))}
    for frame in plan["frames"]:
        row = table[f"F{frame['number']}"]
        assert float(row[1]) == pytest.approx(frame["station"] - rails["from"], abs=0.051)
        assert row[2] == frame["station_at"]
    diagonal = math.hypot(rails["to"] - rails["from"], rails["inside_width"] + 2 * rails["rail"][0])
    assert f"{diagonal:.1f} ±1 mm" in chapter(book, "setting-up")
    # aft face to aft face less the ply, F5 to F6
    assert float(table["F6"][4]) == pytest.approx(3150 - 2700 - 12, abs=0.051)


def test_a_frame_of_which_one_part_has_no_density_is_not_said_to_weigh_what_the_others_do(boat):
    frame = next(frame for frame in boat.frames if frame.number == "5")
    first, *others = frame.parts
    assert weight(frame.parts) == f"{sum(p.shape.area * p.thickness * p.density for p in frame.parts) * 1e-9:.1f} kg"
    assert weight([replace(first, density=0.0), *others]) == ""


def test_diagonals_are_from_corner_to_corner_of_the_core(book):
    corners = [at for layer in ("CORE",) for p in polylines(layer) for at in p]
    told = float(re.search(r"Diagonals, [^:]*: ([\d.]+) ±1 mm", chapter(book, "frame-5")).group(1))
    low = [at for at in corners if at[0] < -400 and at[1] < 560]
    high = [at for at in corners if at[0] > 500 and at[1] > 750]
    assert any(abs(math.dist(a, b) - told) < 0.051 for a in low for b in high)


def test_every_part_is_told_by_its_outline_and_size(book):
    words = drawing(book, "parts of F5")
    for layer, name in (("CORE", "side"), ("GUSSETS", "chine gusset"), ("LEG OUTER", "leg outer")):
        outlines = [p for p in polylines(layer) if min(y for y, _ in p) > 0]
        (points,) = (np.array(p) for p in outlines[:1])
        turns = np.radians(np.arange(0.0, 180.0, 0.02))
        along = np.ptp(np.outer(points[:, 0], np.cos(turns)) + np.outer(points[:, 1], np.sin(turns)), axis=0)
        across = np.ptp(np.outer(points[:, 1], np.cos(turns)) - np.outer(points[:, 0], np.sin(turns)), axis=0)
        least = int(np.argmin(along * across))
        length, breadth = sorted((along[least], across[least]), reverse=True)
        told = words[words.index(name) + 1]
        assert [float(n) for n in re.findall(r"\d+", told)] == pytest.approx([length, breadth], abs=1.0), name
    assert words.count("ply12, 12 mm") == 4 and words.count("ply9, 9 mm") == 1
    assert words[words.index("chine gusset") + 3] == "4 pieces, aft and forward face"


def test_notches_lean_as_battens_run_through_the_drawn_sections(book):
    plan = tomllib.loads((SKIFF / "plan.toml").read_text(encoding="utf-8"))
    runs: dict[str, list[tuple[float, float, float]]] = {"keel": [], "chine": [], "sheer": []}
    long_sides = {}
    for frame in plan["frames"]:
        rake = math.radians(frame.get("rake", 0.0))
        space = ezdxf.readfile(SKIFF / frame["drawing"]).modelspace()
        own = [
            np.array([(-x, y) for x, y, *_ in p.get_points("xyb")]) for p in space.query('LWPOLYLINE[layer=="BATTENS"]')
        ]
        keel, *port = sorted((p for p in own if p[:, 0].mean() > -1.0), key=lambda p: abs(p[:, 0].mean()) > 1.0)
        for name, corners in zip(runs, (keel, *sorted(port, key=lambda p: p[:, 1].mean())), strict=True):
            (y, v), edges = corners.mean(axis=0), np.diff(corners, axis=0)
            runs[name].append((frame["station"] - v * math.sin(rake), y, v * math.cos(rake)))
            if frame["number"] == "5":
                along = edges[int(np.argmax(np.hypot(*edges.T)))]
                long_sides[name] = (y, v), along / np.hypot(*along)
    told = drawing(book, "notches of F5")
    floors = [float(word.split()[1]) for word in told if re.match(r"bottom [+-]", word)]
    walls = [float(word.split()[1]) for word in told if word.startswith("sides ") and word != "sides square"]
    core = np.array([at for p in polylines("CORE") for at in p])
    middle = (core.min(axis=0) + core.max(axis=0)) / 2
    expected = []
    for name, at in runs.items():
        x, y, z = np.array(sorted(at)).T
        curve = CubicSpline(x, np.column_stack([y, z]), bc_type="natural")
        centre, along = long_sides[name]
        out = np.array([-along[1], along[0]])
        out = out if (centre - middle) @ out >= 0 else -out
        run = curve(2712.0) - curve(2700.0)
        expected.append((float(run @ out), abs(float(run @ along))))
    assert floors == pytest.approx([floor for floor, _ in expected], abs=0.06)
    assert walls == pytest.approx([wall for _, wall in expected if wall >= 0.05], abs=0.06)


def test_errors_are_told_on_every_first_page_and_every_sheet(boat):
    finding = Finding(check="foul", level=Level.ERROR, message="x", frame="5")
    findings = (finding, replace(finding, frame="2", waived="so"), replace(finding, level=Level.WARNING))
    one = replace(boat, frames=boat.frames[4:5])
    said = "This plan has 1 error: see scrieve check skiff"
    page = book_html(one, steps_of(one), plan="hulls/skiff", findings=findings)
    assert page.index(said) < page.index("<nav>")
    assert "This frame has 1 error: see scrieve check skiff" in chapter(page, "frame-5")
    sheets = templates_html(one, one.frames, plan="hulls/skiff", findings=findings)
    assert sheets.count(f">{said}<") == sheets.count("<svg") > 5 and f">{said}.<" in sheets
    for clean in (findings[1:], ()):
        pages = book_html(one, steps_of(one), plan="x", findings=clean), templates_html(one, one.frames, findings=clean)
        assert "error" not in "".join(pages)


def test_a_frame_that_was_read_without_its_parts_takes_nothing_from_the_others(boat):
    frame = boat.frames[4]
    bare = replace(frame, parts=(), screws=()), replace(frame, parts=tuple(p for p in frame.parts if p.face != "core"))
    for each in bare:
        made = replace(boat, frames=(boat.frames[3], each))
        page = book_html(made, steps_of(made), plan="x")
        assert 'id="frame-4"' in page and ('id="frame-5"' in page) == bool(each.parts)


def test_the_same_boat_gives_the_same_bytes():
    one, other = (demo("pram") for _ in range(2))
    one, other = (replace(made, frames=made.frames[1:2]) for made in (one, other))
    assert book_html(one, steps_of(one), plan="x") == book_html(other, steps_of(other), plan="x")


def test_what_a_plan_says_is_shown_and_not_run(boat, browser, tmp_path):
    bad = '<script>document.title="run"</script><img src=x onerror="document.title=1">'
    frame = boat.frames[4]
    label = [replace(part, label=bad, name=f"F5 {bad}") if part.label == "floor" else part for part in frame.parts]
    made = replace(boat, name=bad, frames=(replace(frame, parts=tuple(label)),), battens=())
    page = book_html(made, steps_of(made), plan=bad)
    assert bad not in page and "<script" not in page and bad in unescape(page)
    shown, said = opened(page, browser, tmp_path)
    assert "<title>run</title>" not in shown and shown.count("<script") == 0
    assert "CONSOLE" not in said


def opened(page: str, browser: str, folder: Path) -> tuple[str, str]:
    """What the browser makes of a page from a file, and what it logs."""
    (folder / "page.html").write_text(page, encoding="utf-8")
    quiet = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
    call = [browser, *quiet, f"--user-data-dir={folder / 'profile'}", "--enable-logging=stderr", "--dump-dom"]
    done = subprocess.run(
        [*call, (folder / "page.html").as_uri()], capture_output=True, text=True, timeout=120, check=True
    )
    return done.stdout, done.stderr


def test_a_browser_opens_it_without_a_word_and_asks_for_nothing(book, browser, tmp_path):
    shown, said = opened(book, browser, tmp_path)
    assert shown.count("<section") == book.count("<section") and "CONSOLE" not in said
    assert set(re.findall(r'(?:href|src)="(.)', book)) == {"#"}
    assert "url(" not in book and "@import" not in book
    assert set(re.findall(r"https?://[^\s\"']+", book)) == {"http://www.w3.org/2000/svg"}


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_the_scale_bar_measures_true_in_the_pdf(boat, browser, paper, size):
    one = replace(boat, frames=boat.frames[4:5])
    page = book_html(one, steps_of(one), plan="skiff")
    pdf = printed(on_paper(page, paper), browser, verb="scrieve book")
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert [round(float(value)) for value in box.groups()] == list(size)
    # half bars are 0.15 mm lines about boxes 1.2 mm high; in the PDF they are rectangles that high
    bars = {float(w) for w in re.findall(r'width="([\d.]+)" height="1.2"', page)}
    found = {round(w, 2) for w, h in rectangles(pdf) if h == pytest.approx(1.2, abs=0.01)}
    assert bars and all(any(abs(bar - w) < 0.02 for w in found) for bar in bars)


def rectangles(pdf: bytes) -> list[tuple[float, float]]:
    """Breadth and height, mm, of every rectangle on the pages of a PDF."""
    out = []
    for raw in re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL):
        try:
            text = zlib.decompress(raw).decode("latin-1")
        except zlib.error:
            continue
        scales, scale = [], (1.0, 1.0)
        for numbers, word in re.findall(r"((?:-?[\d.]+ )*)(q|Q|cm|re)\b", text):
            values = [float(value) for value in numbers.split()]
            if word == "q":
                scales.append(scale)
            elif word == "Q" and scales:
                scale = scales.pop()
            elif word == "cm" and len(values) == 6:
                scale = scale[0] * values[0], scale[1] * values[3]
            elif word == "re" and len(values) == 4:
                out.append(tuple(abs(v * s) * 25.4 / 72 for v, s in zip(values[2:], scale, strict=True)))
    return out


def test_the_verb_writes_the_book_and_never_over_another(tmp_path, capsys):
    out = tmp_path / "book.html"
    assert run(["book", str(HULLS / "pram"), str(out)]) == 0
    first = out.read_bytes()
    assert run(["book", str(HULLS / "pram"), str(out)]) == 2
    assert run(["book", str(HULLS / "pram"), str(tmp_path / "book.txt")]) == 2
    assert out.read_bytes() == first and sorted(os.listdir(tmp_path)) == ["book.html"]
    assert capsys.readouterr().err.count("\n") == 2


def test_a_browser_that_prints_nothing_is_told_and_leaves_nothing(tmp_path, monkeypatch, capsys):
    (tmp_path / "bin").mkdir()
    fake = tmp_path / "bin" / "chromium"
    fake.write_text("#!/bin/sh\nexit 3\n")
    fake.chmod(0o755)
    monkeypatch.setenv("PATH", str(fake.parent))
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)
    assert run(["book", str(HULLS / "pram"), str(tmp_path / "b.html"), "--pdf", "--templates", "--frame", "1"]) == 2
    said = capsys.readouterr().err
    assert "could not print the page (it ended 3)" in said and said.count("\n") == 1
    assert os.listdir(tmp_path) == ["bin"]


def test_without_a_browser_no_pdf_is_promised(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("PATH", str(tmp_path))
    assert run(["book", str(HULLS / "pram"), str(tmp_path / "b.html"), "--pdf"]) == 2
    said = capsys.readouterr().err
    assert all(name in said for name in BROWSERS) and said.count("\n") == 1 and os.listdir(tmp_path) == []


def test_templates_are_full_size_with_a_bar_of_100_mm(boat, browser):
    page = templates_html(boat, boat.frames[4:5])
    svgs = {
        re.search("<title>(.*?)</title>", svg).group(1): svg for svg in re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    }
    (gusset,) = (svg for title, svg in svgs.items() if ": F5 port chine gusset (aft)" in title)
    outline = re.search(r'd="M([^"]*?)Z?"', gusset).group(1)
    corners = [tuple(map(float, pair.split())) for pair in outline.split("L")]
    (drawn,) = [p for p in polylines("GUSSETS") if min(y for y, _ in p) > 0]
    longest = max(math.dist(a, b) for a in corners for b in corners)
    assert longest == pytest.approx(max(math.dist(a, b) for a in drawn for b in drawn), abs=0.01)
    assert all(svg.count('width="10" height="2"') == 10 for svg in svgs.values())
    assert sum("turned over starboard side" in title for title in svgs) == sum("F5 port side" in t for t in svgs)
    found = rectangles(printed(on_paper(page, "letter"), browser, verb="scrieve book"))
    assert sum(w == pytest.approx(10, abs=0.01) and h == pytest.approx(2, abs=0.01) for w, h in found) >= 10 * len(svgs)
