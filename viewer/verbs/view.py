"""`scrieve view`: the window on one plan.

Nothing heavy is loaded here: first comes what could be missing, each told in one line, and then the window.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from scrieve.model.plan.plan_place import plan_file
from scrieve.shared.errors import UseError

from ..system.display import Display
from ..system.endings import Ending
from ..system.extra import from_extra, have_extra

_EXTRA = ("PySide6", "shiboken6", "vtkmodules", "pyvista", "pyvistaqt")
_VERB = "scrieve view"


def view(plan: Annotated[str, Parameter(help="The plan's folder, or its file.")], /) -> Ending:
    """The ending, after the window was closed.

    Raises PlanError for a folder without a plan and for a drawing, UseError where there is no such file, where the
    extra `window` is not installed, and where there is neither display nor OpenGL.
    """
    path = Path(plan)
    if not path.exists():
        raise UseError.at("is not there", path=plan)
    plan_file(path)
    have_extra(_EXTRA, verb=_VERB)
    with Display(_VERB) as display, from_extra(verb=_VERB):
        opening = import_module("..window.opening", __package__)
        display.require()
        ending: Ending = opening.open_window(path, _VERB, display.leave)
    return ending
