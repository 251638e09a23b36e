"""Makes the pictures of the window anew: the real window, brought by its keys to each of its main states.

python tests/make_window_pictures.py        writes hulls/pictures/window-*.png
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from make_pictures import FAULTY, SOUND, small
from PySide6.QtCore import QBuffer, QIODevice, Qt
from PySide6.QtTest import QTest
from window_making import HULLS, opened, place_of, press, shut, until, wait

from scrieve.viewer.window.window import MainWindow

SIZE = (1240, 780)
COLOURS = 224
"""of a picture; more than of others, for the small coloured signs in it."""


def whole(window: MainWindow) -> None:
    """A boat with findings, as it opens."""


def finding(window: MainWindow) -> None:
    """A finding in hand: two screws that foul each other."""
    window.finding_walk.take(first(window, "screw-foul"))


def build(window: MainWindow) -> None:
    """A step of the build order, half way."""
    step = next(s.number for s in window.hand.boat.steps if (s.frame, s.kind) == ("6", "plates"))
    window.building.take(step)
    window.building.move_to(0.5)


def spread(window: MainWindow) -> None:
    """One frame drawn apart along its normal, with labels."""
    for _ in range(5):
        press(window, "Right")
    press(window, "O")
    press(window, "S")
    press(window, "L")


def part(window: MainWindow) -> None:
    """A part that was clicked, with its card, the other frames faded."""
    press(window, "F")
    click(window, "F4 floor")


def cut(window: MainWindow) -> None:
    """The boat cut open, seen from abaft."""
    press(window, "C")
    press(window, "1")


def measure(window: MainWindow) -> None:
    """The distance between two corners."""
    window.frames.take("4")
    press(window, "O")
    press(window, "M")
    wait(200)
    click(window, "F4 port side")
    click(window, "F4 starboard side")


def keys(window: MainWindow) -> None:
    """The page of keys."""
    press(window, "F1")


STATES: dict[str, tuple[Path, Callable[[MainWindow], None]]] = {
    "window": (FAULTY, whole),
    "window-finding": (FAULTY, finding),
    "window-build": (SOUND, build),
    "window-spread": (SOUND, spread),
    "window-part": (SOUND, part),
    "window-cut": (SOUND, cut),
    "window-measure": (SOUND, measure),
    "window-keys": (SOUND, keys),
}


def first(window: MainWindow, check: str) -> int:
    """The place of the first finding of a check."""
    return next(n for n, found in enumerate(window.hand.boat.findings) if found.check == check)


def click(window: MainWindow, name: str) -> None:
    """Clicks on a body, in the middle of what is seen of it."""
    wait(300)
    scene = window.canvas.stage.scene
    body = scene.number[name]
    points = window.canvas.stage.scene.points_of([body])
    for point in [points.mean(axis=0), *points[:: max(1, len(points) // 40)]]:
        place = place_of(window, point)
        picked = window.canvas.pick(place.toPointF())
        if picked is not None and picked.body == body:
            QTest.mouseClick(window.canvas.view, Qt.MouseButton.LeftButton, pos=place)
            return
    raise AssertionError(f"nothing is seen of {name}")


def shot(window: MainWindow) -> bytes:
    """What the screen shows of a window, as PNG."""
    until(lambda: not window.canvas.hurries and not window.canvas.camera.flying, "the picture rests")
    wait(700)
    stream = QBuffer()
    stream.open(QIODevice.OpenModeFlag.WriteOnly)
    window.screen().grabWindow(0, 0, 0, *SIZE).save(stream, "PNG")
    return bytes(stream.data().data())


def make(to: Path, names: tuple[str, ...] = tuple(STATES)) -> list[Path]:
    """The pictures of these states."""
    to.mkdir(exist_ok=True)
    made = []
    for name in names:
        plan, bring = STATES[name]
        with TemporaryDirectory() as folder:
            window = opened(plan, Path(folder) / "window.ini")
            window.resize(*SIZE)
            wait(300)
            press(window, "0")
            bring(window)
            place = to / f"{name}.png"
            place.write_bytes(small(shot(window), COLOURS))
            shut(window)
            made.append(place)
    return made


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else HULLS / "pictures", tuple(sys.argv[2:]) or tuple(STATES))
