"""Whether pictures can be made here: the packages, and OpenGL. Nothing heavy is loaded to find out."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from importlib.util import find_spec
from types import TracebackType

from scrieve.shared.errors import UseError

WINDOW = "VTK_DEFAULT_OPENGL_WINDOW"
"""The name under which the renderer is told what to render into."""

NEEDED = ("pyvista", "vtkmodules", "PIL", "matplotlib")

_PATIENCE = 60.0  # seconds for a process that takes a third of one
_INSTEAD = "a frame or a finding can be drawn without, to a name ending in .svg"


def have_packages() -> None:
    """Raises UseError where the packages that make pictures are not installed."""
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        raise UseError.at(
            f'pictures need the extra "window": pip install "scrieve[window]" (there is no {missing[0]}); {_INSTEAD}'
        )


class Graphics:
    """Asks for OpenGL while other work goes on: begin it, and ask for the answer when it is needed.

    Used as a context, so that no process is left behind whatever happens in between.
    """

    def __init__(self) -> None:
        self._ways = iter(_ways())
        self._process: subprocess.Popen[bytes] | None = None
        self._way = ""

    def __enter__(self) -> Graphics:
        self._begin()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process is not None and self._process.poll() is None:
            self._process.kill()
            self._process.wait()

    def use(self) -> None:
        """Has this process render in the first way that works. Raises UseError where none does."""
        while self._process is not None:
            if self._ended_well():
                if self._way:
                    os.environ[WINDOW] = self._way
                return
            self._begin()
        raise UseError.at(f"pictures need OpenGL, which cannot be had here: {_cure()}; {_INSTEAD}")

    def _begin(self) -> None:
        self._process = None
        for way in self._ways:
            self._way = way
            environ = {**os.environ, WINDOW: way} if way else dict(os.environ)
            self._process = subprocess.Popen(
                _command(),
                env=environ,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
            return

    def _ended_well(self) -> bool:
        assert self._process is not None
        try:
            return self._process.wait(_PATIENCE) == 0
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
            return False


def _command() -> list[str]:
    return [sys.executable, "-m", f"{__package__}.probe"]


def _ways() -> Iterator[str]:
    """What to render into, in the order in which it is tried; "" leaves the choice to the renderer."""
    if os.environ.get(WINDOW) or not sys.platform.startswith("linux"):
        yield os.environ.get(WINDOW, "")
        return
    # without a window first: the same picture whether there is a screen or not
    yield "vtkEGLRenderWindow"
    if os.environ.get("DISPLAY"):
        yield "vtkXOpenGLRenderWindow"


def _cure() -> str:
    if os.environ.get(WINDOW):
        return f"{WINDOW} asks for {os.environ[WINDOW]}, which does not work; unset it"
    if sys.platform.startswith("linux"):
        return "install it (Debian: apt-get install libegl1 libgl1), no graphics card is needed"
    return "install a graphics driver with OpenGL 3.2 or later"
