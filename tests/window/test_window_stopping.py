"""A window that is told to stop, by Ctrl-C or SIGTERM: in the middle of a painting, and while it loads."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest
from window_making import HULLS, copied, display

STOP = pytest.mark.parametrize(("number", "ending"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])


def told(before: str, number: int, home: Path, plan: Path = HULLS / "pram") -> subprocess.CompletedProcess[str]:
    """Opens a window in a process that tells itself to stop where `before` calls `tell`."""
    code = f"""
        import os, sys
        def tell():
            os.kill(os.getpid(), {int(number)})
    """
    lines = [textwrap.dedent(code), textwrap.dedent(before), "from scrieve.viewer.command import main\nmain()"]
    return subprocess.run(
        [sys.executable, "-c", "\n".join(lines), "view", str(plan)],
        env={**os.environ, "DISPLAY": display(), "XDG_CONFIG_HOME": str(home)},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def readers(plan: Path) -> set[str]:
    """The processes that read this boat just now; other tests read others."""
    found = set()
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            words = (entry / "cmdline").read_bytes()
            if b"scrieve.viewer.window.reader" in words and str(plan).encode() in words:
                found.add(entry.name)
        except OSError:
            continue
    return found


@STOP
@pytest.mark.parametrize("painting", [1, 3])
def test_in_the_middle_of_a_painting(number, ending, painting, tmp_path):
    before = f"""
        from scrieve.viewer.window import canvas
        timed, painted = canvas.PictureWidget._time, []
        def time(self):
            timed(self)
            painted.append(1)
            if len(painted) == {painting}:
                tell()
            self.refresh()
        canvas.PictureWidget._time = time
    """
    ran = told(before, number, tmp_path)
    assert (ran.returncode, ran.stdout, ran.stderr) == (ending, "", "scrieve: stopped\n")


@STOP
@pytest.mark.parametrize(
    "moment",
    [
        "import scrieve.viewer.window.opening as o; made = o.application\n"
        "def first():\n    app = made(); tell(); return app\n"
        "o.application = first",
        "import scrieve.viewer.window.opening as o; greet = o.greet\n"
        "def greeting(path):\n    tell(); return greet(path)\n"
        "o.greet = greeting",
        "class Highlight:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'pyvistaqt': tell()\n"
        "sys.meta_path.insert(0, Highlight())",
    ],
    ids=["as Qt begins", "as the boat is read", "as the libraries are loaded"],
)
def test_before_there_is_a_window(number, ending, moment, tmp_path):
    plan = copied("pram", tmp_path)
    ran = told(moment, number, tmp_path, plan)
    assert (ran.returncode, ran.stdout, ran.stderr) == (ending, "", "scrieve: stopped\n")
    for _ in range(100):
        if not readers(plan):
            return
        time.sleep(0.1)
    raise AssertionError("a process that reads the boat was left behind")
