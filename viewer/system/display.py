"""Whether a window can be opened: asked of a process of its own, since a wrong answer is an abort, or none for ever."""

from __future__ import annotations

import ctypes
import os
import re
import sys
from collections.abc import Collection, Mapping
from importlib.util import find_spec
from pathlib import Path

from scrieve.shared.errors import UseError

from .extra import library_missing
from .probe import Answer, Probe

LEAST_GL = (3, 2)
"""The OpenGL that the kernel of the scene needs."""

PATIENCE = 15.0
"""seconds, once its libraries are loaded, for a display that answers in a third of one."""

_NO_WINDOW = ("offscreen", "minimal", "minimalegl", "vnc", "linuxfb", "vkkhrdisplay", "eglfs")
"""Platforms of Qt that have no window for the scene."""

_DISPLAYS = {"wayland": "WAYLAND_DISPLAY", "xcb": "DISPLAY"}
"""Those of Linux that have, each with what names its display in the environment."""

_PICTURE = "`scrieve picture` needs none"


class Display:
    """Asks while other work goes on: begin it, and ask for the answer when it is needed.

    Used as a context. What is asked stays connected to the display until it is left, and whoever asks must be
    connected before: some servers begin anew when their last client goes, and the next meets nobody.
    """

    def __init__(self, verb: str, environ: Mapping[str, str] = os.environ) -> None:
        """Raises UseError, in the name of `verb`, where it is plain that there is no display."""
        self._verb, self._environ = verb, environ
        if sys.platform.startswith("linux") and not _displays(environ) and not _platforms(environ):
            raise UseError.at(_NO_DISPLAY, path=verb)
        self._probe = Probe("scrieve.viewer.window.probe", environ)

    def __enter__(self) -> Display:
        self._probe.__enter__()
        return self

    def __exit__(self, *_: object) -> None:
        self.leave()

    def leave(self) -> None:
        """Ends what was asked; more often than once does nothing."""
        self._probe.end()

    def require(self) -> None:
        """Raises UseError where no window can be opened that shows the scene: why, and the cure."""
        answer = self._probe.answer(PATIENCE)
        platform = answer.lines[0] if answer.lines else ""
        if platform in _NO_WINDOW:
            raise UseError.at(_unset(self._environ, platform), path=self._verb)
        if not platform:
            raise self._none(answer)
        version = tuple(int(number) for number in re.findall(r"\d+", "".join(answer.lines[1:2])))
        if version < LEAST_GL:
            got = "version {}.{}".format(*version) if len(version) == 2 else _instead_of_gl(answer)
            raise UseError.at(
                "the display has no OpenGL 3.2: on Debian and Ubuntu apt install libgl1 libgl1-mesa-dri, "
                f"or draw off-screen with `scrieve picture` (got {got})",
                path=self._verb,
            )

    def _none(self, answer: Answer) -> UseError:
        """Why there is not even a display."""
        platforms = _platforms(self._environ)
        displays = _displays(self._environ, platforms)
        if not sys.platform.startswith("linux"):
            return UseError.at(f"no window can be opened here ({_PICTURE})", path=self._verb)
        if platforms and not displays and (_displays(self._environ) or not {*platforms} & {*_DISPLAYS}):
            return UseError.at(_unset(self._environ), path=self._verb)
        if not displays:
            return UseError.at(_NO_DISPLAY, path=self._verb)
        if answer.ending is not None and (library := missing_library()):
            return library_missing(library, self._verb)
        names = " and ".join(display.partition("=")[0] for display in displays)
        return UseError.at(
            f"the display does not answer: check {names} and who may use it ({_PICTURE}) (got {', '.join(displays)})",
            path=self._verb,
        )


_NO_DISPLAY = f"there is no display to open a window on: run it in a desktop session, or under xvfb-run ({_PICTURE})"


def missing_library() -> str:
    """A library of the system that Qt needs for a window on X11 and cannot load; empty where there are all."""
    for library in (_platform_plugin(), "libGL.so.1"):
        try:
            ctypes.CDLL(library)
        except OSError as error:
            return str(error).partition(":")[0]
    return ""


def _displays(environ: Mapping[str, str], platforms: Collection[str] = ()) -> list[str]:
    """The displays that the environment names, as it names them; for these platforms alone, if there are any."""
    names = [name for platform, name in _DISPLAYS.items() if not platforms or platform in platforms]
    return [f"{name}={environ[name]}" for name in names if environ.get(name)]


def _platforms(environ: Mapping[str, str]) -> list[str]:
    """The names in QT_QPA_PLATFORM, which Qt tries one after the other, without what follows their colon."""
    names = environ.get("QT_QPA_PLATFORM", "").split(";")
    return [name.partition(":")[0].strip().lower().removesuffix("-egl") for name in names if name.strip()]


def _unset(environ: Mapping[str, str], platform: str = "") -> str:
    named = environ.get("QT_QPA_PLATFORM", platform)
    return f"a window cannot be opened on QT_QPA_PLATFORM={named}: unset it"


def _instead_of_gl(answer: Answer) -> str:
    """What there was in place of a version."""
    if answer.ending is not None and answer.ending < 0:
        return "a crash"
    return "none" if len(answer.lines) > 1 else "no answer"


def _platform_plugin() -> str:
    """Where Qt has what it shows windows with on X11."""
    spec = find_spec("PySide6")
    folders = () if spec is None or spec.submodule_search_locations is None else spec.submodule_search_locations
    for folder in folders:
        for plugin in sorted(Path(folder).glob("**/plugins/platforms/libqxcb.so")):
            return str(plugin)
    return "libxcb.so.1"
