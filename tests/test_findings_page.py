"""`check --html`: every finding in words and drawn, each drawing with what was measured in it."""

from __future__ import annotations

import json
import re
from html import unescape

import pytest
from faults import HULLS

from scrieve.viewer.verbs.commands import run

FAULTY = str(HULLS / "skiff-with-faults")
SOME = "screw-foul,joint-gap,cut-sheet,bend"


def test_each_finding_is_told_and_drawn_with_its_measure(tmp_path, capsys):
    page = tmp_path / "found.html"
    assert run(["check", FAULTY, "--only", SOME, "--format", "json", "--html", str(page)]) == 1
    findings = json.loads(capsys.readouterr().out)["findings"]
    text = page.read_text(encoding="utf-8")
    cards = dict(re.findall(r"finding (\d+): [\w-]+(.*?)(?=finding \d+: |</html>)", text, re.DOTALL))
    assert set(map(int, cards)) == set(range(1, len(findings) + 1))
    assert re.search(r"<p>[^<]*: \d+ errors \(.*\), no warnings, 1 note\.</p>", text)
    for number, card in cards.items():
        finding = findings[int(number) - 1]
        assert finding["message"] in unescape(card) and finding["cure"] in unescape(card)
        assert ("<svg" in card) == (finding["at"] is not None)
        if finding["frame"] and finding["measured"] and finding["evidence"][0]["mark"] == "span":
            assert f"{finding['measured']:.2f} mm</text>" in card
    assert "<script" not in text and set(re.findall(r"https?://[^\s\"']+", text)) <= {"http://www.w3.org/2000/svg"}


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ([FAULTY, "--html", "x.pdf"], "a name ending in .html is wanted"),
        ([FAULTY, FAULTY, "--html", "x.html"], "one plan at a time"),
        ([FAULTY, "--html", "x.html", "--output", "x.html"], "a file of its own"),
    ],
)
def test_what_cannot_be_written_is_a_line_and_ends_two(words, why, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["check", *words]) == 2
    said = capsys.readouterr()
    assert why in said.err and said.err.count("\n") == 1 and list(tmp_path.iterdir()) == []
