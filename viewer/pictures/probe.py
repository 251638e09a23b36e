"""Run as a process: renders a few points off-screen, and ends well if that can be done here.

What cannot be done here often ends in a segmentation fault, which must not be the end of anybody else.
"""

from __future__ import annotations

import sys

import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  # makes what renders known to the factories
from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow


def main() -> int:
    """0 if there is OpenGL; the process may not live to say anything else."""
    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetSize(16, 16)
    window.AddRenderer(vtkRenderer())
    window.Render()
    return 0 if window.SupportsOpenGL() else 1


if __name__ == "__main__":
    sys.exit(main())
