"""`scrieve view` as a process: without the extra, the display, OpenGL, the plan; and with all of them."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from window_making import HULLS, copied, display

from scrieve.shared.errors import UseError
from scrieve.viewer.system.display import Display
from scrieve.viewer.system.probe import Answer, Probe

PLAN = str(HULLS / "pram")


def view(*words: str, before: str = "", **environ: str) -> subprocess.CompletedProcess[str]:
    """Runs the verb; `before` is done in the process first."""
    code = (
        f"{before}\nimport sys\nfrom scrieve.viewer.verbs.commands import run\nsys.exit(run(['view', *sys.argv[1:]]))"
    )
    kept = {name: value for name, value in os.environ.items() if name not in environ}
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        env={**kept, **{name: value for name, value in environ.items() if value}},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def one_line(ran: subprocess.CompletedProcess[str]) -> str:
    assert ran.returncode == 2, ran.stderr
    assert ran.stdout == ""
    lines = ran.stderr.splitlines()
    assert len(lines) == 1, ran.stderr
    return lines[0]


@pytest.mark.parametrize("name", ["PySide6", "pyvistaqt", "pyvista", "vtkmodules"])
def test_without_the_extra_it_says_how_to_install_it(name):
    before = textwrap.dedent(
        f"""
        import sys
        class Missing:
            def find_spec(self, name, path=None, target=None):
                if name.partition(".")[0] == {name!r}:
                    raise ModuleNotFoundError(name)
        import importlib.util
        found = importlib.util.find_spec
        importlib.util.find_spec = lambda name, package=None: None if name == {name!r} else found(name, package)
        """
    )
    line = one_line(view(PLAN, before=before))
    assert 'pip install "scrieve[window]"' in line
    assert name in line


def test_without_a_display_it_says_so():
    line = one_line(view(PLAN, DISPLAY="", WAYLAND_DISPLAY="", QT_QPA_PLATFORM=""))
    assert line.startswith("scrieve view: there is no display")
    assert "xvfb-run" in line


def test_with_a_display_that_does_not_answer_it_says_so():
    line = one_line(view(PLAN, DISPLAY=":4711", WAYLAND_DISPLAY="", QT_QPA_PLATFORM=""))
    assert "does not answer" in line
    assert ":4711" in line


@pytest.mark.parametrize("platform", ["offscreen", "OFFSCREEN", " minimal;", "nonsense", "eglfs:1", "offscreen;vnc"])
def test_on_a_platform_without_windows_it_says_so(platform):
    line = one_line(view(PLAN, DISPLAY=display(), WAYLAND_DISPLAY="", QT_QPA_PLATFORM=platform))
    assert f"QT_QPA_PLATFORM={platform}" in line
    assert "unset it" in line


@pytest.mark.parametrize("name", ["/etc/passwd", "wayland-7", "dead"])
def test_with_a_wayland_display_that_is_none_it_says_so(name, tmp_path):
    with socket.socket(socket.AF_UNIX) as dead:
        dead.bind(str(tmp_path / "dead"))  # nobody listens
    line = one_line(view(PLAN, DISPLAY="", WAYLAND_DISPLAY=name, QT_QPA_PLATFORM="", XDG_RUNTIME_DIR=str(tmp_path)))
    assert "does not answer" in line
    assert f"WAYLAND_DISPLAY={name}" in line


def test_a_display_that_takes_a_connection_and_never_answers_is_not_waited_for(monkeypatch, tmp_path):
    monkeypatch.setattr("scrieve.viewer.system.display.PATIENCE", 3.0)
    with socket.socket(socket.AF_UNIX) as mute:
        mute.bind(str(tmp_path / "mute"))
        mute.listen()
        environ = {**os.environ, "WAYLAND_DISPLAY": "mute", "XDG_RUNTIME_DIR": str(tmp_path)}
        environ = {name: value for name, value in environ.items() if name not in ("DISPLAY", "QT_QPA_PLATFORM")}
        with Display("scrieve view", environ) as asked, pytest.raises(UseError, match="does not answer"):
            asked.require()


def test_without_opengl_it_says_so():
    line = one_line(view(PLAN, DISPLAY=display(), WAYLAND_DISPLAY="", QT_QPA_PLATFORM="", QT_XCB_GL_INTEGRATION="none"))
    assert line.startswith("scrieve view: the display has no OpenGL 3.2")


def test_without_a_plan_it_says_so():
    assert one_line(view("nowhere")) == "nowhere: is not there"


def test_a_library_of_the_system_that_is_missing_is_named(monkeypatch):
    monkeypatch.setattr("scrieve.viewer.system.display._platform_plugin", lambda: "libnothing.so.9")
    monkeypatch.setattr(Probe, "answer", lambda self, patience: Answer((), -6))  # Qt cannot say it: it aborts
    with (
        Display("scrieve view", {**os.environ, "DISPLAY": display()}) as asked,
        pytest.raises(UseError, match=r"libnothing\.so\.9"),
    ):
        asked.require()


def test_opens_the_window_and_ends_well_when_it_is_closed():
    before = textwrap.dedent(
        """
        import sys
        from PySide6.QtCore import QTimer
        from PySide6.QtWidgets import QApplication, QMainWindow
        def look():
            for window in QApplication.topLevelWidgets():
                if isinstance(window, QMainWindow) and window.hand.boat is not None:
                    QApplication.instance().timer.stop()
                    print(window.windowTitle())
                    window.close()
        import scrieve.viewer.window.opening as opening
        made = opening.application
        def application():
            app = made()
            app.timer = QTimer()
            app.timer.timeout.connect(look)
            app.timer.start(50)
            return app
        opening.application = application
        """
    )
    ran = view(PLAN, before=before, DISPLAY=display(), XDG_CONFIG_HOME=os.environ.get("XDG_CONFIG_HOME", ""))
    assert (ran.returncode, ran.stdout.count("Scrieve")) == (0, 1), ran.stderr
    assert ran.stderr == ""


def test_a_window_closed_before_there_was_a_boat_ends_with_the_reason(tmp_path):
    plan = copied("pram", tmp_path)
    file = plan / "plan.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("station", "staton", 1), encoding="utf-8")
    before = textwrap.dedent(
        """
        from PySide6.QtCore import QTimer
        from PySide6.QtWidgets import QApplication, QMainWindow
        import scrieve.viewer.window.opening as opening
        made = opening.application
        def look():
            for window in QApplication.topLevelWidgets():
                if isinstance(window, QMainWindow) and window.reading.why:
                    window.close()
        def application():
            app = made()
            app.timer = QTimer()
            app.timer.timeout.connect(look)
            app.timer.start(50)
            return app
        opening.application = application
        """
    )
    ran = view(str(plan), before=before, DISPLAY=display(), XDG_CONFIG_HOME=str(tmp_path))
    assert ran.returncode == 2
    assert "plan.toml:" in ran.stderr
    assert "staton" in ran.stderr


def test_a_window_closed_by_hand_before_the_boat_was_read_ends_quietly():
    before = textwrap.dedent(
        """
        from PySide6.QtCore import QTimer
        from PySide6.QtWidgets import QApplication, QMainWindow
        import scrieve.viewer.window.opening as opening
        made = opening.application
        def look():
            for window in QApplication.topLevelWidgets():
                if isinstance(window, QMainWindow):
                    window.reading.stop()
                    window.close()
        def application():
            app = made()
            app.timer = QTimer()
            app.timer.timeout.connect(look)
            app.timer.start(1)
            return app
        opening.application = application
        """
    )
    ran = view(PLAN, before=before, DISPLAY=display(), XDG_CONFIG_HOME=os.environ.get("XDG_CONFIG_HOME", ""))
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "", "")


def test_a_mistake_of_ours_is_told_in_the_window_and_not_as_a_traceback():
    before = textwrap.dedent(
        """
        from PySide6.QtCore import QTimer
        from PySide6.QtWidgets import QApplication, QMainWindow
        import scrieve.viewer.window.opening as opening
        made = opening.application
        def look():
            for window in QApplication.topLevelWidgets():
                if isinstance(window, QMainWindow) and window.hand.boat is not None:
                    if window.banner.isVisible():
                        print(window.banner.lines.text())
                        window.close()
                    else:
                        raise ZeroDivisionError("planted")
        def application():
            app = made()
            app.timer = QTimer()
            app.timer.timeout.connect(look)
            app.timer.start(50)
            return app
        opening.application = application
        """
    )
    ran = view(PLAN, before=before, DISPLAY=display(), XDG_CONFIG_HOME=os.environ.get("XDG_CONFIG_HOME", ""))
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "ZeroDivisionError: planted\n", "")


def test_check_loads_neither_qt_nor_vtk():
    code = (
        "import sys; from scrieve.viewer.verbs.commands import run; run(['check', sys.argv[1]]);"
        "assert not {name.partition('.')[0] for name in sys.modules} & {'PySide6', 'vtkmodules', 'pyvista', 'qtpy'}"
    )
    ran = subprocess.run([sys.executable, "-c", code, PLAN], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert Path(PLAN).is_dir()
