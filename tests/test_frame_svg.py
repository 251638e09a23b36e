"""Drawings of frames: sound XML, true to scale, legible, the same every time, and without anything heavy."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections import Counter
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from making import assembly, frame, part, rails, rectangle, screw
from picture_making import SVG, boat, drawn, finding_of, frame_named, group, words_in
from shapely import affinity

from scrieve.model.boat.evidence import Marker, subjects
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Line, Mark
from scrieve.viewer.paper.letters import HEIGHT, width, wrapped
from scrieve.viewer.paper.look import DASHES, INK, STRONG
from scrieve.viewer.paper.sheet import A4, frame_sheet
from scrieve.viewer.paper.sight import SCALES, Sight, fitting, scale_words
from scrieve.viewer.paper.signs import MARK as SIGN
from scrieve.viewer.paper.svg import number

LOOSE = 1.16  # how much wider words are taken to be than they are in Helvetica
COUNTS = {"skiff": 7, "pram": 4, "skiff-with-faults": 7}
FRAMES = [(name, str(n)) for name, count in COUNTS.items() for n in range(1, count + 1)]


@cache
def sheet_of(name: str, frame_number: str, **how: object) -> str:
    """The page of a frame of a boat, its findings ringed."""
    subject = boat(name)
    findings = [(n, f) for n, f in enumerate(subject.findings, 1) if f.frame == frame_number and f.level != "note"]
    return frame_sheet(subject.assembly, frame_named(subject.assembly, frame_number), subject.seen, findings, **how)


@cache
def page_of(name: str, n: int, **how: object) -> str:
    """The page of a finding of a boat."""
    subject = boat(name)
    finding = subject.findings[n - 1]
    own = frame_named(subject.assembly, finding.frame)
    return frame_sheet(subject.assembly, own, subject.seen, (), chosen=(n, finding), **how)


def boxes(root: ElementTree.Element) -> list[tuple[str, shapely.Polygon]]:
    """Every text of a drawing and about what it covers."""
    out = []
    for text in root.iter(f"{SVG}text"):
        words, size = "".join(text.itertext()), float(text.get("font-size"))
        x, y, wide = float(text.get("x")), float(text.get("y")), width(words, size) / LOOSE
        left = x - {"middle": wide / 2, "end": wide}.get(text.get("text-anchor"), 0.0)
        box = shapely.box(left, y - HEIGHT * size, left + wide, y)
        turn = re.match(r"rotate\((\S+) (\S+) (\S+)\)", text.get("transform") or "rotate(0 0 0)")
        out.append((words, affinity.rotate(box, float(turn[1]), origin=(float(turn[2]), float(turn[3])))))
    return out


def assert_legible(text: str) -> None:
    """No words lie over others, and all are on the page."""
    root = drawn(text)
    _, _, wide, high = (float(value) for value in root.get("viewBox").split())
    found = boxes(root)
    page = shapely.box(0, 0, wide, high)
    assert [words for words, box in found if not page.covers(box)] == []
    for n, (words, box) in enumerate(found):
        for other, beside in found[n + 1 :]:
            assert shapely.intersection(box, beside).area < 0.02, f"{words!r} over {other!r}"


# ---- the file


@pytest.mark.parametrize(("name", "number_"), FRAMES)
def test_a_frame_is_drawn_in_plain_svg_legibly_and_the_same_every_time(name, number_):
    text = sheet_of(name, number_)
    if number_ == "2":
        assert text == sheet_of.__wrapped__(name, number_)
    root = drawn(text)
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
        "svg", "title", "desc", "g", "path", "circle", "rect", "text",
    }  # fmt: skip
    assert not re.search(r"href|url\(|<style|<script|nan|inf\b", text)
    assert_legible(text)


@pytest.mark.parametrize("number_", [number_ for name, number_ in FRAMES if name == "skiff-with-faults"])
def test_every_finding_of_a_frame_has_a_sensible_drawing(number_):
    findings = [(n, f) for n, f in enumerate(boat("skiff-with-faults").findings, start=1) if f.frame == number_]
    assert findings
    for n, finding in findings:
        text = page_of("skiff-with-faults", n)
        said = " ".join(words_in(drawn(text)))
        assert f"{finding.level}: {finding.check}" in said
        squeezed = " ".join(said.split())
        assert " ".join(finding.message.split()) in squeezed
        assert " ".join(finding.cure.split()) in squeezed
        assert_legible(text)


@pytest.mark.parametrize("size", [A4, (210.0, 297.0), (180.0, 150.0), (420.0, 297.0), (279.4, 215.9)])
def test_a_page_of_any_size_keeps_its_words_on_it(size):
    for text in (sheet_of("skiff-with-faults", "3", size=size), page_of("skiff-with-faults", 5, size=size)):
        root = drawn(text)
        assert root.get("width") == f"{number(size[0])}mm" and root.get("height") == f"{number(size[1])}mm"
        assert root.get("viewBox") == f"0 0 {number(size[0])} {number(size[1])}"
        assert_legible(text)


def test_labels_with_anything_in_them_make_sound_xml():
    names = ['<g id="x">&', "a\x00b\x1b[31m", "שלום\u202e", "]]>", "🛶 \ufffe \ud800", "x" * 300, ""]
    pieces = [part(name, rectangle(60 * n, 0, 60 * n + 50, 300)) for n, name in enumerate(names)]
    made = frame(pieces)
    finding = Finding(
        check="foul", level=Level.ERROR, message=f"{names[0]} & {names[4]}", frame="5", at=(1000.0, 30.0, 100.0),
        subjects=subjects(*pieces[:2]), cure="<b>", waived="&amp;",
        evidence=(replace(Marker(frame=made).span((10, 20), (30, 20)), words="<&>"),),
    )  # fmt: skip
    for chosen in (None, (1, finding)):
        text = frame_sheet(assembly([made]), made, "from aft", [(1, finding)], chosen=chosen)
        text.encode("utf-8")
        assert any("<g id=" in words for words in words_in(drawn(text)))


# ---- true to scale


def scale_in(root: ElementTree.Element) -> float:
    """mm of paper a mm of boat, as the page says."""
    said = next(words for words in words_in(root) if words.startswith("scale "))
    paper, real = re.match(r"scale (\S+):(\S+), mm", said).groups()
    return float(paper) / float(real)


def points_of(element: ElementTree.Element) -> np.ndarray:
    """The corners of a path."""
    return np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", element.get("d")), dtype=float)


@pytest.mark.parametrize("seen", ["from aft", "from forward"])
def test_a_part_is_drawn_at_the_scale_that_the_page_names_on_its_own_side(seen):
    made = frame([part("side", rectangle(200, 50, 320, 400)), part("other", rectangle(-320, 50, -200, 400))])
    root = drawn(frame_sheet(assembly([made]), made, seen, []))
    scale = scale_in(root)
    filled = [path for path in group(root, "parts") if path.get("fill") != "none"]
    sizes = [np.ptp(points_of(path), axis=0) for path in filled]
    assert all(size == pytest.approx([120 * scale, 350 * scale], abs=0.002) for size in sizes)
    names = group(root, "names")
    (port,) = [text for text in names.iter(f"{SVG}text") if "".join(text.itertext()) == "side"]
    (starboard,) = [text for text in names.iter(f"{SVG}text") if "".join(text.itertext()) == "other"]
    assert (float(port.get("x")) < float(starboard.get("x"))) == (seen == "from aft")
    assert f"port on the {'left' if seen == 'from aft' else 'right'}" in " ".join(words_in(root))


def test_the_bar_is_as_long_as_it_says():
    root = drawn(sheet_of("skiff", "4"))
    scale = scale_in(root)
    bars = [box for box in group(root, "foot") if box.tag == f"{SVG}rect" and box.get("stroke-width") == "0.15"]
    length = sum(float(bar.get("width")) for bar in bars)
    numbers = [float(words) for words in words_in(group(root, "foot")) if re.fullmatch(r"\d+", words)]
    assert length == pytest.approx(max(numbers) * scale, abs=0.002)


def test_the_datum_line_and_the_centreline_are_at_nought():
    made = frame([part("side", rectangle(200, 50, 320, 400)), part("other", rectangle(-320, 50, -200, 400))])
    root = drawn(frame_sheet(assembly([made]), made, "from aft", []))
    level, upright = [points_of(line) for line in group(root, "lines") if line.tag == f"{SVG}path"]
    parts = np.concatenate([points_of(path) for path in group(root, "parts") if path.get("fill") != "none"])
    scale = scale_in(root)
    assert level[:, 1] == pytest.approx([parts[:, 1].max() + 50 * scale] * 2, abs=0.002)
    assert upright[:, 0] == pytest.approx([(parts[:, 0].min() + parts[:, 0].max()) / 2] * 2, abs=0.002)


def test_the_largest_scale_that_fits_is_taken():
    assert fitting(100.0, 100.0, (150.0, 110.0)) == 1.0
    assert fitting(1500.0, 700.0, (149.0, 150.0)) == pytest.approx(1 / 15)
    assert fitting(1e7, 1.0, (100.0, 100.0)) == SCALES[-1]
    assert [scale_words(s) for s in (5.0, 1.0, 1 / 2.5, 1 / 10)] == ["5:1", "1:1", "1:2.5", "1:10"]
    sight = Sight.of((0.0, 0.0, 100.0, 200.0), (50.0, 60.0), 0.1, "from aft")
    assert sight.point(50.0, 100.0) == (50.0, 60.0) and sight.point(60.0, 110.0) == pytest.approx((49.0, 59.0))


# ---- what is on it


def test_every_part_and_every_timber_of_a_frame_is_named_on_its_page():
    said = words_in(drawn(sheet_of("skiff", "2")))
    for name in ("floor", "port side", "starboard side", "deck beam", "port chine gusset", "port leg", "keel"):
        assert name in said
    assert {"port chine", "starboard chine", "port sheer", "port rail", "datum line", "centreline"} <= set(said)


def test_screws_from_the_two_faces_and_dowels_have_signs_of_their_own():
    subject = boat("skiff")
    own = frame_named(subject.assembly, "4")
    root = drawn(sheet_of("skiff", "4"))
    faces = [one.driven_from for one in own.screws]
    marks = group(root, "screws")
    crosses = len([mark for mark in marks if mark.tag == f"{SVG}path"])
    assert crosses == 2 * faces.count("aft") and len(marks) - crosses == len(faces)
    # seen from aft: those to drive from this face stand out, those from the other are small
    sizes = Counter(float(mark.attrib["r"]) for mark in marks if mark.tag != f"{SVG}path")
    assert [sizes[size] for size in sorted(sizes)] == [faces.count("forward"), faces.count("aft")]
    assert max(sizes) > 2 * min(sizes)
    assert len([mark for mark in group(root, "dowels") if mark.tag == f"{SVG}path"]) == 2 * len(own.dowels)
    said = words_in(root)
    assert {"screw from aft", "screw from forward", "dowel", "gusset on the aft face"} <= set(said)


def test_findings_of_a_frame_are_ringed_numbered_and_listed():
    subject = boat("skiff-with-faults")
    own = [(n, f) for n, f in enumerate(subject.findings, 1) if f.frame == "4" and f.level is not Level.NOTE]
    root = drawn(sheet_of("skiff-with-faults", "4"))
    rings = group(root, "findings")
    numbers = {int(word) for words in words_in(rings) for word in words.split(", ")}
    assert numbers == {n for n, f in own if f.at is not None}
    listed = " ".join(words_in(group(root, "lists")))
    assert all(" ".join(f.message.split()) in " ".join(listed.split()) for _, f in own)


@pytest.mark.parametrize("check", ["foul", "joint-gap", "notch-foul", "notch-slack", "screw-edge", "leg-bottom"])
def test_the_inset_has_the_number_of_the_finding(check):
    n, finding = finding_of(boat("skiff-with-faults"), check)
    root = drawn(page_of("skiff-with-faults", n))
    assert words_in(group(root, "measure")) == [f"{finding.measured:.2f} mm"]
    assert len([head for head in group(root, "measure") if head.tag == f"{SVG}path"]) == 10  # 3 lines, 2 heads, twice


@pytest.mark.parametrize("check", ["screw-bite", "screw-foul"])
def test_what_goes_wrong_in_depth_is_cut_open(check):
    n, finding = finding_of(boat("skiff-with-faults"), check)
    root = drawn(page_of("skiff-with-faults", n))
    assert words_in(group(root, "measure")) == [f"{finding.measured:.2f} mm"]
    said = words_in(root)
    assert {"forward", "aft"} <= set(said) and any("cut along" in words for words in said)


def test_an_overlap_is_full_and_a_gap_is_not():
    for check, full in (("foul", True), ("notch-foul", True), ("joint-gap", False), ("notch-slack", False)):
        n, _ = finding_of(boat("skiff-with-faults"), check)
        detail = group(drawn(page_of("skiff-with-faults", n)), "detail")
        assert any(path.get("fill") == "#c4240c" for path in detail) == full


def test_the_length_in_the_inset_is_as_long_as_it_says():
    core = [part("floor", rectangle(0, 100, 200, 160)), part("side", rectangle(203, 100, 400, 160))]
    made = frame(core)
    finding = Finding(
        check="any", level=Level.ERROR, message="a gap", frame="5", subjects=subjects(*core),
        at=(1009.0, 201.5, 130.0), evidence=(Marker(frame=made).span((200, 130), (203, 130)),),
        measure=Measure(value=3.0),
    )  # fmt: skip
    root = drawn(frame_sheet(assembly([made]), made, "from aft", [], chosen=(1, finding)))
    lines = [points_of(path) for path in group(root, "measure") if path.get("stroke-width") == "0.2"]
    (scale,) = [words for words in words_in(root) if re.fullmatch(r"[\d.]+:[\d.]+", words)]
    paper, real = (float(word) for word in scale.split(":"))
    ends = [line[0] for line in lines[:2]]
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(3.0 * paper / real, abs=0.003)


def marked(*marks: Mark, named=(), made=None, measure=None) -> ElementTree.Element:
    """The page of a finding of no check of ours, with these marks."""
    own = made or frame([part("floor", rectangle(0, 0, 200, 160))])
    finding = Finding(
        check="any", level=Level.ERROR, message="something", frame="5", at=own.placement.point(100.0, 80.0, 9.0),
        subjects=subjects(*named), evidence=marks, measure=measure,
    )  # fmt: skip
    return drawn(frame_sheet(assembly([own]), own, "from aft", [], chosen=(1, finding)))


MARK = Marker(frame=frame([part("floor", rectangle(0, 0, 200, 160))]), w=9.0)
SQUARE = shapely.box(95, 75, 105, 85)


@pytest.mark.parametrize(
    ("mark", "where", "look"),
    [
        (MARK.region(SQUARE, 0.0, 18.0), "detail", {"fill": STRONG}),
        (MARK.ghost(SQUARE, 0.0, 18.0), "marks", {"stroke": STRONG, "stroke-dasharray": DASHES}),
        (MARK.line([(90, 80), (110, 80)]), "marks", {"stroke": STRONG}),
        (MARK.line([(90, 80), (110, 80)], drawn=True), "marks", {"stroke": INK}),
        (MARK.arrow([(90, 80), (110, 80)]), "marks", {"stroke": STRONG}),
        (MARK.axis((100, 80), 8.0, 0.0, 18.0), "marks", {"stroke": STRONG}),
    ],
)
def test_whatever_a_check_marks_is_drawn_each_in_its_way(mark, where, look):
    root = marked(replace(mark, words="as it should be"))
    found = [path for path in group(root, where) if look.items() <= path.attrib.items()]
    assert found
    points = np.concatenate([points_of(path) for path in found])
    reach = np.ptp(points, axis=0).max()
    (scale,) = [words for words in words_in(root) if re.fullmatch(r"[\d.]+:[\d.]+", words)]
    paper, real = (float(word) for word in scale.split(":"))
    assert 8.0 * paper / real - 0.01 <= reach <= 22.0 * paper / real + 2.0
    assert "as it should be" in words_in(group(root, "words")) or isinstance(mark, Line)
    assert_legible(ElementTree.tostring(root, encoding="unicode"))


def test_a_short_line_with_words_has_these_beside_it_where_nothing_is_measured():
    line = MARK.line([(99, 80), (101, 80)], words="2 mm or so")
    assert words_in(group(marked(line), "measure")) == ["2 mm or so"]
    assert words_in(group(marked(MARK.span((99, 90), (101, 90)), line, measure=Measure(value=2.0)), "measure")) == [
        "2.00 mm"
    ]


def test_marks_of_no_frame_or_of_another_are_not_drawn_but_the_place_is():
    line = MARK.line([(90, 80), (110, 80)])
    for other in (replace(line, frame=""), replace(line, frame="6")):
        root = marked(other)
        assert len(group(root, "marks")) == 0 and len(list(group(root, "measure").iter(f"{SVG}circle"))) == 2


@pytest.mark.parametrize("axes", [0, 1])
def test_what_is_measured_along_the_normal_is_cut_open_whatever_found_it(axes):
    side = part("side", rectangle(60, 40, 160, 120))
    made = frame([side, part("plate", rectangle(60, 40, 160, 120), face="forward", core=15.0)])
    marker = Marker(frame=made)
    marks = [marker.span((100, 80, 15.0), (100, 80, 18.0)), marker.region(side.shape, 15.0, 18.0)]
    marks += [marker.axis((100, 80), 8.0, 0.0, 30.0)] * axes
    root = marked(*marks, named=[side], made=made, measure=Measure(value=3.0))
    assert words_in(group(root, "measure")) == ["3.00 mm"]
    assert any(words.endswith("cut along the axis" if axes else "cut open") for words in words_in(root))
    assert any(path.get("fill") == STRONG for path in group(root, "section"))
    assert {"side", "plate"} <= set(words_in(group(root, "section"))) | set(words_in(root))


def test_hidden_edges_are_dashed_and_those_that_are_seen_are_not():
    pieces = [part("side", rectangle(0, 0, 100, 300)), part("gusset", rectangle(20, 20, 80, 120), face="forward")]
    made = frame(pieces)
    aft = drawn(frame_sheet(assembly([made]), made, "from aft", []))
    forward = drawn(frame_sheet(assembly([made]), made, "from forward", []))
    assert len(group(aft, "hidden")) == 1 and len(group(forward, "hidden")) == 0
    length = np.hypot(*np.diff(points_of(group(aft, "hidden")[0]), axis=0).T).sum()
    assert length == pytest.approx(320 * scale_in(aft), rel=0.01)


def test_a_waived_finding_says_so():
    subject = boat("skiff-with-faults")
    n, finding = finding_of(subject, "joint-gap")
    waived = replace(finding, waived="filled with thickened glue")
    own = frame_named(subject.assembly, finding.frame)
    text = frame_sheet(subject.assembly, own, subject.seen, (), chosen=(n, waived))
    said = " ".join(words_in(drawn(text)))
    assert "joint-gap, waived" in said and "filled with thickened glue" in said


def test_a_frame_with_next_to_nothing_in_it_is_drawn_too():
    for made in (frame([]), frame([part("side", rectangle(1e4, 0, 1e4 + 1, 1))])):
        assert_legible(frame_sheet(assembly([made], strongback=rails()), made, "from aft", []))
    bare = frame([], screws=[screw([], (10, 20))])
    finding = Finding(check="screw-bite", level=Level.ERROR, message="no wood", frame="5", at=(1000.0, 10.0, 20.0),
                      subjects=subjects(*bare.screws))  # fmt: skip
    assert_legible(frame_sheet(assembly([bare]), bare, "from aft", [], chosen=(1, finding)))


def test_a_finding_without_a_place_is_told_in_words():
    made = frame([part("side", rectangle(100, 0, 160, 300))])
    finding = Finding(check="station", level=Level.ERROR, message="somewhere", frame="5", subjects=subjects(made))
    text = frame_sheet(assembly([made]), made, "from aft", [], chosen=(7, finding))
    assert "somewhere" in words_in(drawn(text)) and 'id="measure"' not in text


# ---- small things


@pytest.mark.parametrize(
    ("value", "text"), [(1.0, "1"), (0.12345, "0.123"), (-0.0001, "0"), (10.0, "10"), (-2.5, "-2.5")]
)
def test_numbers_are_written_short(value, text):
    assert number(value) == text


def test_words_wrap_at_the_room_there_is():
    rows = wrapped("one two three four five six seven eight", 2.5, 20.0)
    assert " ".join(rows) == "one two three four five six seven eight"
    assert all(width(row, 2.5) <= 20.0 for row in rows) and len(rows) > 2
    assert wrapped("x" * 100, 2.5, 20.0) == ["x" * 100] and wrapped("", 2.5, 20.0) == []
    assert width("W", 10.0) > width("i", 10.0) > 0.0 and 0.5 < HEIGHT < 1.0


# ---- both faces, and the lines to what is named


def test_the_faces_of_a_frame_are_mirror_images_each_hiding_what_lies_on_the_other():
    parts = [part("side", rectangle(100, 0, 400, 300)), part("plate", rectangle(150, 60, 260, 200), face="forward")]
    piece = frame(parts, screws=[screw(parts, (180, 90)), screw(parts, (210, 160), name="screw 2", driven_from="aft")])
    aft, forward = (drawn(frame_sheet(assembly([piece]), piece, f"from {face}", ())) for face in ("aft", "forward"))
    spots = [
        np.array(
            [(float(each.get("cx")), float(each.get("cy"))) for each in group(root, "screws").iter(f"{SVG}circle")]
        )
        for root in (aft, forward)
    ]
    assert np.ptp(spots[0][:, 0] + spots[1][:, 0]) < 0.01 and spots[0][:, 1] == pytest.approx(spots[1][:, 1], abs=0.01)
    assert (spots[0][1, 0] - spots[0][0, 0]) * (spots[1][1, 0] - spots[1][0, 0]) < 0
    assert len(group(aft, "hidden")) == 1 and len(group(forward, "hidden")) == 0
    for root, port in ((aft, "left"), (forward, "right")):
        assert {"side", "plate"} <= set(words_in(root)) and any(
            f"port on the {port}" in each for each in words_in(root)
        )
        assert not any("scale" in (each.get("transform") or "") for each in root.iter())


@pytest.mark.parametrize("seen", ["from aft", "from forward"])
@pytest.mark.parametrize(("name", "number_"), FRAMES[:4])
def test_no_line_to_what_is_named_ends_as_a_screw_or_on_one(name, number_, seen):
    subject = boat(name)
    root = drawn(frame_sheet(subject.assembly, frame_named(subject.assembly, number_), seen, ()))
    names = group(root, "names")
    assert not list(names.iter(f"{SVG}circle"))
    tips = [re.match(r"M(\S+) (\S+?)L", path.get("d")).groups() for path in names if path.get("fill") == INK]
    assert len(tips) > 3
    marks = [each for sign in ("screws", "dowels") for each in group(root, sign).iter(f"{SVG}circle")]
    spots = shapely.multipoints([(float(each.get("cx")), float(each.get("cy"))) for each in marks])
    assert min(shapely.distance(spots, shapely.points(np.array(tips, dtype=float)))) > 0.9 * SIGN
