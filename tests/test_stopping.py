"""Ctrl-C and SIGTERM: the process says so in one line and is gone, whatever it was doing."""

from __future__ import annotations

import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

HULLS = Path(__file__).parents[1] / "hulls"
STOP = pytest.mark.parametrize(("number", "ending"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])


def told_while_loading(module: str, number: int, *words: str) -> subprocess.CompletedProcess[str]:
    """Runs the command, and tells it to stop in the moment in which it looks for a module."""
    code = f"""
        import os, sys
        class Highlight:
            def find_spec(self, name, path=None, target=None):
                if name == {module!r}:
                    os.kill(os.getpid(), {int(number)})
        sys.meta_path.insert(0, Highlight())
        from scrieve.viewer.command import main
        main()
    """
    command = [sys.executable, "-c", textwrap.dedent(code), *words]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


@STOP
@pytest.mark.parametrize(
    "module", ["scrieve.viewer.verbs.commands", "numpy", "shapely", "ezdxf", "scrieve.model.review"]
)
def test_told_while_a_module_is_loaded(module, number, ending):
    ran = told_while_loading(module, number, "check", str(HULLS / "pram"))
    assert (ran.returncode, ran.stdout, ran.stderr) == (ending, "", "scrieve: stopped\n")


@STOP
@pytest.mark.parametrize("module", ["pyvista", "vtkmodules", "PIL"])
def test_told_while_what_makes_pictures_is_loaded(module, number, ending, tmp_path):
    out = tmp_path / "boat.png"
    ran = told_while_loading(module, number, "picture", str(HULLS / "pram"), str(out))
    assert (ran.returncode, ran.stdout, ran.stderr) == (ending, "", "scrieve: stopped\n")
    assert list(tmp_path.iterdir()) == []


def test_one_that_is_ignored_stays_so():
    code = """
        import signal, os, sys
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        from scrieve.viewer.system.stopping import end_when_told
        end_when_told()
        os.kill(os.getpid(), signal.SIGINT)
        print("still there")
    """
    ran = subprocess.run([sys.executable, "-c", textwrap.dedent(code)], capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "still there\n", "")
