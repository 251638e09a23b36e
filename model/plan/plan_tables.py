"""The tables of a plan, one class each: typed, frozen, lengths in mm. `plan` puts them together.

A field with a description may stand in the file as "", still to be filled in: the description says what is wanted.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from contextlib import suppress
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from scrieve.shared.screw_table import ScrewSize, gauges, screw_of_diameter, screw_of_gauge
from scrieve.shared.sheet_bands import SHEET_STANDARDS, SheetStandard, usual_standard

from .check_names import check_names
from .plan_place import InsidePath
from .toml_fields import (
    Day,
    FileContext,
    Length,
    LengthFromZero,
    Name,
    PositiveLength,
    Table,
    Text,
    list_of,
    named_in,
    number_kind,
    one_of,
    read_mm,
    reading,
    wrong,
)

Units: TypeAlias = Literal["mm", "cm", "m", "in", "ft"]
Seen: TypeAlias = Literal["from aft", "from forward"]
Build: TypeAlias = Literal["upright", "inverted"]
Standard: TypeAlias = Literal["EN 315", "BS 1088", "PS 1", "PS 1 sanded"]

MEASURED_REACH = 0.3
"""share of the nominal thickness by which a measured one may differ. Twice and more what EN 315 and US PS 1 allow."""

STEEPEST = 60.0
"""degrees; a frame raked more is no frame."""

LIGHTEST, HEAVIEST = 20.0, 3000.0
"""kg/m3; sheet stock lies between foam and anything a hull is made of: a guard against g/cm3."""

MOST_LAYERS = 50
"""of a batten; more are veneers, and a slip of the pen here."""

THINNEST_SCREW, THICKEST_SCREW = 1.0, 20.0
"""mm; the shanks for which a head can be scaled from the table."""


class Heading(Table):
    """`[plan]`: the boat's name, the units of bare numbers, how drawings look, which way up it is built."""

    name: Name
    units: Units
    seen: Seen
    build: Build = "upright"


class Cutter(Table):
    """`[cutter]`: the diameter of the largest cutter, mm; 0 where the plan names none, and corners stay as drawn."""

    diameter: PositiveLength


_SHEET = re.compile("ply|mdf|sheet|board", re.IGNORECASE)
_WOOD = re.compile(
    "fir|pine|spruce|larch|cedar|hemlock|cypress|redwood|oak|ash|elm|teak|iroko|sapele|mahogany|timber|lumber|sawn|solid",
    re.IGNORECASE,
)
"""Woods that boats' frames are sawn from, and words for sawn wood. Common practice, no source."""


class Stock(Table):
    """`[stock.NAME]`: sheet stock, or sawn timber. Lengths mm, `density` kg/m3, 0 where it is not known.

    `sheets` says whether its parts are cut from sheets; None leaves that to the name. `standard` is the one that it is
    sold under; None leaves that to its thickness.
    """

    thickness: PositiveLength = Field(description="how thick the sheets of {name} are, in {units}")
    measured: PositiveLength | None = None
    standard: Standard | None = None
    size: Annotated[tuple[PositiveLength, PositiveLength], list_of(2, "two lengths, [long, wide],")] | None = None
    density: Annotated[float, number_kind("a density in kg/m3", least=0.0, most=HEAVIEST)] = 0.0
    sheets: bool | None = None

    def is_sawn(self, name: str) -> bool:
        """Whether this stock, of that name, is sawn timber: as it says itself, else by a wood in its name."""
        if self.sheets is not None:
            return not self.sheets
        return bool(_WOOD.search(name)) and not _SHEET.search(name)

    @property
    def real_thickness(self) -> float:
        """What a part of this stock is thick: as measured, else nominal, mm."""
        return self.thickness if self.measured is None else self.measured

    @property
    def sold_under(self) -> SheetStandard:
        """The standard whose band it may be thick within."""
        return usual_standard(self.thickness) if self.standard is None else SHEET_STANDARDS[self.standard]

    @field_validator("measured")
    @classmethod
    def _near_nominal(cls, value: float | None, info: ValidationInfo) -> float | None:
        nominal = info.data.get("thickness")
        if value is not None and nominal is not None and abs(value - nominal) > MEASURED_REACH * nominal:
            raise wrong(f"within {MEASURED_REACH:.0%} of the thickness, {nominal:.4g} mm, is wanted")
        return value

    @field_validator("density")
    @classmethod
    def _a_solid(cls, value: float) -> float:
        if 0 < value < LIGHTEST:
            raise wrong(f"a density in kg/m3, from {LIGHTEST:g} to {HEAVIEST:g}, is wanted")
        return value


class StrongbackSpec(Table):
    """`[strongback]`: `rail` is (width, depth) of each rail, `start` and `end` (`from` and `to`) are along x, mm."""

    inside_width: PositiveLength = Field(description="how far apart the inner faces of the two rails are, in {units}")
    rail: Annotated[tuple[PositiveLength, PositiveLength], list_of(2, "two lengths, [width, depth],")] = Field(
        description="the section of the rails, [width, depth] in {units}"
    )
    start: Length = Field(alias="from", description="where the rails begin, in {units} along the boat")
    end: Length = Field(alias="to", description="where the rails end, in {units} along the boat")

    @field_validator("end")
    @classmethod
    def _forward_of_start(cls, value: float, info: ValidationInfo) -> float:
        start = info.data.get("start")
        if start is not None and value <= start:
            raise wrong(f"a place forward of `from`, {start:g} mm, is wanted")
        return value


class Dowels(Table):
    """`[dowels]`: the diameter of the assembly board's dowels, 10 where the plan names none, and the board's size, mm.

    `board` is (length, width), laid either way round.
    """

    diameter: PositiveLength = 10.0
    board: Annotated[tuple[PositiveLength, PositiveLength], list_of(2, "two lengths, [length, width],")] | None = None


def _gauge(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int) or value not in gauges():
        raise wrong(f"one of the gauges {', '.join(str(gauge) for gauge in gauges())} is wanted")
    return value


def _screw_size(gauge: int | None, diameter: float | None, length: float) -> ScrewSize:
    if gauge is not None:
        return screw_of_gauge(gauge, length)
    if diameter is None:
        raise ValueError("a screw has a gauge or a diameter")
    return screw_of_diameter(diameter, length)


class ScrewSpec(Table):
    """`[screws.NAME]`: a wood screw by gauge or by the diameter of its shank; `length` over all, mm."""

    gauge: Annotated[int, BeforeValidator(_gauge)] | None = None
    diameter: PositiveLength | None = Field(
        default=None,
        validate_default=True,
        description="how thick the shank of the screws {name} is, in {units}, or gauge = 8, say, in its place",
    )
    length: PositiveLength = Field(description='how long the screws {name} are, head included: "3/4 in", or in {units}')
    head: Literal["countersunk"] = "countersunk"

    @property
    def size(self) -> ScrewSize:
        """The screw's measures from the table."""
        return _screw_size(self.gauge, self.diameter, self.length)

    @field_validator("diameter")
    @classmethod
    def _one_of_two(cls, value: float | None, info: ValidationInfo) -> float | None:
        if "gauge" not in info.data:  # refused already
            return value
        gauge = info.data["gauge"]
        if value is None and gauge is None:
            raise wrong("a gauge or a diameter is wanted", keys=("gauge", "diameter"))
        if value is not None and gauge is not None:
            raise wrong("either a gauge or a diameter is wanted, not both")
        if value is not None and not THINNEST_SCREW <= value <= THICKEST_SCREW:
            raise wrong(f"a diameter from {THINNEST_SCREW:g} to {THICKEST_SCREW:g} mm is wanted")
        return value

    @field_validator("length")
    @classmethod
    def _longer_than_head(cls, value: float, info: ValidationInfo) -> float:
        if info.data.get("gauge") is None and info.data.get("diameter") is None:
            return value
        head = _screw_size(info.data.get("gauge"), info.data.get("diameter"), value).head_height
        if value <= head:
            raise wrong(f"more than the height of the head, {head:.2f} mm, is wanted")
        return value


def _layers(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_LAYERS:
        raise wrong(f"a whole number of layers, 1 to {MOST_LAYERS}, is wanted")
    return value


def is_frame_number(value: object) -> bool:
    """Whether this can be a frame's number: text, fit for a file's name, or a whole number."""
    if isinstance(value, str):
        return 0 < len(value) <= 16 and value[0].isalnum() and all(c.isalnum() or c in "-_." for c in value)
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 10_000


def _number(value: object) -> object:
    if not is_frame_number(value):
        raise wrong('a frame\'s number is wanted, such as "5" or "5A": up to 16 letters, digits and - _ .')
    return str(value)


FrameNumber = Annotated[str, BeforeValidator(_number)]
"""A frame's number as text; those who leave the quotes out are understood."""


class BattenSpec(Table):
    """`[battens.NAME]`: `section` is (long, short) of the rectangle, `arris` the radius of its eased edges, mm.

    It is glued up in place of so many `layers` across its short side. `bend` is the least radius its
    stock takes over its thickness, 0 where that is not known. `frames` are the first and the last that it runs
    through where its sections are not drawn; without, those in which it is found.
    """

    section: Annotated[tuple[PositiveLength, PositiveLength], list_of(2, "two lengths, [long side, short side],")] = (
        Field(description="the section of the batten {name}, [long side, short side] in {units}")
    )
    arris: LengthFromZero = Field(
        default=0.0, description="the radius that the edges of the batten {name} are eased by, in {units}; 0 is square"
    )
    sides: Literal["both", "centre", "port", "starboard"]
    layers: Annotated[int, BeforeValidator(_layers)] = 1
    bend: Annotated[float, number_kind("a number of thicknesses, 0 or more", least=0.0)] = 0.0
    frames: Annotated[tuple[FrameNumber, FrameNumber], list_of(2, "two frames, [from, to],")] | None = None

    @field_validator("section")
    @classmethod
    def _long_first(cls, value: tuple[float, float]) -> tuple[float, float]:
        if value[0] < value[1]:
            raise wrong(
                f"the long side first, then the short one, is wanted, and {value[0]:g} mm is less than {value[1]:g} mm"
            )
        return value

    @field_validator("arris")
    @classmethod
    def _within_section(cls, value: float, info: ValidationInfo) -> float:
        if "section" in info.data and value > info.data["section"][1] / 2:
            raise wrong(f"at most half the short side, {info.data['section'][1] / 2:g} mm, is wanted")
        return value


def _only_on(*makes: str, wanted: bool) -> Callable[[Any, ValidationInfo], Any]:
    """A rule for a layer's key: nowhere but on layers that make one of these; there, `wanted` or not."""

    def rule(value: Any, info: ValidationInfo) -> Any:
        made = info.data.get("makes")  # missing where it has been refused already
        if made in makes and value is None and wanted:
            raise wrong(f'missing: a layer with makes = "{made}" wants {info.field_name}')
        if made is not None and made not in makes and value is not None:
            those = " or ".join(f'"{each}"' for each in makes)
            raise wrong(f'only a layer with makes = {those} has this key, not one with "{made}"')
        return value

    return rule


def _thickest(context: FileContext) -> float:
    """What the thickest stock of the file measures, mm, as far as it can be read; 0 where it has none."""
    stock = context.content.get("stock")
    found = [0.0]
    for sheet in stock.values() if isinstance(stock, dict) else ():
        if isinstance(sheet, dict):
            with suppress(PydanticCustomError):
                found.append(read_mm(sheet.get("measured", sheet.get("thickness")), context.units))
    return max(found)


class Layer(Table):
    """`[layers]`: what the objects on a layer of the drawings are; by what it `makes`, more is given or not.

    A part: `face`, `stock` and perhaps `role`. A screw: `screw` and `driven_from`. A pocket: the `face` that it is cut
    into, and its `depth`, mm. The others: nothing.
    """

    makes: Literal["part", "screw", "batten", "dowel", "label", "reference", "pocket"]
    face: Annotated[
        Literal["core", "forward", "aft", "both"] | None, AfterValidator(_only_on("part", "pocket", wanted=True))
    ] = Field(default=None, validate_default=True)
    stock: Annotated[Annotated[str, named_in("stock")] | None, AfterValidator(_only_on("part", wanted=True))] = Field(
        default=None, validate_default=True
    )
    role: Annotated[Literal["gusset", "leg"] | None, AfterValidator(_only_on("part", wanted=False))] = None
    screw: Annotated[Annotated[str, named_in("screws")] | None, AfterValidator(_only_on("screw", wanted=True))] = Field(
        default=None, validate_default=True
    )
    driven_from: Annotated[Literal["forward", "aft"] | None, AfterValidator(_only_on("screw", wanted=True))] = Field(
        default=None, validate_default=True
    )
    depth: Annotated[PositiveLength | None, AfterValidator(_only_on("pocket", wanted=True))] = Field(
        default=None, validate_default=True
    )

    @field_validator("face")
    @classmethod
    def _pockets_are_cut_into_a_face(cls, value: str | None, info: ValidationInfo) -> str | None:
        if info.data.get("makes") == "pocket" and value in ("core", "both"):
            raise wrong('for a pocket face = "forward" or "aft", the one it is cut into, is wanted')
        return value

    @field_validator("depth")
    @classmethod
    def _less_than_a_sheet(cls, value: float | None, info: ValidationInfo) -> float | None:
        thickest = _thickest(reading(info))
        if value is not None and 0.0 < thickest <= value:
            raise wrong(f"less than the thickest stock, {thickest:.4g} mm, is wanted")
        return value

    @field_validator("role")
    @classmethod
    def _gussets_lie_on_faces(cls, value: str | None, info: ValidationInfo) -> str | None:
        if value == "gusset" and info.data.get("face") == "core":
            raise wrong('a gusset on face = "forward", "aft" or "both" is wanted, not in the core')
        return value


Rake = Annotated[
    float, number_kind(f"an angle from -{STEEPEST:g} to {STEEPEST:g} degrees", least=-STEEPEST, most=STEEPEST)
]
"""Degrees from square to the datum plane; positive: the top leans aft."""


def _window(value: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    left, bottom, right, top = value
    if left >= right or bottom >= top:
        raise wrong("a window [left, bottom, right, top] with right > left and top > bottom is wanted")
    return value


_Window = Annotated[
    tuple[Length, Length, Length, Length],
    list_of(4, "four lengths, [left, bottom, right, top],"),
    AfterValidator(_window),
]


def _about_centreline(value: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    left, _, right, _ = value
    if not left <= 0 <= right:
        raise wrong("a window that holds the frame's own centreline is wanted: it counts from `origin`, which is on it")
    return value


class FrameSpec(Table):
    """`[[frames]]`: a frame, where it stands and where it is drawn. Lengths mm.

    `origin` (u, v) is where the centreline meets the datum line in the drawing, `extent`
    (u0, v0, u1, v1) a window of it relative to `origin`, which holds the centreline. `seen` is None where it looks
    as the plan says that its drawings do. `rake` is in degrees; positive: the top leans aft.
    """

    number: FrameNumber
    station: Length = Field(description="where frame {number} stands, in {units} forward of x = 0")
    station_at: Literal["aft face", "forward face", "middle"] = Field(
        default="aft face",
        description='what of the core of frame {number} stands there: "aft face", "forward face" or "middle"',
    )
    drawing: InsidePath
    origin: Annotated[tuple[Length, Length], list_of(2, "two lengths, [u, v],")] = (0.0, 0.0)
    extent: Annotated[_Window, AfterValidator(_about_centreline)] | None = None
    mirror: bool = False
    seen: Seen | None = None
    kind: Literal["ring", "open", "transom", "bulkhead"] | None = None
    rake: Rake = Field(
        default=0.0,
        description="the rake of frame {number} in degrees: 0 is upright, more leans its top aft",
    )

    @property
    def rake_radians(self) -> float:
        """The rake in radians, as the model takes it."""
        return math.radians(self.rake)


class CutSheetSpec(Table):
    """`[[cut_sheets]]`: a drawing of one sheet, ready to send to the machine, and the stock it is cut from.

    `extent` (u0, v0, u1, v1) is a window of the drawing, mm in its own axes, where more is drawn in it.
    """

    drawing: InsidePath
    stock: Annotated[str, named_in("stock")]
    extent: _Window | None = None


class Waiver(Table):
    """`[[waivers]]`: a finding that is accepted, and why; past the day `until` it counts again."""

    check: Annotated[str, one_of(check_names(), "check")]
    where: Text
    reason: Text
    until: Day | None = None


class OrderSpec(Table):
    """`[[order]]`: two parts of one frame, or two frames or battens: `first` is put on before `then`."""

    first: Text
    then: Text
