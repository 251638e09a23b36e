"""Run as a process: renders a few points off-screen, and ends well if that can be done here.

What cannot be done here often ends in a segmentation fault, which must not be the end of anybody else.
"""

from __future__ import annotations

import os
import sys
from importlib import import_module
from typing import Any

from .graphics import NOT_LOADED, RENDERER, RENDERS


def loaded() -> Any:
    """The module of what renders, its factories told of OpenGL; None where that is not installed."""
    try:
        import_module(RENDERER)
        return import_module("vtkmodules.vtkRenderingCore")
    except ImportError:
        return None


def main() -> int:
    """0 if there is OpenGL; the process may not live to say anything else."""
    core = loaded()
    if core is None:
        return NOT_LOADED
    window = core.vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetSize(16, 16)
    window.AddRenderer(core.vtkRenderer())
    window.Render()
    if not window.SupportsOpenGL():
        return 1
    sys.stdout.write("\n".join(RENDERS.lines) + "\n")
    sys.stdout.flush()
    return 0


if __name__ == "__main__":
    os._exit(main())  # what may go wrong in ending is of no interest
