"""Whether a window can be opened at all, found out before anything is loaded that ends the process if not."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Mapping
from importlib.util import find_spec
from pathlib import Path

from scrieve.shared.errors import UseError

_NO_WINDOW = ("offscreen", "minimal", "minimalegl", "vnc", "linuxfb", "vkkhrdisplay", "eglfs")
"""Platforms of Qt that have no window for the scene."""

_PICTURE = "`scrieve picture` needs none"


def ready_for_windows(verb: str, environ: Mapping[str, str] = os.environ) -> None:
    """Raises UseError, in the name of `verb`, where no window can be opened: what is missing, and the cure.

    On Linux alone: elsewhere there is always a display, or Qt itself says so and goes on.
    """
    if not sys.platform.startswith("linux"):
        return
    platform = environ.get("QT_QPA_PLATFORM", "").partition(":")[0]
    if platform in _NO_WINDOW:
        raise UseError.at(f"a window cannot be opened on QT_QPA_PLATFORM={platform}: unset it", path=verb)
    if _wayland(environ) and platform in ("", "wayland"):
        return
    display = environ.get("DISPLAY", "")
    if not display:
        raise UseError.at(
            f"there is no display to open a window on: run it in a desktop session, or under xvfb-run ({_PICTURE})",
            path=verb,
        )
    _libraries(verb)
    if not _answers(display):
        raise UseError.at(
            f"the display does not answer: check DISPLAY and who may use it ({_PICTURE}) (got DISPLAY={display})",
            path=verb,
        )


def _wayland(environ: Mapping[str, str]) -> bool:
    """Whether there is a Wayland display to connect to."""
    name = environ.get("WAYLAND_DISPLAY", "")
    return bool(name) and (Path(environ.get("XDG_RUNTIME_DIR", "")) / name).exists()


def _libraries(verb: str) -> None:
    """Loads what Qt needs of the system, which it would load itself, and end the process where it cannot."""
    for library in (_platform_plugin(), "libGL.so.1"):
        try:
            ctypes.CDLL(library)
        except OSError as error:
            missing = str(error).partition(":")[0]
            raise UseError.at(
                "a library of the system is missing: on Debian and Ubuntu apt install libxcb-cursor0 "
                f"libxcb-icccm4 libxcb-keysyms1 libxcb-shape0 libxkbcommon-x11-0 libgl1 libegl1 (got no {missing})",
                path=verb,
            ) from error


def _platform_plugin() -> str:
    """Where Qt has what it shows windows with on X11."""
    spec = find_spec("PySide6")
    folders = () if spec is None or spec.submodule_search_locations is None else spec.submodule_search_locations
    for folder in folders:
        for plugin in sorted(Path(folder).glob("**/plugins/platforms/libqxcb.so")):
            return str(plugin)
    return "libxcb.so.1"


def _answers(display: str) -> bool:
    """Whether the X server takes a connection.

    It stays open as long as the process: some servers begin anew when their last client goes, and Qt, which
    would be the next, meets nobody.
    """
    xcb = ctypes.CDLL("libxcb.so.1")
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connection_has_error.argtypes = [ctypes.c_void_p]
    return not xcb.xcb_connection_has_error(xcb.xcb_connect(display.encode(), None))
