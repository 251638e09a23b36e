"""How soon the window shows the demonstration boat, and how fast a hull of 2,500 solids goes round in it.

    python tests/bench/window_speed.py

In a display of its own where there is none, with whatever paints there: software, on most machines that test. The
first picture is a whole process, from its start to the boat's first painting, beside one that loads the window's
libraries and no more. The hull goes round as it is dragged with the mouse, one painting a move.
"""

from __future__ import annotations

import re
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from window_making import opened, shut, wait  # noqa: E402, I001  it starts the display, which Qt wants first
from PySide6.QtCore import QPoint, Qt  # noqa: E402
from PySide6.QtTest import QTest  # noqa: E402
from PySide6.QtWidgets import QApplication  # noqa: E402

from scrieve.model.draft import draft  # noqa: E402
from scrieve.viewer.window.window import MainWindow  # noqa: E402

LIBRARIES = "import pyvista, pyvistaqt, PySide6.QtWidgets"
FIRST_PICTURE = """
import sys
from PySide6.QtCore import QTimer
from scrieve.viewer.window import canvas
painted = canvas.Canvas._time
def tell(self):
    painted(self)
    if self.stage is not None and self.isVisible():
        print("painted", flush=True)
        QTimer.singleShot(0, self.window().close)
canvas.Canvas._time = tell
from scrieve.viewer.verbs.commands import main
main()
"""
ROUNDS = 5
FIRST_BUDGET, TURNING_BUDGET = 3.0, 20.0
"""seconds; pictures a second."""

FRAMES, LONGER, MOVES = 83, 10, 150


def until_painted(plan: Path) -> float:
    """Seconds from the start of `scrieve view` to the first painting of the boat."""
    start = time.perf_counter()
    command = [sys.executable, "-c", FIRST_PICTURE, "view", str(plan)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "painted\n"
        took = time.perf_counter() - start
        assert process.wait(60) == 0
    return took


def until_loaded() -> float:
    """Seconds of a process that only loads the window's libraries."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", LIBRARIES], check=True)
    return time.perf_counter() - start


def long_lines() -> str:
    """The skiff's lines drawn out along x, with many more frames."""
    text = (ROOT / "hulls" / "skiff" / "lines.toml").read_text("utf-8")
    head = text[: text.index("[[frames]]")].replace("to           = 4200", f"to = {4200 * LONGER}")
    stations = [int(word) * LONGER for word in re.search(r"stations = \[(.*?)\]", head)[1].split(",")]
    head = re.sub(r"stations = \[.*?\]", f"stations = {stations}", head)
    rows = [
        f'[[frames]]\nnumber = "{n + 1}"\nkind = "open"\nstation = {3000 + n * 29000 // FRAMES}\n'
        for n in range(FRAMES)
    ]
    return head + "\n".join(rows)


@contextmanager
def long_hull() -> Iterator[MainWindow]:
    """A window on a hull of some 2,500 solids."""
    with TemporaryDirectory() as folder:
        lines = Path(folder) / "lines.toml"
        lines.write_text(long_lines(), "utf-8")
        draft(lines, Path(folder) / "long", replace=False)
        window = opened(Path(folder) / "long", Path(folder) / "window.ini")
        window.resize(1360, 860)
        wait(1000)
        yield window
        shut(window)


def turning(window: MainWindow) -> tuple[float, int]:
    """Pictures a second while the hull is dragged round, and how many were painted."""
    view, painted = window.canvas.view, []
    watch = view.ren_win.AddObserver("EndEvent", lambda *_: painted.append(time.perf_counter()))
    here = QPoint(view.width() // 4, view.height() // 2)
    QTest.mousePress(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, here)
    for move in range(MOVES):
        QTest.mouseMove(view, here + QPoint(3 * (move + 2), 10 * (move % 2)))
        QApplication.processEvents()
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton)
    view.ren_win.RemoveObserver(watch)
    return (len(painted) - 1) / (painted[-1] - painted[0]), len(painted)


def main() -> None:
    """Prints the figures and their budgets."""
    skiff = ROOT / "hulls" / "skiff"
    until_loaded(), until_painted(skiff)  # unmeasured, so that neither pays for a cold disk
    rounds = [(until_loaded(), until_painted(skiff)) for _ in range(ROUNDS)]
    loaded, painted = (statistics.median(column) for column in zip(*rounds, strict=True))
    print(f"loading the window's libraries  {loaded:6.2f} s")
    print(f"first picture of the boat       {painted:6.2f} s    (budget {FIRST_BUDGET:g} s)")
    print(f"ratio                           {painted / loaded:6.2f}")
    with long_hull() as window:
        assert window.hand.boat is not None
        solids = len(window.hand.boat.bodies)
        rate, count = turning(window)
        print(f"{solids} solids go round with   {rate:6.1f} pictures a second    (budget {TURNING_BUDGET:g})")
        print(f"painted                         {count:6} of {MOVES} moves")


if __name__ == "__main__":
    main()
