"""What becomes of a cut sheet when the form of a part that lies on it is changed in its frame."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from scrieve.shared.edits import Edit, Reshape, Spot
from scrieve.shared.kept import kept

from ..boat.assembly import Assembly
from ..boat.part import Part
from ..sheets.copies import without_copies
from ..sheets.difference import Pattern, laid
from ..sheets.report import SheetReport


def followed(boat: Assembly, edits: Sequence[Edit]) -> tuple[Edit, ...]:
    """The same corners moved on the cut sheets, where parts whose corners these edits move lie on them as drawn."""
    reshaped = [edit for edit in edits if isinstance(edit, Reshape) and edit.target.frame]
    if not reshaped or not boat.sheets:
        return ()
    report = _report(boat)
    return tuple(
        edit
        for shape, index in sorted(report.found.pairs.items())
        if index in (report.found.shapes[shape].meant or {index})
        for edit in _on_sheet(report, shape, report.found.parts[index], reshaped)
    )


@kept
def _report(boat: Assembly) -> SheetReport:
    once = without_copies(boat)
    return SheetReport(once.assembly, once.found)


def _on_sheet(report: SheetReport, shape: int, part: Part, edits: Sequence[Reshape]) -> Iterator[Edit]:
    corners = [
        corner
        for edit in edits
        if edit.target.frame == part.frame and part.source.handle in edit.target.handles[:1]
        for corner in _of_part(report, part, edit)
    ]
    drawn = report.found.shapes[shape].shape
    if not corners or drawn.source.bound:
        return
    move = laid(Pattern(part), drawn, report.limit).move
    there = drawn.outline.points
    moved: list[tuple[Spot, Spot]] = []
    for start, end in corners:
        off = np.hypot(*(there - move.back(start)).T)
        if off.min() > report.limit:
            return  # drawn otherwise there, as with its corners relieved
        at = there[np.argmin(off)]
        by = np.subtract(move.back(end), move.back(start))
        moved.append((report.spot(shape, at.tolist()), report.spot(shape, (at + by).tolist())))
    yield Reshape(target=report.target(shape), corners=tuple(sorted(set(moved))), sure=True)


def _of_part(report: SheetReport, part: Part, edit: Reshape) -> Iterator[tuple[Spot, Spot]]:
    """The corners of the part that an edit moves, (y, v) of its frame: of a half drawing those of its image too."""
    view = report.frames[part.frame].view
    for corner in edit.corners:
        (y, v), (y2, v2) = map(view.back, corner)
        for side in (1.0, -1.0) if view.half else (1.0,):
            if np.hypot(*(part.drawn.points - (side * y, v)).T).min() <= report.limit:
                yield (side * y, v), (side * y2, v2)
