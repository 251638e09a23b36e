"""Whether pictures can be made here: the packages, and OpenGL. Nothing heavy is loaded to find out."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack
from importlib import import_module

from scrieve.shared.errors import UseError

from ..system.extra import from_extra, have_extra
from ..system.probe import Answer, Probe

WINDOW = "VTK_DEFAULT_OPENGL_WINDOW"
"""The name under which the renderer is told what to render into."""

RENDERER = "vtkmodules.vtkRenderingOpenGL2"
"""The module that makes what renders known; nothing is rendered by loading it."""

NOT_LOADED = 3
"""How the process that asks ends where it cannot even be loaded."""

RENDERS = Answer(lines=("it renders",), ending=0)
"""The answer of that process where it can be done; an ending of 0 alone, as a library may bring about, is none."""

NEEDED = ("pyvista", "vtkmodules", "PIL", "matplotlib")

PATIENCE = 60.0
"""seconds for a process that takes a third of one."""

_VERB = "scrieve picture"
_INSTEAD = "a frame or a finding can be drawn without, to a name ending in .svg"


def have_packages() -> None:
    """Raises UseError where the packages that make pictures are not installed."""
    have_extra(NEEDED, verb=_VERB, instead=_INSTEAD)


def rendering() -> AbstractContextManager[None]:
    """Raises UseError where what is loaded or rendered meanwhile wants a package that is not there."""
    return from_extra(verb=_VERB, instead=_INSTEAD)


class Graphics:
    """Asks for OpenGL while other work goes on: begin it, and ask for the answer when it is needed.

    Used as a context, so that no process is left behind whatever happens in between.
    """

    def __init__(self) -> None:
        self._ways = iter(_ways())
        self._probe: Probe | None = None
        self._way = ""
        self._left = ExitStack()

    def __enter__(self) -> Graphics:
        self._begin()
        return self

    def __exit__(self, *_: object) -> None:
        self._left.close()

    def use(self) -> None:
        """Has this process render in the first way that works. Raises UseError where none does."""
        while self._probe is not None:
            answer = self._probe.answer(PATIENCE)
            self._left.close()
            if answer.ending == NOT_LOADED:
                with rendering():
                    import_module(RENDERER)
            if answer == RENDERS:
                if self._way:
                    os.environ[WINDOW] = self._way
                return
            self._begin()
        raise UseError.at(f"pictures need OpenGL, which cannot be had here: {_cure()}; {_INSTEAD}")

    def _begin(self) -> None:
        self._probe = None
        for way in self._ways:
            self._way = way
            environ = {**os.environ, WINDOW: way} if way else os.environ
            self._probe = self._left.enter_context(Probe(f"{__package__}.probe", environ))
            return


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
