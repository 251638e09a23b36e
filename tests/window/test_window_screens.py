"""The window on screens of several sizes and densities, each a display of its own: it fits, and marks are to scale."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from window_making import HULLS, screen_started

ASK = """
import json, sys
from pathlib import Path
from window_making import opened, shut
from PySide6.QtCore import QSize
plan, settings = Path(sys.argv[1]), Path(sys.argv[2])
window = opened(plan, settings)
room, scene = window.screen().availableSize(), window.canvas.stage
window.finding_walk.take(next(n for n, f in enumerate(window.hand.boat.findings) if f.check == "joint-gap"))
window.matters.list_keys()
view = window.canvas.view
view.render()
lines = next(drawn for (form, held), drawn in scene.marks.forms.items() if held and len(drawn.places))._lines
camera = window.canvas.camera
ends = camera.view.seen(lines.ends.reshape(-1, 3), camera.aspect) * (view.width(), view.height())
found = {
    "room": room.toTuple(), "ratio": window.devicePixelRatioF(), "keys": window.matters.keys.frameSize().toTuple(),
    "window": window.frameSize().toTuple(), "least": window.minimumSize().toTuple(),
    "mark": float(ends[:, 1].max() - ends[:, 1].min()), "edges": scene.scene._fine.actors["lines"].prop.line_width,
    "boxes": scene.labels.boxes,
}
window.resize(room * 2)
shut(window)
again = opened(plan, settings)
found["again"] = again.frameSize().toTuple()
shut(again)
print(json.dumps(found))
"""


@pytest.fixture(scope="module", name="found_on")
def asked(tmp_path_factory):
    """What is found on a screen, each asked once."""
    known: dict[tuple[str, str], dict] = {}

    def ask(screen: str, scale: str) -> dict:
        if (screen, scale) not in known:
            settings = tmp_path_factory.mktemp("screen") / "window.ini"
            environment = os.environ | {"DISPLAY": f":{screen_started(f'{screen}x24')}", "QT_SCALE_FACTOR": scale}
            said = subprocess.run(
                [sys.executable, "-c", ASK, str(HULLS / "skiff-with-faults"), str(settings)],
                cwd=Path(__file__).parent.parent, env=environment, capture_output=True, text=True, check=True,
            )  # fmt: skip
            known[screen, scale] = json.loads(said.stdout.splitlines()[-1])
        return known[screen, scale]

    return ask


SCREENS = [("1366x768", "1"), ("2560x1440", "2"), ("1024x600", "1.5")]


@pytest.mark.parametrize(("screen", "scale"), SCREENS)
def test_every_window_is_inside_the_screen(found_on, screen, scale):
    found = found_on(screen, scale)
    assert found["ratio"] == float(scale)
    for each in ("window", "keys", "least", "again"):
        assert np.less_equal(found[each], found["room"]).all(), each


def test_marks_lines_and_words_are_as_large_on_a_screen_twice_as_fine(found_on):
    one, two = found_on("1366x768", "1"), found_on("2560x1440", "2")
    assert two["mark"] == pytest.approx(one["mark"], rel=0.02)
    assert two["edges"] == 2 * one["edges"]
    tall = [[high - low for _, _, low, high in found["boxes"]] for found in (one, two)]
    assert tall[1] == pytest.approx(tall[0], abs=2.0)
