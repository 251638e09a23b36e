"""The draft: a lines file becomes a plan and its frame drawings."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from scrieve.shared.errors import DraftError, Mistake, PlanError, UseError
from scrieve.shared.whole_files import same_file, write_files

from ..geometry.placement import Placement
from ..plan.plan_place import PLAN_NAME
from ..plan.toml_places import TomlPlaces
from .dowels import with_dowels_laid
from .frame_drawing import frame_drawing
from .frame_lines import FrameLines, deck_circle
from .hull import Hull, hull_of
from .legs import Footing
from .lines import Battens, FrameLine, LinesFile, read_lines
from .plan_text import drawing_of, plan_text
from .shape import vector
from .sheets import names_of, pieces_of_sketches, sheet_drawing, sheets_for
from .sketch import Sketch, Stand, StationAt, sketch
from .stringers import Seat, Stringer, overbent, seat, sprung, stringers

NARROWEST = 50.0
"""mm; a frame of less half-breadth at chine or sheer is none. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """What was written, as paths to print, and what is to be said about it."""

    files: tuple[Path, ...]
    remarks: tuple[str, ...]


def draft(lines_file: Path, folder: Path, *, replace: bool = False) -> Drafted:
    """The files of a first framing plan, written into `folder`: the plan, a drawing a frame, and one a cut sheet.

    All of them are written or none. Raises PlanError for a lines file that cannot be taken, DraftError where no plan
    can be made of it, UseError where a file is in the way or cannot be written.
    """
    texts, remarks = drafted_files(lines_file)
    paths = [folder / name for name in texts]
    if not replace:
        for path in paths:
            if os.path.lexists(path):
                raise UseError.at(f"{path} is there already; it is written over only with --replace")
    for path in paths:
        if not path.resolve().is_relative_to(folder.resolve()):
            raise UseError.at(f"{path} lies outside {folder}: a link leads away from it")
        if path.is_dir() or same_file(path, lines_file):
            raise UseError.at(f"{path} is in the way: it is {'a folder' if path.is_dir() else 'the lines file itself'}")
    write_files(folder, texts)
    return Drafted(files=tuple(paths), remarks=remarks)


def drafted_files(lines_file: Path) -> tuple[Mapping[str, bytes], tuple[str, ...]]:
    """The files of the draft by name, plan first, and remarks; nothing is written. Raises as `draft` does."""
    file, places = read_lines(lines_file)
    shown = str(lines_file)
    if wrong := list(_disagreeing(file, places, shown)):
        raise PlanError(wrong)
    hull, remarks = hull_of(file, places, shown)
    stands = _stands(file, hull, places, shown)
    parts = stringers(file.battens)
    sketches, bare = with_dowels_laid(_sketches(file, stands, parts, places, shown), stands, file)
    sheets, unfit = sheets_for(
        pieces_of_sketches(sketches, file.framing),
        stock=file.stock,
        cutter=file.cutter.diameter,
        seen=file.boat.seen,
    )
    names = names_of(sheets)
    plan = plan_text(file, sketches, parts, [(name, sheet.stock) for name, sheet in zip(names, sheets, strict=True)])
    files = {PLAN_NAME: plan.encode("utf-8")}
    for one in sketches:
        files[drawing_of(one)] = frame_drawing(
            one,
            seen=file.boat.seen,
            screw_diameter=file.screws.gusset.size.diameter,
            dowel_diameter=file.dowels.diameter,
        )
    files |= {name: sheet_drawing(sheet) for name, sheet in zip(names, sheets, strict=True)}
    return files, (*remarks, *bare, *unfit)


def _disagreeing(file: LinesFile, places: TomlPlaces, path: str) -> Iterator[Mistake]:
    """What is wrong between one table of the lines file and another."""

    def mistake(what: str, *keys: str) -> Mistake:
        return Mistake(path=path, line=places.line_of(*keys), what=f"{'.'.join(keys)}: {what}")

    battens = file.battens
    if (file.offsets.upper_chine is None) != (battens.upper_chine is None):
        given, missing = "offsets.upper_chine", "battens.upper_chine"
        if file.offsets.upper_chine is None:
            given, missing = missing, given
        yield mistake(f"there is no {missing}; both are wanted for a double chine", *given.split("."))
    cutter, dowel = file.cutter.diameter, file.dowels.diameter
    if dowel < cutter:
        what = f"at least the cutter's {cutter:g} mm is wanted, or dowels do not touch both walls (got {dowel:g} mm)"
        yield mistake(what, "dowels", "diameter")
    for name in Battens.model_fields:
        batten = getattr(battens, name)
        if batten is not None and batten.arris < dowel / 2:
            what = (
                f"{dowel / 2:g} mm or more is wanted, or the corners of its notches, cut to the dowel, foul it "
                f"(got {batten.arris:g} mm); a smaller dowel and cutter would do as well"
            )
            yield mistake(what, "battens", name, "arris")


def _stands(file: LinesFile, hull: Hull, places: TomlPlaces, path: str) -> list[Stand]:
    """The frames in their places, sorted forward. Raises DraftError for all that cannot stand."""
    stands, wrong = [], []
    for index, frame in enumerate(file.frames):
        line = places.line_of("frames", index, "station")
        try:
            stands.append(_stand(file, hull, frame))
        except DraftError as problem:
            wrong += [Mistake(path=path, line=line, what=mistake.what) for mistake in problem.mistakes]
    if wrong:
        raise DraftError(wrong)
    stands.sort(key=lambda stand: stand.placement.station)
    for aft, forward in pairwise(stands):
        if _gap(aft, forward) <= 0:
            index = file.frames.index(forward.frame)
            raise DraftError.at(
                f"frames {aft.frame.number} and {forward.frame.number} stand in one another "
                f"(stations {aft.frame.station:g} and {forward.frame.station:g} mm)",
                path=path,
                line=places.line_of("frames", index, "station"),
            )
    return stands


def _gap(aft: Stand, forward: Stand) -> float:
    """The least distance along x between the cores of two frames, at keel, chines and sheer, mm."""
    gaps = []
    for one, other in zip(aft.lines.corners, forward.lines.corners, strict=True):
        low = forward.placement.point(float(other[0]), float(other[1]), forward.core[0])[0]
        high = aft.placement.point(float(one[0]), float(one[1]), aft.core[1])[0]
        gaps.append(low - high)
    return min(gaps)


def _stand(file: LinesFile, hull: Hull, frame: FrameLine) -> Stand:
    placement = Placement(station=frame.station, rake=frame.rake_radians)
    corners = []
    for index, name in enumerate(hull.names):
        met = hull.meets(index, placement)
        if met is None:
            raise DraftError.at(
                f"frame {frame.number}: it meets the {name} off the ends of the table of offsets, "
                f"which runs from {hull.start:g} to {hull.end:g} mm"
            )
        _, y, v = met
        corners.append(vector(y, v))
    for name, corner in zip(hull.names[1:], corners[1:], strict=True):
        if corner[0] < NARROWEST:
            raise DraftError.at(
                f"frame {frame.number}: the hull is only {max(corner[0], 0.0):.0f} mm wide from the centreline at the "
                f"{name} there, want {NARROWEST:g} mm or more for a frame"
            )
    if any(upper[1] <= lower[1] + 1.0 for lower, upper in pairwise(corners[1:])):
        raise DraftError.at(f"frame {frame.number}: the hull has no side there, chine and sheer meet")
    upright = file.boat.build == "upright"
    worst = min(c[1] for c in corners) if upright else -max(c[1] for c in corners)
    if worst <= 0:
        raise DraftError.at(
            f"frame {frame.number}: the hull reaches {-worst:.0f} mm through the datum plane; "
            f"{'raise' if upright else 'lower'} offsets.base"
        )
    framing = file.framing
    side = frame.side_depth or framing.side_depth
    floor = frame.floor_depth or framing.floor_depth
    thickness = file.stock[framing.core].real_thickness
    station_at = frame.station_at or _station_at(frame, hull)
    try:
        deck = deck_circle(corners[-1], hull.deck_radius)
    except ValueError as problem:
        raise DraftError.at(f"frame {frame.number}: {problem}") from None
    stand = Stand(
        frame=frame,
        lines=FrameLines(
            frame=frame.number,
            corners=tuple(corners),
            deck=deck,
            depths=(floor, *(side for _ in corners[2:])),
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
        raise DraftError.at(
            f"frame {frame.number}: its legs stand from {start:g} to {end:g} mm, off the strongback's rails "
            f"({file.strongback.start:g} to {file.strongback.end:g} mm)"
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


def _sketches(
    file: LinesFile, stands: Sequence[Stand], parts: Sequence[Stringer], places: TomlPlaces, path: str
) -> list[Sketch]:
    """Every frame worked out. Raises DraftError for all that cannot be."""
    wrong: list[Mistake] = []

    def refuse(stand: Stand, problem: DraftError) -> None:
        line = places.line_of("frames", file.frames.index(stand.frame))
        wrong.extend(Mistake(path=path, line=line, what=mistake.what) for mistake in problem.mistakes)

    seats: list[list[Seat]] = []
    for stand in stands:
        try:
            seats.append([seat(part, stand.lines) for part in parts])
        except DraftError as problem:
            refuse(stand, problem)
    if wrong:
        raise DraftError(wrong)
    frames = [(stand.lines, stand.placement) for stand in stands]
    battens = [sprung(part, frames, [row[i] for row in seats]) for i, part in enumerate(parts)]
    for batten in battens:
        if not np.all(np.diff(batten.centres[:, 0]) > 0):
            raise DraftError.at(f"the frames cross one another along the {batten.kind} batten", path=path)
    for part, batten in zip(parts, battens, strict=True):
        if said := overbent(part, batten):
            wrong.append(Mistake(path=path, line=places.line_of("battens", part.key), what=said))
    if wrong:
        raise DraftError(wrong)
    footing = Footing(
        strongback=file.strongback,
        legs=file.legs,
        build=file.boat.build,
        cutter_radius=file.cutter.diameter / 2,
    )
    out = []
    for stand, row in zip(stands, seats, strict=True):
        try:
            out.append(sketch(stand, file, list(zip(parts, row, battens, strict=True)), footing))
        except DraftError as problem:
            refuse(stand, problem)
    if wrong:
        raise DraftError(wrong)
    return out
