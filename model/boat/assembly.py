"""The assembly: every solid of the boat in its place, and what the checks need to know of the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Source
from scrieve.shared.limits import Limits

from ..plan.label_reading import LabelReader
from ..plan.plan import Plan, Waiver
from ..plan.plan_keys import PlanKeys
from ..plan.plan_order import Before
from .batten import Batten
from .cut_sheet import CutSheet
from .defect import Defect
from .exclusion import Exclusion
from .frame import Frame
from .part import Part
from .strongback import Strongback


@dataclass(frozen=True, kw_only=True, eq=False)
class Assembly:
    """A boat, set up. `frames` are sorted forward by station, `battens` by name.

    `defects` are those that belong to no frame. `source` is the plan file. `order` is what the plan
    wants to be put on before what. `board` is the assembly board's size and `dowel_diameter` that of its dowels,
    mm, as far as the plan names them. `sheets` are the cut sheets, as the plan lists them; `sawn` are the stocks that
    come from no sheet.
    `waivers` are the findings that the plan accepts.
    `excluded` is what the checks leave out, what is wrong with it having been said. `label_reader` reads labels as
    the plan's designer writes them, `keys` makes edits of the plan's own file.
    `plan` is what it was set up from, and `edited` sets it up again from its plan and drawings with edits made to these
    in memory; neither goes along to another process.
    """

    name: str
    build: Literal["upright", "inverted"]
    cutter_diameter: float
    frames: tuple[Frame, ...]
    battens: tuple[Batten, ...]
    strongback: Strongback | None
    limits: Limits
    defects: tuple[Defect, ...]
    source: Source
    order: tuple[Before, ...] = ()
    board: tuple[float, float] | None = None
    dowel_diameter: float | None = None
    sheets: tuple[CutSheet, ...] = ()
    sawn: frozenset[str] = frozenset()
    excluded: tuple[Exclusion, ...] = ()
    waivers: tuple[Waiver, ...] = ()
    label_reader: LabelReader = field(default_factory=LabelReader)
    keys: PlanKeys = field(default_factory=PlanKeys)
    plan: Plan | None = None
    edited: Callable[[Sequence[Edit]], Assembly] | None = None

    def __getstate__(self) -> dict[str, object]:
        """What goes along to another process."""
        return self.__dict__ | {"plan": None, "edited": None}

    def cutter_of(self, part: Part) -> float:
        """The diameter, mm, of the cutter that a part is cut with; 0 where it is sawn."""
        return 0.0 if part.stock in self.sawn else self.cutter_diameter

    def wanted_in(self, frame: Frame | None) -> tuple[tuple[str, str], ...]:
        """What the plan wants before what, by name: parts of a frame, or with None frames and battens."""
        number = frame.number if frame is not None else ""
        return tuple((wish.first, wish.then) for wish in self.order if wish.frame == number)

    def parts(self) -> Iterator[Part]:
        """Every part of every frame, frame by frame."""
        for frame in self.frames:
            yield from frame.parts
