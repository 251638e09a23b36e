"""A draft worked out from a lines file: its frames, or every reason why there can be none."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from scrieve.shared.errors import UseError
from scrieve.shared.findings import Finding, Level
from scrieve.shared.limits import LIMITS

from ..assemble import assemble
from ..geometry.placement import Placement
from ..plan.plan_place import PLAN_NAME
from ..plan.plan_reader import read_plan
from ..review import review
from ..sheets.arrangement import LaidSheet
from .dowels import with_dowels_laid
from .frame_drawing import frame_drawing
from .frame_lines import FrameLines, deck_circle, joints_of
from .gussets import APART
from .hull import Hull, lines_of
from .legs import LegSetting
from .lines import Battens, FrameLine, LinesFile
from .plan_text import drawing_of, plan_text
from .refusal import ARM, BASE, BOARD, LAP, RAKE, STATION, DraftRefused, Key, Knob, Reason, noted
from .shape import Vector, vector
from .sheets import names_of, pieces_of_sketches, sheet_drawing, sheets_for
from .sketch import Sketch, Stand, StationAt, sketch
from .stringers import Stringer, StringerSection, overbent, seats, sprung, stringers

NARROWEST = 50.0
"""mm; a frame of less half-breadth at chine or sheer is none. Common practice, no source."""

BEARS_ON: dict[str, tuple[str, ...]] = {
    "foul": (STATION, LAP, ARM),
    "gusset-lap": (ARM,),
    "bend": (STATION,),
}
"""What bears on the findings of a check, of those that only the finished plan shows."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WorkedOut:
    """The frames of a draft, sorted forward, their battens, and what is to be said of them."""

    sketches: tuple[Sketch, ...]
    stands: tuple[Stand, ...]
    parts: tuple[Stringer, ...]
    remarks: tuple[str, ...]


def work_out(file: LinesFile, *, only: Key = ()) -> tuple[WorkedOut | None, list[Reason]]:
    """The frames of these lines; None, and all reasons at once, where they cannot be drafted.

    With `only` the place of one frame no other is worked out beyond its stand and its battens.
    """
    reasons = list(_disagreeing(file))
    if any(reason.at[1:] == ("upper_chine",) for reason in reasons):
        return None, reasons  # the corners of the frames are not certain
    stands = _stands(file, lines_of(file.offsets), reasons)
    all_stand = len(stands) == len(file.frames) and not reasons
    parts = stringers(file.battens)
    rows: list[list[StringerSection | None]] = []
    seated: list[Stand] = []
    for stand in stands:
        wrong: list[DraftRefused] = []
        with noted(wrong):
            rows.append(seats(parts, stand.lines))
            seated.append(stand)
        reasons += [Reason.of(refused, _frame_key(file, stand), stand.frame.number) for refused in wrong]
    chosen = [not only or _frame_key(file, stand) == only[:2] for stand in seated]
    if len(seated) < 2 or (reasons and not all(reason.at[0] == "frames" for reason in reasons)):
        return None, reasons
    bends = all_stand and len(seated) == len(stands)
    parts, rows, remarks = _that_fade(parts, rows, seated, reasons)
    sketches = _sketches(file, seated, parts, rows, reasons, chosen, bends=bends)
    if reasons or only:
        return None, reasons
    return WorkedOut(sketches=tuple(sketches), stands=tuple(seated), parts=parts, remarks=tuple(remarks)), []


def files_of(file: LinesFile, worked: WorkedOut) -> tuple[dict[str, bytes], tuple[str, ...], list[Reason]]:
    """The draft's files by name, plan first, what is to be said of it, and what the checks have against it."""
    sketches, bare = with_dowels_laid(worked.sketches, worked.stands, file)
    sheets, unfit = sheets_for(
        pieces_of_sketches(sketches, file.framing),
        stock=file.stock,
        cutter=file.cutter.diameter,
        seen=file.boat.seen,
    )
    if larger := list(_larger(file, sheets, unfit)):
        return {}, (), larger
    names = names_of(sheets)
    laid = [(name, sheet.stock) for name, sheet in zip(names, sheets, strict=True)]
    files = {PLAN_NAME: plan_text(file, sketches, worked.parts, laid).encode("utf-8")}
    for one in sketches:
        files[drawing_of(one)] = frame_drawing(
            one,
            seen=file.boat.seen,
            screw_diameter=file.screws.gusset.size.diameter,
            dowel_diameter=file.dowels.diameter,
        )
    files |= {name: sheet_drawing(sheet) for name, sheet in zip(names, sheets, strict=True)}
    found = _findings(files)
    against = {(each.check, each.frame): _against(file, each) for each in found if each.level is not Level.NOTE}
    wander = [str(each.message) for each in found if each.check == "fair" and each.level is Level.NOTE and each.frame]
    return files, (*worked.remarks, *bare, *unfit, *wander), list(against.values())


def _larger(file: LinesFile, sheets: Sequence[LaidSheet], unfit: Sequence[str]) -> Iterator[Reason]:
    """A reason for every stock whose size the lines file gives and whose sheets some parts are too large for."""
    for stock in sorted(name for name, spec in file.stock.items() if spec.size is not None):
        for said in (each for each in unfit if f" on a sheet of {stock}, " in each):
            knob = Knob(
                name=f"stock.{stock}.size", tries=(max(sheet.size for sheet in sheets if sheet.stock == stock),)
            )
            yield Reason.of(DraftRefused(said.partition(": drawn on")[0], knob, BOARD), ("stock", stock))


def _findings(files: dict[str, bytes]) -> tuple[Finding, ...]:
    """What the checks find in the plan of these files."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            for name, content in files.items():
                path = Path(folder, name)
                path.parent.mkdir(exist_ok=True)
                path.write_bytes(content)
        except OSError as problem:
            raise UseError.at(f"what is to be looked at cannot be written ({problem.strerror or problem})") from problem
        return review(assemble(read_plan(Path(folder))))


def _against(file: LinesFile, found: Finding) -> Reason:
    numbers = [frame.number for frame in file.frames]
    at: Key = ("frames", numbers.index(found.frame)) if found.frame in numbers else ("framing",)
    knobs = BEARS_ON.get(found.check, (STATION, ARM, "framing.side_depth", "framing.floor_depth"))
    return Reason.of(DraftRefused(f"{found.check}: {found.message}", *knobs), at)


def _frame_key(file: LinesFile, stand: Stand) -> Key:
    return ("frames", file.frames.index(stand.frame))


def _oversize(file: LinesFile) -> Iterator[tuple[str, tuple[str, str]]]:
    """What cannot be right whatever the frames are: longer than the hull is broad or deep, rounder than a circle."""
    table = file.offsets
    edges = [edge for edge in (table.chine, table.upper_chine, table.sheer) if edge is not None]
    half = max(max(edge.half_breadth) for edge in edges)
    heights = [height for column in (table.keel, *(edge.height for edge in edges)) for height in column]
    size = max(2 * half, max(heights) - min(heights))
    if table.camber > half:
        yield (
            f"at most half the greatest breadth, {half:g} mm, is wanted: half a circle (got {table.camber:g} mm)",
            ("offsets", "camber"),
        )
    for name, part in (("framing", file.framing), ("legs", file.legs)):
        for key, value in part:
            if isinstance(value, float) and value > size:
                yield f"at most {size:g} mm, the size of the hull, is wanted (got {value:g} mm)", (name, key)


def _disagreeing(file: LinesFile) -> Iterator[Reason]:
    """What is wrong between one table of the lines file and another."""

    def mistake(what: str, *keys: str, knobs: Sequence[str | Knob] = ()) -> Reason:
        return Reason.of(DraftRefused(f"{'.'.join(keys)}: {what}", *knobs), keys)

    battens = file.battens
    if (file.offsets.upper_chine is None) != (battens.upper_chine is None):
        given, missing = "offsets.upper_chine", "battens.upper_chine"
        if file.offsets.upper_chine is None:
            given, missing = missing, given
        yield mistake(f"there is no {missing}; both are wanted for a double chine", *given.split("."))
    yield from (mistake(what, *keys) for what, keys in _oversize(file))
    cutter, dowel = file.cutter.diameter, file.dowels.diameter
    if dowel < cutter:
        what = f"at least the cutter's {cutter:g} mm is wanted, or dowels do not touch both walls (got {dowel:g} mm)"
        knobs = (Knob(name="dowels.diameter", tries=(cutter,)), Knob(name="cutter.diameter", tries=(dowel,)))
        yield mistake(what, "dowels", "diameter", knobs=knobs)
    for name in Battens.model_fields:
        batten = getattr(battens, name)
        if batten is not None and batten.arris < dowel / 2:
            what = (
                f"{dowel / 2:g} mm or more is wanted, or the corners of its notches, cut to the dowel, foul it "
                f"(got {batten.arris:g} mm)"
            )
            most = 2 * min(max(batten.arris, 0.0), batten.section[1] / 2)
            arris = Knob(name=f"battens.{name}.arris", tries=(dowel / 2,))
            smaller = Knob(name="dowels.diameter", tries=(most,) if most >= cutter else (cutter,))
            yield mistake(what, "battens", name, "arris", knobs=(arris, smaller, f"battens.{name}.section.1"))


def _stands(file: LinesFile, hull: Hull, reasons: list[Reason]) -> list[Stand]:
    """The frames that stand, sorted forward; why others do not is added to `reasons`."""
    stands: list[Stand] = []
    for index, frame in enumerate(file.frames):
        wrong: list[DraftRefused] = []
        with noted(wrong):
            stands.append(_stand(file, hull, frame))
        reasons += [Reason.of(refused, ("frames", index, "station"), frame.number) for refused in wrong]
    stands.sort(key=lambda stand: stand.placement.station)
    for aft, forward in list(pairwise(stands)):
        near = _too_near(file, aft, forward)
        if near is not None:
            reasons.append(Reason.of(near, (*_frame_key(file, forward), "station")))
            stands.remove(forward)
    return stands


def _too_near(file: LinesFile, aft: Stand, forward: Stand) -> DraftRefused | None:
    """What to say of two frames whose cores, legs or gussets at the chine stand in one another."""
    framing = file.framing
    heights = [0.0]
    if file.boat.build == "upright":
        heights.append(float(min(aft.lines.keel[1], forward.lines.keel[1])))
    short = _gap(aft, forward, zip(aft.lines.points, forward.lines.points, strict=True))
    between = [
        (file.stock[framing.legs].real_thickness, _gap(aft, forward, [(vector(0.0, v),) * 2 for v in heights])),
    ]
    if aft.frame.kind != "bulkhead" and forward.frame.kind in ("ring", "open"):
        chines = aft.lines.corners[1], forward.lines.corners[1]
        between.append((2 * file.stock[framing.gusset].real_thickness, _gap(aft, forward, [chines])))
    # as much as the check lets parts overlap is let pass
    lacking = max(max(want - gap for want, gap in between) - LIMITS["foul"].default, -short)
    if lacking < 0.0:
        return None
    more = float(np.ceil(lacking + LIMITS["foul"].default))
    after = file.frames.index(aft.frame)
    return DraftRefused(
        f"frames {aft.frame.number} and {forward.frame.number} stand in one another "
        f"(stations {aft.frame.station:g} and {forward.frame.station:g} mm)",
        Knob(name=STATION, tries=(forward.frame.station + more,)),
        RAKE,
        Knob(name=STATION, frame=after, tries=(aft.frame.station - more,)),
        Knob(name=RAKE, frame=after),
    )


def _gap(aft: Stand, forward: Stand, places: Iterable[tuple[Vector, Vector]]) -> float:
    """The least distance along x between the cores of two frames over places of theirs, (y, v), mm."""
    gaps = []
    for one, other in places:
        low = forward.placement.point(float(other[0]), float(other[1]), forward.core[0])[0]
        high = aft.placement.point(float(one[0]), float(one[1]), aft.core[1])[0]
        gaps.append(float(low - high))
    return min(gaps)


def _stand(file: LinesFile, hull: Hull, frame: FrameLine) -> Stand:
    placement = Placement(station=frame.station, rake=frame.rake_radians)
    corners = []
    for index, name in enumerate(hull.names):
        met = hull.meets(index, placement)
        if met is None:
            raise DraftRefused(
                f"it meets the {name} off the ends of the table of offsets, which runs from {hull.start:g} to "
                f"{hull.end:g} mm",
                STATION,
                RAKE,
            )
        _, y, v = met
        corners.append(vector(y, v))
    for name, corner in zip(hull.names[1:], corners[1:], strict=True):
        if corner[0] < NARROWEST:
            raise DraftRefused(
                f"the hull is only {max(corner[0], 0.0):.0f} mm wide from the centreline at the {name} there, want "
                f"{NARROWEST:g} mm or more for a frame",
                STATION,
            )
    if corners[-1][1] <= corners[-2][1] + 1.0 or corners[-1][1] <= corners[1][1] + 1.0:
        raise DraftRefused("the hull has no side there, chine and sheer meet", STATION)
    upright = file.boat.build == "upright"
    worst = min(c[1] for c in corners) if upright else -max(c[1] for c in corners)
    if worst <= 0:
        raise DraftRefused(f"the hull reaches {-worst:.0f} mm through the datum plane", BASE)
    framing = file.framing
    side = frame.side_depth or framing.side_depth
    floor = frame.floor_depth or framing.floor_depth
    thickness = file.stock[framing.core].real_thickness
    station_at = frame.station_at or _station_at(frame, hull)
    try:
        deck = deck_circle(corners[-1], hull.deck_radius)
    except ValueError as problem:
        raise DraftRefused(str(problem), "offsets.camber", STATION) from None
    joints = joints_of(corners, shortest=2 * LIMITS["gusset_lap"].default * thickness + APART)
    stand = Stand(
        frame=frame,
        lines=FrameLines(
            frame=frame.number,
            points=tuple(corners),
            joints=joints,
            deck=deck,
            depths=(floor, *(side for _ in joints[2:])),
            beam_depth=frame.beam_depth or framing.beam_depth,
            level_floor=framing.floor_top == "level",
        ),
        placement=placement,
        station_at=station_at,
        core=(0.0, thickness) if station_at == "aft face" else (-thickness, 0.0),
    )
    legs = file.stock[framing.legs].real_thickness
    start, end = frame.station + stand.core[0], frame.station + stand.core[1] + legs
    if start < file.strongback.start or end > file.strongback.end:
        raise DraftRefused(
            f"its legs stand from {start:g} to {end:g} mm, off the strongback's rails ({file.strongback.start:g} to "
            f"{file.strongback.end:g} mm)",
            Knob(name="strongback.from", tries=(start,)),
            Knob(name="strongback.to", tries=(end,)),
            STATION,
        )
    return stand


def _station_at(frame: FrameLine, hull: Hull) -> StationAt:
    """Which face stands on the station: towards the ends the hull narrows, and wood is left there to bevel.

    A transom stands with its outer face on the station. Common practice, no source.
    """
    forward = frame.station >= hull.widest
    if frame.kind == "transom":
        return "forward face" if forward else "aft face"
    return "aft face" if forward else "forward face"


def _that_fade(
    parts: Sequence[Stringer],
    rows: Sequence[Sequence[StringerSection | None]],
    stands: Sequence[Stand],
    reasons: list[Reason],
) -> tuple[tuple[Stringer, ...], list[list[StringerSection | None]], list[str]]:
    """The battens that have room, their seats, and remarks on one that fades out; one with a gap is a reason."""
    kept, remarks = [], []
    for i, part in enumerate(parts):
        run = [n for n, row in enumerate(rows) if row[i] is not None]
        if len(run) < 2:
            remarks.append(f"the {part.kind} batten is left out: beside the others it has no room in two frames")
            continue
        kept.append(i)
        ends = " to ".join(stands[n].frame.number for n in (run[0], run[-1]))
        if run[-1] - run[0] >= len(run):
            what = f"the {part.kind} batten has no room in every frame from {ends}"
            others = (part.key, "chine", "sheer")
            knobs = [f"battens.{key}.section.0" for key in others]
            reasons.append(Reason.of(DraftRefused(what, *knobs), ("battens", part.key)))
        elif len(run) < len(rows):
            remarks.append(f"the {part.kind} batten runs from frame {ends} only: further on it has no room")
    return tuple(parts[i] for i in kept), [[row[i] for i in kept] for row in rows], remarks


def _sketches(
    file: LinesFile,
    stands: Sequence[Stand],
    parts: Sequence[Stringer],
    rows: Sequence[Sequence[StringerSection | None]],
    reasons: list[Reason],
    chosen: Sequence[bool],
    *,
    bends: bool,
) -> list[Sketch]:
    """Every chosen frame worked out; why others cannot be is added to `reasons`, of battens if `bends`."""
    battens = []
    for i, part in enumerate(parts):
        kept = [(stands[n], row[i]) for n, row in enumerate(rows)]
        run = [(stand, seat) for stand, seat in kept if seat is not None]
        battens.append(sprung(part, [(s.lines, s.placement) for s, _ in run], [seat for _, seat in run]))
    for part, batten in zip(parts, battens, strict=True):
        if not np.all(np.diff(batten.centres[:, 0]) > 0):
            what = f"the frames cross one another along the {batten.kind} batten"
            reasons.append(Reason.of(DraftRefused(what, STATION, RAKE), ("frames", 1)))
            return []
        bent = overbent(part, batten) if bends else None
        if bent is not None:
            reasons.append(Reason.of(bent, ("battens", part.key)))
    footing = LegSetting(
        strongback=file.strongback,
        legs=file.legs,
        build=file.boat.build,
        cutter_radius=file.cutter.diameter / 2,
    )
    out = []
    for stand, row, wanted in zip(stands, rows, chosen, strict=True):
        if not wanted:
            continue
        wrong: list[DraftRefused] = []
        held = [(p, seat, b) for p, seat, b in zip(parts, row, battens, strict=True) if seat is not None]
        one = sketch(stand, file, held, footing, wrong)
        reasons += [Reason.of(refused, _frame_key(file, stand), stand.frame.number) for refused in wrong]
        if one is not None:
            out.append(one)
    return out
