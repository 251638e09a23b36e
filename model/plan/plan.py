"""The plan: what a designer writes in `plan.toml`, typed and frozen, lengths in mm.

PlanFile    the file as it stands, table by table (`plan_tables`)
Plan        the same for the rest of the model, with the file and the lines of its keys
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator, Field, create_model

from scrieve.shared.findings import Source
from scrieve.shared.limits import LIMITS, Limit, Limits

from .label_reading import LabelReader
from .plan_keys import PlanKeys
from .plan_order import Before
from .plan_tables import (
    STEEPEST,
    BattenSpec,
    Build,
    CutSheetSpec,
    Cutter,
    Dowels,
    FrameNumber,
    FrameSpec,
    Heading,
    Layer,
    OrderSpec,
    Rake,
    ScrewSpec,
    Seen,
    Stock,
    StrongbackSpec,
    Units,
    Waiver,
    is_frame_number,
)
from .toml_fields import LengthFromZero, Named, Table, Text, number_kind, tables, wrong
from .toml_places import TomlPlaces

__all__ = [
    "STEEPEST",
    "BattenSpec",
    "Build",
    "CutSheetSpec",
    "Cutter",
    "Dowels",
    "FrameNumber",
    "FrameSpec",
    "Heading",
    "Layer",
    "OrderSpec",
    "Plan",
    "PlanFile",
    "Rake",
    "ScrewSpec",
    "Seen",
    "Stock",
    "StrongbackSpec",
    "Units",
    "Waiver",
    "is_frame_number",
]


class LimitsBase(Table):
    """What a plan sets of the limits; those it leaves out are None."""

    def in_force(self) -> Limits:
        """The defaults, with what the plan sets in their place; mm, or in the limit's own unit."""
        return Limits(self.model_dump(exclude_none=True))


def _whole(value: float) -> float:
    if value != int(value):
        raise wrong("a whole number is wanted")
    return value


def _up_to(most: float) -> Callable[[float], float]:
    def read(value: float) -> float:
        if value > most:
            raise wrong(f"a length of {most:g} mm at most is wanted")
        return value

    return read


def _limit_type(limit: Limit) -> Any:
    """How a limit is read: one in mm as a length, one in diameters, thicknesses or a count as a bare number."""
    if limit.unit == "mm":
        return LengthFromZero if limit.most == inf else Annotated[LengthFromZero, AfterValidator(_up_to(limit.most))]
    times = {
        "D": "a number of diameters",
        "T": "a number of thicknesses",
        "R/t": "a number of thicknesses",
    }.get(limit.unit, "a number")
    number: Any = Annotated[float, number_kind(f"{times}, 0 or more", least=0.0)]
    return number if limit.unit else Annotated[number, AfterValidator(_whole)]


_FIELDS: dict[str, Any] = {name: (_limit_type(limit) | None, None) for name, limit in LIMITS.items()}

if TYPE_CHECKING:  # the keys are known only when it runs
    LimitsTable = LimitsBase
else:
    LimitsTable = create_model("LimitsTable", __base__=LimitsBase, **_FIELDS)
"""`LimitsBase` with a key for each limit, so that the reader knows them by name and line."""


class PlanFile(Table):
    """`plan.toml` as it stands."""

    plan: Heading
    cutter: Cutter = Cutter.model_construct(diameter=0.0)
    stock: Named[Stock] = Field(default_factory=dict)
    strongback: StrongbackSpec | None = None
    dowels: Dowels = Dowels.model_construct()
    screws: Named[ScrewSpec] = Field(default_factory=dict)
    battens: Named[BattenSpec] = Field(default_factory=dict)
    layers: Named[Layer] = Field(default_factory=dict)
    labels: Named[Text] = Field(default_factory=dict)
    frames: Annotated[tuple[FrameSpec, ...], tables("[[frames]]", least=1)] = Field(default=(), validate_default=True)
    cut_sheets: Annotated[tuple[CutSheetSpec, ...], tables("[[cut_sheets]]")] = ()
    order: Annotated[tuple[OrderSpec, ...], tables("[[order]]")] = ()
    limits: LimitsTable = LimitsTable.model_construct()
    waivers: Annotated[tuple[Waiver, ...], tables("[[waivers]]")] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """A plan that has been read without a mistake. Tables by name are sorted by it, arrays as in the file.

    `file` is the plan file as the user wrote it, `folder` the one that its drawings are relative to. `contents` stand
    for those of its drawings that they are named by, in place of the files. `readings` are thicknesses of stocks, mm,
    that were given besides it and count in its `stock`.
    """

    file: Path
    folder: Path
    name: str
    units: Units
    seen: Seen
    build: Build
    cutter: Cutter
    stock: Mapping[str, Stock]
    strongback: StrongbackSpec | None
    dowels: Dowels
    screws: Mapping[str, ScrewSpec]
    battens: Mapping[str, BattenSpec]
    layers: Mapping[str, Layer]
    labels: Mapping[str, str]
    frames: tuple[FrameSpec, ...]
    cut_sheets: tuple[CutSheetSpec, ...]
    order: tuple[Before, ...]
    limits: Limits
    waivers: tuple[Waiver, ...]
    places: TomlPlaces
    contents: Mapping[str, bytes] = field(default_factory=dict)
    readings: Mapping[str, float] = field(default_factory=dict)

    @property
    def drawings(self) -> tuple[str, ...]:
        """The drawings that it names, of frames and cut sheets, each once."""
        frames, sheets = (spec.drawing for spec in self.frames), (spec.drawing for spec in self.cut_sheets)
        return tuple(dict.fromkeys((*frames, *sheets)))

    @property
    def sawn(self) -> frozenset[str]:
        """The stocks that no sheet is cut for: sawn timber, unless a cut sheet is of it and it does not deny that."""
        on_sheets = {spec.stock for spec in self.cut_sheets}
        return frozenset(
            name
            for name, stock in self.stock.items()
            if stock.is_sawn(name) and not (stock.sheets is None and name in on_sheets)
        )

    def seen_of(self, spec: FrameSpec) -> Seen:
        """How the drawing of a frame looks."""
        return spec.seen or self.seen

    def cutter_of(self, stock: str) -> float:
        """The diameter, mm, of the cutter that parts of a stock are cut with; 0 where they are sawn."""
        return 0.0 if stock in self.sawn or not self.cutter else self.cutter.diameter

    @property
    def label_reader(self) -> LabelReader:
        """What reads labels as this plan's designer writes them."""
        return LabelReader(numbers=tuple(spec.number for spec in self.frames), words=self.labels, boat=self.name)

    @property
    def keys(self) -> PlanKeys:
        """What makes edits of this plan's file."""
        return PlanKeys(file=self.file.name, unit=self.units, places=self.places)

    def line_of(self, *path: str | int) -> int:
        """The line of a key, such as ("frames", 3, "station"); where it is left out, that of the table around it."""
        return self.places.line_of(*path)

    def source_of(self, *path: str | int) -> Source:
        """The same as a source for findings, the file relative to the plan's folder."""
        return Source(file=self.file.name, line=self.line_of(*path))
