"""What an extra brings: whether it is there, whole, and loaded without a word of its own."""

from __future__ import annotations

import logging
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import chdir, contextmanager
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Literal

from scrieve.shared.errors import UseError

Extra = Literal["window", "export"]

_LIBRARIES = (
    "on Debian and Ubuntu apt install libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxcb-shape0 "
    "libxkbcommon-x11-0 libgl1 libegl1"
)


def have_extra(names: Iterable[str], *, verb: str, extra: Extra = "window", instead: str = "") -> None:
    """Raises UseError, in the name of `verb`, where packages are not installed; `instead` is what can be done."""
    missing = [name for name in names if not _found(name)]
    if missing:
        raise _not_installed(f"missing: {', '.join(missing)}", verb, extra, instead)


def package_folder(name: str) -> Path:
    """Where a package lies that is needed for its files alone: loading it would have it read its configuration.

    Raises ModuleNotFoundError where it is not installed.
    """
    spec = find_spec(name)
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError(f"No module named {name!r}", name=name)
    return Path(spec.origin).parent


@contextmanager
def from_extra(*, verb: str, extra: Extra = "window", instead: str = "") -> Iterator[None]:
    """Raises UseError, in the name of `verb`, where what is loaded meanwhile lacks a package, or a library."""
    try:
        if extra == "window":
            _quieten()
        yield
    except ImportError as error:
        name = error.name or ""
        if name.partition(".")[0] == "scrieve":
            raise
        if library := _library(str(error)):
            raise library_missing(library, verb) from error
        got = f"missing: {name}" if isinstance(error, ModuleNotFoundError) and name else f"broken: {name or error}"
        raise _not_installed(got, verb, extra, instead) from error


def library_missing(library: str, verb: str) -> UseError:
    """The error where the system lacks a library."""
    return UseError.at(f"a library of the system is missing: {_LIBRARIES} (got no {library})", path=verb)


def _not_installed(got: str, verb: str, extra: Extra, instead: str) -> UseError:
    tail = f"; {instead}" if instead else ""
    return UseError.at(f'needs more than is installed: pip install "scrieve[{extra}]" ({got}){tail}', path=verb)


def _found(name: str) -> bool:
    """Whether there is a package; an empty folder of its name is none."""
    spec = find_spec(name)
    return spec is not None and spec.origin is not None


def _library(words: str) -> str:
    """The library of the system that the words of an ImportError miss; empty where it is something else."""
    library, colon, why = words.partition(": ")
    return library if colon and ".so" in library and ("shared object" in why or "file too short" in why) else ""


def _quieten() -> None:
    """What libraries tell of caches and fonts is nothing to whoever looks at a boat, nor is how others draw charts.

    pyvista loads matplotlib, which reads `matplotlibrc` from the working folder meanwhile: so it is loaded from another
    one. Its list of fonts goes into a cache folder of ours, where that can be written to.
    """
    logging.getLogger("matplotlib").addHandler(logging.NullHandler())
    if "matplotlib" in sys.modules:
        return
    os.environ["MPLBACKEND"] = "agg"
    os.environ.pop("MATPLOTLIBRC", None)
    cache = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    if os.path.isabs(cache):
        os.environ["MPLCONFIGDIR"] = os.path.join(cache, "scrieve", "matplotlib")
    with chdir(Path(__file__).parent):
        import_module("matplotlib")
