"""Windows for tests: a display where there is none, plans of their own, and waiting for what takes its time."""

from __future__ import annotations

import ctypes
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path

import pytest

HULLS = Path(__file__).parent.parent / "hulls"
PATIENCE = 60.0
"""seconds that anything may take; a busy machine must not fail a test."""


_SERVERS: list[subprocess.Popen[bytes]] = []
"""Those that were started; they end with us."""


@cache
def display() -> str:
    """The display to open windows on: the one there is, else one that is started, and ended with the tests."""
    if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
        os.environ["DISPLAY"] = f":{screen_started('1400x900x24')}"
    return os.environ.get("DISPLAY", "")


def screen_started(screen: str) -> str:
    """The number of a display that was started. Fails where Xvfb is not installed: the tests need it."""
    program = shutil.which("Xvfb")
    assert program, "the window's tests need Xvfb: apt install xvfb"
    read, write = os.pipe()
    server = subprocess.Popen(
        [program, "-displayfd", str(write), "-screen", "0", screen, "-nolisten", "tcp"],
        pass_fds=(write,),
        preexec_fn=_end_with_us,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    _SERVERS.append(server)
    with os.fdopen(read) as told:
        number = told.readline().strip()
    assert number, f"Xvfb did not start ({server.poll()})"
    return number


def _end_with_us() -> None:
    """Has the kernel end a process when ours has ended, and not before: Qt wants its display to the last."""
    ctypes.CDLL(None).prctl(1, signal.SIGTERM)


display()  # before Qt is loaded, which looks for it once

from PySide6.QtCore import QEventLoop, QPoint, QSettings, QTimer  # noqa: E402  it needs the display
from PySide6.QtGui import QKeySequence  # noqa: E402
from PySide6.QtTest import QTest  # noqa: E402
from PySide6.QtWidgets import QWidget  # noqa: E402

from scrieve.viewer.window.opening import application  # noqa: E402
from scrieve.viewer.window.window import MainWindow  # noqa: E402

APPLICATION = application()


def wait(milliseconds: int) -> None:
    """Lets the window work for so long."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def until(met: Callable[[], object], what: str = "") -> None:
    """Lets the window work until this is so. Fails when that takes too long."""
    for _ in range(int(PATIENCE * 50)):
        if met():
            return
        wait(20)
    raise AssertionError(f"it never came about: {what or met}")


def opened(plan: Path, settings: Path) -> MainWindow:
    """A window on a plan, its boat read; flights take no time."""
    window = begun(plan, settings)
    until(lambda: window.hand.boat is not None or window.reading.why, "the plan is read")
    wait(30)
    return window


def begun(plan: Path, settings: Path) -> MainWindow:
    """A window on a plan that is still being read."""
    window = MainWindow(plan, QSettings(str(settings), QSettings.Format.IniFormat))
    window.canvas.camera.flight_time = 0
    window.building.coming, window.building.resting = 120, 60
    window.move(QPoint(0, 0))
    window.show()
    assert QTest.qWaitForWindowExposed(window)
    in_front(window)
    return window


def in_front(window: QWidget) -> None:
    """Gives the keys to a window."""
    window.raise_()
    window.activateWindow()
    until(window.isActiveWindow, "the window has the keys")


def shut(window: MainWindow) -> None:
    """Closes a window for good."""
    window.close()
    window.deleteLater()
    wait(10)


def copied(name: str, folder: Path) -> Path:
    """A demonstration boat of the test's own."""
    return Path(shutil.copytree(HULLS / name, folder / name))


def press(window: QWidget, key: str) -> None:
    """Presses keys as a hand would, on whatever has the focus."""
    combination = QKeySequence(key)[0]
    QTest.keyClick(window.focusWidget() or window, combination.key(), combination.keyboardModifiers())
    wait(20)


def states(window: MainWindow, state: str) -> set[str]:
    """The names of the bodies that are seen in this way."""
    scene = window.canvas.stage.scene
    return {body.name for n, body in enumerate(scene.bodies) if scene.state(n) == state}


def place_of(window: MainWindow, point: Sequence[float]) -> QPoint:
    """Where a point of the boat is in the picture."""
    camera, view = window.canvas.camera, window.canvas.view
    x, y = camera.view.seen([point], camera.aspect)[0]
    return QPoint(round(x * view.width()), round(y * view.height()))


@pytest.fixture(scope="module", name="faulty")
def faulty_window(tmp_path_factory: pytest.TempPathFactory) -> Iterator[MainWindow]:
    """A window on the skiff with faults, for all tests of a module; each begins with nothing in hand."""
    folder = tmp_path_factory.mktemp("faulty")
    window = opened(copied("skiff-with-faults", folder), folder / "window.ini")
    yield window
    shut(window)


@pytest.fixture(name="clean")
def clean_window(faulty: MainWindow) -> MainWindow:
    """The same with nothing in hand, the whole boat in sight."""
    faulty.building.stop()
    for _ in range(8):
        faulty.arranging.let_go()
    faulty.arranging.label(False)
    in_front(faulty)
    assert faulty.hand.boat is not None
    return faulty
