"""`scrieve view`: the window on one plan.

Nothing heavy is loaded here: first comes what could be missing, each told in one line, and then the window.
"""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from scrieve.shared.errors import UseError

from .display import ready_for_windows
from .endings import Ending

_EXTRA = ("PySide6", "vtkmodules", "pyvista", "pyvistaqt")
_VERB = "scrieve view"


def view(plan: Annotated[str, Parameter(help="The plan's folder, or its file.")], /) -> Ending:
    """The ending, after the window was closed.

    Raises UseError where there is no such plan, where the extra `window` is not installed, and where there is
    neither display nor OpenGL.
    """
    path = Path(plan)
    if not path.exists():
        raise UseError.at("is not there", path=plan)
    missing = [name for name in _EXTRA if find_spec(name) is None]
    if missing:
        raise UseError.at(
            f'the window needs more than is installed: pip install "scrieve[window]" (missing: {", ".join(missing)})',
            path=_VERB,
        )
    ready_for_windows(_VERB)
    package = __name__.rpartition(".")[0]
    ending: Ending = import_module(f"{package}.window.opening").open_window(path, _VERB)
    return ending
