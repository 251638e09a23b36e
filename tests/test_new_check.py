"""One new file is a new check: the one that DEVELOPERS.md shows, in a copy of the tree, is in every output."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from textwrap import dedent
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from scrieve.viewer.marks.colours import STRONG

ROOT = Path(__file__).parents[1]
NAME = "doorway"
SAID = "F1 transom is 942.72 mm wide, the door 900.00 mm"


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the house with the check in it, beside two plans: the pram, and the pram with a waiver."""
    place = tmp_path_factory.mktemp("tree")
    for folder in ("shared", "model", "viewer"):
        shutil.copytree(ROOT / folder, place / "scrieve" / folder, ignore=shutil.ignore_patterns("__pycache__"))
    (place / "scrieve" / "__init__.py").touch()
    shown = re.search(r'^   ```python\n(   """Check.*?)^   ```$', (ROOT / "DEVELOPERS.md").read_text(), re.M | re.S)
    assert shown
    (place / "scrieve" / "model" / "checks" / f"{NAME}.py").write_text(dedent(shown[1]), encoding="utf-8")
    for name in ("pram", "waived"):
        shutil.copytree(ROOT / "hulls" / "pram", place / name)
    with (place / "waived" / "plan.toml").open("a", encoding="utf-8") as plan:
        plan.write(f'\n[[waivers]]\ncheck = "{NAME}"\nwhere = "F1 transom"\nreason = "built outside"\n')
    return place


def scrieve(tree: Path, *words: str, ends: int = 0) -> str:
    """What the copy says."""
    return run(tree, "from scrieve.viewer.command import main; main()", *words, ends=ends)


def run(tree: Path, code: str, *words: str, ends: int = 0) -> str:
    """What code prints in the copy."""
    places = os.pathsep.join([str(tree), str(ROOT / "tests")])
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        cwd=tree,
        env={**os.environ, "PYTHONPATH": places},
        capture_output=True,
        text=True,
        timeout=600,
    )
    assert done.returncode == ends, done.stderr
    return done.stdout


def test_it_is_explained_and_listed(tree):
    page = scrieve(tree, "explain", NAME)
    assert page.startswith("doorway: A part is wider than a doorway (warning at worst)\n")
    assert "measure your own door" in page
    assert re.search(rf"^{NAME} +warning +A part is wider", scrieve(tree, "explain"), re.M)


def test_the_text_tells_it_with_its_cure_and_only_it_where_only_it_is_asked_for(tree):
    text = scrieve(tree, "check", "pram", "--only", NAME)
    assert f"  warning  {SAID}\n           cure: cut it in two" in text
    assert scrieve(tree, "check", "pram", "--only", NAME, "--fail-on", "warning", ends=1) == text
    assert SAID not in scrieve(tree, "check", "pram", "--skip", NAME)


def test_json_has_its_span(tree):
    findings = json.loads(scrieve(tree, "check", "pram", "--only", NAME, "--format", "json"))["findings"]
    (transom,) = (finding for finding in findings if finding["parts"] == ["F1 transom"])
    ((_, start, _), (_, end, _)) = transom["evidence"][0]["points"]
    assert transom["measured"] == pytest.approx(abs(end - start), abs=1e-3) == pytest.approx(942.72, abs=0.01)


def test_sarif_junit_and_github_know_it(tree):
    log = json.loads(scrieve(tree, "check", "pram", "--format", "sarif"))["runs"][0]
    (rule,) = (rule for rule in log["tool"]["driver"]["rules"] if rule["id"] == NAME)
    assert "What does not go through the door" in rule["help"]["text"]
    assert SAID in {result["message"]["text"].split(". ")[0] for result in log["results"] if result["ruleId"] == NAME}
    suites = ElementTree.fromstring(scrieve(tree, "check", "pram", "--format", "junit", "--fail-on", "warning", ends=1))
    (case,) = (case for case in suites.iter("testcase") if case.get("name") == NAME)
    assert SAID in case.find("failure").get("message")
    assert f"title=F1 {NAME}::{SAID}" in scrieve(tree, "check", "pram", "--only", NAME, "--format", "github")


def test_a_plan_may_waive_it(tree):
    assert f"waived   {SAID}\n           accepted: built outside" in scrieve(tree, "check", "waived", "--only", NAME)


def test_its_drawing_has_its_dimension(tree):
    scrieve(tree, "picture", "pram", "close.svg", "--finding", "1")
    drawn = ElementTree.parse(tree / "close.svg").getroot()
    (measure,) = (group for group in drawn.iter() if group.get("id") == "measure")
    assert "942.72" in " ".join(measure.itertext())


def test_its_picture_has_its_dimension(tree):
    """What is drawn in a finding's own colour is nowhere in the boat's picture."""
    scrieve(tree, "picture", "pram", "whole.png", "--size", "480x320")
    scrieve(tree, "picture", "pram", "close.png", "--finding", "1", "--size", "480x320")
    whole, close = (_strong(tree / name) for name in ("whole.png", "close.png"))
    assert whole == 0
    assert close > 100


def _strong(picture: Path) -> int:
    """How many points of a picture have the colour of what is wrong."""
    with Image.open(picture) as image:
        points = np.asarray(image.convert("RGB"), dtype=int)
    wanted = [int(STRONG[n : n + 2], 16) for n in (1, 3, 5)]
    return int((np.abs(points - wanted).max(axis=-1) <= 12).sum())


def test_the_window_lists_it_and_shows_its_measure(tree):
    code = """if True:
        from pathlib import Path
        from window_making import opened, press, shut, wait
        window = opened(Path("pram"), Path("settings.ini"))
        listed = window.findings.list
        print([listed.item(n).text() for n in range(listed.count())])
        press(window, "N")
        wait(100)
        print([label.text for label in window.canvas.stage.labels.shown])
        shut(window)
    """
    listed, labels = run(tree, code).splitlines()[-2:]
    assert SAID in listed
    assert "942.72 mm" in labels
