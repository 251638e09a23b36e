"""One frame worked out: everything its drawing shows. (y, v), mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from scrieve.shared.limits import LIMITS

from ..boat.batten import Batten
from ..geometry.outline import Outline
from ..geometry.placement import Placement
from ..proposals.screws.screw_layout import ScrewPlace, Sheet, screw_layout
from .cut_outs import notch
from .frame_lines import FrameLines
from .gussets import Gusset, gussets
from .legs import LegSetting, leg
from .lines import FrameLine, LinesFile
from .members import Member, core_circles, members
from .refusal import ARM, BEAM, FLOOR, SIDE, DraftRefused, Knob, noted
from .shape import Circle, largest, outline_of
from .stringers import Stringer, StringerSection

LONG = "screws.gusset.length"
StationAt = Literal["aft face", "forward face"]

CORE, GUSSETS, GUSSETS_FORWARD = "CORE", "GUSSETS", "GUSSETS FWD"
LEG_INNER, LEG_OUTER = "LEG INNER", "LEG OUTER"
BATTENS, DOWELS, REFERENCE = "BATTENS", "DOWELS", "REFERENCE"
SCREWS = {"forward": "SCREWS FWD", "aft": "SCREWS AFT"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SketchedShape:
    """A closed outline on a layer, and its label."""

    layer: str
    label: str
    outline: Outline


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sketch:
    """A frame's drawing: outlines, screws and dowels, in the order they are written.

    Dowels come last, when all frames of the boat are there: see `dowels`.
    """

    frame: FrameLine
    station_at: StationAt
    shapes: tuple[SketchedShape, ...]
    screws: tuple[ScrewPlace, ...]
    dowels: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stand:
    """A frame in its place: its outer line, how it is set up, and where along w its core lies."""

    frame: FrameLine
    lines: FrameLines
    placement: Placement
    station_at: StationAt
    core: tuple[float, float]


def sketch(
    stand: Stand,
    file: LinesFile,
    battens: Sequence[tuple[Stringer, StringerSection, Batten]],
    footing: LegSetting,
    wrong: list[DraftRefused],
) -> Sketch | None:
    """The frame worked out; None where it cannot be, and all that speaks against it added to `wrong`."""
    frame, lines = stand.frame, stand.lines
    framing = file.framing
    plate = file.stock[framing.gusset].real_thickness
    low, high = stand.core
    both_faces = frame.kind in ("ring", "open")
    forward = max(plate if frame.kind != "bulkhead" else 0.0, file.stock[framing.legs].real_thickness)
    outer = (low - plate if both_faces else low, high + forward)
    radius = file.dowels.diameter / 2
    notches = []
    for stringer, seat, batten in battens:
        with noted(wrong):
            notches.append(notch(stringer, seat, batten, stand.placement, core=stand.core, outer=outer, radius=radius))
    if wrong:
        return None
    core: list[Member] = []
    plates: list[Gusset] = []
    port_leg, screws = None, None
    with noted(wrong):
        core = members(lines, frame.kind, notches, framing.gusset_radius)
    with noted(wrong):
        plates = gussets(
            lines,
            frame.kind,
            notches,
            arm=framing.gusset_arm,
            radius=framing.gusset_radius,
            core=high - low,
            least_radius=file.cutter.diameter / 2,
        )
    if core:
        with noted(wrong):
            port_leg = leg(
                lines,
                frame.kind,
                footing,
                stand.placement,
                span=(low, high + file.stock[framing.legs].real_thickness),
                floor=core[0].shape,
                gussets=plates,
                notches=notches,
                lap_depth=_lap_depth(stand, file),
            )
        with noted(wrong):
            screws = _screws(stand, file, core, plates, plate, both_faces=both_faces)
    if wrong or port_leg is None or screws is None:
        return None
    circles = core_circles(lines, notches, framing.gusset_radius, frame.kind)
    shapes = [SketchedShape(layer=CORE, label=m.label, outline=outline_of(m.shape, circles)) for m in core]
    layer = GUSSETS if both_faces else GUSSETS_FORWARD
    for plate_shape in plates:
        shapes += _pair(layer, plate_shape.label, plate_shape.shape, plate_shape.circles)
    shapes += _pair(LEG_INNER, "leg inner", port_leg.inner, port_leg.circles)
    shapes += _pair(LEG_OUTER, "leg outer", port_leg.outer, port_leg.circles)
    for item in notches:
        drawn = item.seat.outline(item.stringer.spec)
        shapes.append(SketchedShape(layer=BATTENS, label=item.stringer.name, outline=drawn))
        if item.stringer.spec.sides == "both":
            starboard = f"starboard {item.stringer.kind}"
            shapes.append(SketchedShape(layer=BATTENS, label=starboard, outline=drawn.mirrored()))
    return Sketch(
        frame=frame,
        station_at=stand.station_at,
        shapes=tuple(shapes),
        screws=screws,
    )


def _lap_depth(stand: Stand, file: LinesFile) -> float:
    """How deep the member is that the legs lap, mm."""
    lines = stand.lines
    if stand.frame.kind in ("transom", "bulkhead"):
        return float(lines.sheer[1] - lines.corners[1][1])
    if file.boat.build == "inverted" and stand.frame.kind == "ring":
        return lines.beam_depth
    return lines.depths[0]


def _pair(layer: str, label: str, port: shapely.Polygon, circles: Sequence[Circle]) -> list[SketchedShape]:
    outline = outline_of(port, circles)
    return [
        SketchedShape(layer=layer, label=f"port {label}", outline=outline),
        SketchedShape(layer=layer, label=f"starboard {label}", outline=outline.mirrored()),
    ]


def _screws(
    stand: Stand,
    file: LinesFile,
    core: Sequence[Member],
    plates: Sequence[Gusset],
    thickness: float,
    *,
    both_faces: bool,
) -> tuple[ScrewPlace, ...]:
    """The screws of the port gussets, and their mirror images."""
    if stand.frame.kind == "bulkhead":
        return ()
    size = file.screws.gusset.size
    stack = thickness + stand.core[1] - stand.core[0] + (thickness if both_faces else 0.0)
    bite = LIMITS["screw_bite"].default
    if size.length > stack - bite:
        raise DraftRefused(
            f"a screw of {size.length:g} mm comes through {stack:g} mm of wood, want {stack - bite:g} mm at most",
            Knob(name=LONG, tries=(stack - bite,)),
        )
    if size.length < thickness + size.diameter:
        least = float(np.ceil((thickness + size.diameter) * 10) / 10)
        raise DraftRefused(
            f"a screw of {size.length:g} mm does not get through a gusset of {thickness:g} mm into the core, want "
            f"{least:g} mm at least",
            Knob(name=LONG, tries=(least, stack - bite)),
        )
    if not plates:  # refused: what is wrong with the screws' length is told beside that
        return ()
    wood = [Sheet(name=member.label, shape=member.shape) for member in core]
    sheets = [Sheet(name=plate.label, shape=plate.shape) for plate in plates]
    spacing = file.framing.screw_spacing
    if both_faces:
        layouts = [screw_layout(wood, sheets, sheets, size=size, spacing=spacing)]
    else:  # a board has no joints: both arms of a gusset are screwed as if there were one
        layouts = [
            screw_layout(
                [Sheet(name=wood[0].name, shape=largest(wood[0].shape.intersection(side))) for side in plate.sides],
                [sheet],
                (),
                size=size,
                spacing=spacing,
            )
            for plate, sheet in zip(plates, sheets, strict=True)
        ]
    short = [shortage for layout in layouts for shortage in layout.short]
    places = [place for layout in layouts for place in layout.places]
    if short:
        first = short[0]
        raise DraftRefused(
            f"there is room for {first.got} screws through the {first.gusset} into the "
            f"{first.member.removeprefix('port ')} from {first.driven_from}, want {first.wanted}",
            ARM,
            BEAM if "beam" in first.member else FLOOR if first.member == "floor" else SIDE,
            "screws.gusset.gauge" if file.screws.gusset.gauge is not None else "screws.gusset.diameter",
            "framing.screw_spacing",
            SIDE,
        )
    starboard = [
        ScrewPlace(
            at=(-place.at[0], place.at[1]),
            driven_from=place.driven_from,
            gusset=place.gusset,
            member=place.member.replace("port ", "starboard "),
        )
        for place in places
    ]
    return (*places, *starboard)
