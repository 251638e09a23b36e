"""The boat: plan file -> Plan -> Assembly (placed solids) -> findings. No screen in here.

`plan` reads a plan, `drawing` its drawings, `assemble` sets the frames up, `review` runs the checks of `checks`,
`sequence` works out the build order, `draft` makes a first plan from a table of offsets.

What `__all__` lists is public: a script or notebook may go by it. All else may move. Nothing is loaded before it is
asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scrieve.shared.errors import Mistake, ScrieveError
    from scrieve.shared.findings import Finding, Level, Measure, Source, Subject
    from scrieve.shared.marks import Arrow, Axis, Ghost, Line, Mark, Polyhedron, Prism, Region, Span

    from .boat.assembly import Assembly
    from .boat.batten import Batten
    from .boat.frame import Frame
    from .boat.part import Part
    from .boat.screw import Dowel, Screw
    from .front_door import check, open_plan

__all__ = [
    "Arrow",
    "Assembly",
    "Axis",
    "Batten",
    "Dowel",
    "Finding",
    "Frame",
    "Ghost",
    "Level",
    "Line",
    "Mark",
    "Measure",
    "Mistake",
    "Part",
    "Polyhedron",
    "Prism",
    "Region",
    "Screw",
    "ScrieveError",
    "Source",
    "Span",
    "Subject",
    "check",
    "open_plan",
]


_HOMES = (
    ".front_door",
    ".boat.assembly",
    ".boat.batten",
    ".boat.frame",
    ".boat.part",
    ".boat.screw",
    "scrieve.shared.errors",
    "scrieve.shared.findings",
    "scrieve.shared.marks",
)
"""Where the public names are looked for, in this order."""


def __getattr__(name: str) -> object:
    """A public name, its module loaded now."""
    if name in __all__:
        for module in (import_module(home, __name__) for home in _HOMES):
            if name in vars(module):
                return vars(module)[name]
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
