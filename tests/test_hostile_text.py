"""No text is trusted: what drawings, plans and command lines hold obeys nothing in any medium that it reaches."""

from __future__ import annotations

import csv
import io
import os
import re
from dataclasses import replace
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree

import ezdxf
import pytest
from making import assembly, finding, frame, part, rectangle
from verbs_making import Terminal

from scrieve.model.drawing.dxf_file import layer_name, new_drawing, text_of
from scrieve.shared.errors import Mistake
from scrieve.shared.findings import Level, Source
from scrieve.viewer.dxf.frame_blocks import FrameBlocks
from scrieve.viewer.paper.svg import Svg
from scrieve.viewer.reports.cure_table import _cell
from scrieve.viewer.reports.formats import Format, written_as
from scrieve.viewer.reports.report import Report
from scrieve.viewer.reports.style import Style, plain
from scrieve.viewer.system import terminal
from scrieve.viewer.system.progress import ProgressBar

EVIL = "::error::\x1b]0;owned\x07\x9b31m\r\n::stop-commands::x ##[add-path]/tmp \u202e <b>&\"'=1+1"
RAW = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]")


def report(number: int) -> Report:
    """A plan full of evil names, with more findings than GitHub shows."""
    findings = [
        finding(
            message=f"{EVIL} {n} {EVIL}",
            cure=EVIL,
            frame=f"{n}",
            parts=(EVIL,),
            waived=EVIL if n % 5 == 4 else "",
            source=Source(file=f"{EVIL}.dxf", handle="2F"),
        )
        for n in range(15)
    ]
    boat = replace(assembly([frame([part("side", rectangle(0, 0, 10, 10))])]), name=EVIL)
    return Report.of(boat, findings, plan=f"hulls/{EVIL}{number}", ran=("foul",), left_out=())


@pytest.mark.parametrize("form", get_args(Format))
def test_in_no_report(form, monkeypatch):
    monkeypatch.chdir(Path(__file__).parent)
    unread = {f"{EVIL}/unread": [Mistake(path=f"{EVIL}/plan.toml", line=n, what=EVIL) for n in range(12)]}
    style = Style()
    text = written_as(form, [report(1), report(2)], unread=unread, several=True, fails_on=Level.ERROR, style=style)
    assert not RAW.findall(text)
    for line in text.splitlines():
        if line.lstrip().startswith("::"):
            assert form == "github" and re.match(r"::(error|warning|notice|group|endgroup)\b[^\n]*::", line)
            assert "##[" not in line
    if form == "junit":
        ElementTree.fromstring(text)


def test_nor_on_the_terminal(capsys, monkeypatch):
    terminal.say(f"{EVIL}\n\x1b[31mred\x1b[0m\n")
    terminal.remark(EVIL)
    said = capsys.readouterr()
    assert "\x1b[31mred\x1b[0m" in said.out
    for text in (said.out.replace("\x1b[31m", "").replace("\x1b[0m", ""), said.err):
        assert not re.findall(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", text)
    assert said.err == f"{plain(EVIL)}\n" and not said.err.startswith("::")


def test_nor_in_the_bar():
    bar = ProgressBar(Terminal(), patience=60)
    bar.tell(EVIL)
    assert bar._bar is not None and bar._bar.tasks[0].description == plain(EVIL)


@pytest.mark.parametrize("text", ["=1+1", "@x", "+1", "-1 x", "\t=1", "\r@x", " =1", "=cmd|' /C calc'!A0"])
def test_a_table_holds_no_formula(text):
    out = io.StringIO()
    csv.writer(out).writerow([_cell(text)])
    ((cell,),) = csv.reader(io.StringIO(out.getvalue()))
    assert cell == f"'{plain(text)}"
    assert _cell("SCREWS = FWD") == "SCREWS = FWD"


@pytest.mark.parametrize("version", ["R2000", "R2010"])
def test_a_drawing_holds_what_was_drawn_and_no_more(version):
    document = new_drawing(version, layers={layer_name(EVIL): 1})
    document.blocks.new("B").add_point((0, 0), dxfattribs={"layer": layer_name(EVIL)})
    document.modelspace().add_text("A\r\n  0\nLINE\n  8\nX", dxfattribs={"layer": layer_name(EVIL)})
    text = text_of(document)
    assert not RAW.findall(text)
    read = ezdxf.read(io.StringIO(text))
    (words,) = read.modelspace()
    assert (words.dxftype(), words.dxf.layer) == ("TEXT", layer_name(EVIL))
    assert layer_name(EVIL) in read.layers


def test_a_drawing_is_made_whatever_the_plans_layers_are_called():
    blocks = FrameBlocks((), ())
    assert [blocks.layer(name) for name in ("=1+1", "A:B", "A\nB", "@x", "SCREWS FWD")] == [
        "_1+1",
        "A_B",
        "A B",
        "@x",
        "SCREWS FWD",
    ]
    assert {"_1+1", "A_B", "A B", "@x"} <= {layer.dxf.name for layer in ezdxf.read(io.StringIO(blocks.text())).layers}


def test_nor_does_a_picture_of_lines():
    svg = Svg(10, 10, title=EVIL, description=EVIL)
    with svg.group(EVIL, fill=plain(EVIL)):
        svg.words((0, 0), EVIL, 3)
    assert not RAW.findall(svg.text())
    root = ElementTree.fromstring(svg.text())
    assert [each.tag.split("}")[1] for each in root.iter()] == ["svg", "title", "desc", "g", "text"]


def test_a_line_from_the_command_line_obeys_nothing(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "::error::x").mkdir()
    terminal.complain(terminal.UseError.at("no", path=os.listdir()[0]))
    assert capsys.readouterr().err == ": :error::x: no\n"
