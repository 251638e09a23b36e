"""Check `outline`: a drawing holds something that cannot be taken as it stands."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level
from scrieve.shared.marks import Mark

from ..boat.assembly import Assembly
from ..boat.defect import Defect
from ..boat.editing import in_drawing
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..plan.plan_keys import PlanKeys
from .check import Check, Page

_CROSS = 5.0  # mm to each side


def check(assembly: Assembly) -> Iterator[Finding]:
    """One finding for every defect of its kind met with while the drawings were read."""
    yield from defects_as_findings(assembly, "outline")


def defects_as_findings(assembly: Assembly, check: str) -> Iterator[Finding]:
    """The findings of the check of this name that were made while the drawings were read."""
    return (finding_of(defect, frame, assembly.keys) for frame, defect in defects(assembly) if defect.check == check)


def defects(assembly: Assembly) -> Iterator[tuple[Frame | None, Defect]]:
    """Every defect of the boat, with its frame if it belongs to one."""
    for defect in assembly.defects:
        yield None, defect
    for frame in assembly.frames:
        for defect in frame.defects:
            yield frame, defect


def finding_of(defect: Defect, frame: Frame | None, keys: PlanKeys) -> Finding:
    """The defect as a finding; its place in hull axes as far as a frame is known to place it by."""
    at, measure = None, defect.measure
    if frame is not None and defect.at is not None:
        at = frame.placement.point(*defect.at, (frame.core_low + frame.core_high) / 2)
    return Finding(
        check=defect.check,
        level=defect.level,
        message=defect.message,
        frame=frame.number if frame is not None else "",
        at=at,
        cure=defect.cure,
        edits=defect.edits if frame is None else tuple(_edits(defect, frame, keys)),
        source=defect.source,
        subjects=() if frame is None else subjects(frame),
        measure=measure,
        evidence=() if frame is None else tuple(_marks(defect, frame)),
    )


def _edits(defect: Defect, frame: Frame, keys: PlanKeys) -> Iterator[Edit]:
    yield from (in_drawing(frame, edit) for edit in defect.edits)
    if defect.of_frame is not None:
        yield from keys.set(frame.source, *defect.of_frame)


def _marks(defect: Defect, frame: Frame) -> Iterator[Mark]:
    """What it measures, the lines that it is about; a cross at the place of what has neither, as a text has."""
    marker = Marker(frame=frame, w=(frame.core_low + frame.core_high) / 2)
    if defect.span is not None:
        yield marker.span(*defect.span)
    for words, points in defect.lines:
        yield marker.line(points, words=words)
    for points in defect.drawn:
        yield marker.line(points, drawn=True)
    if defect.at is not None and not (defect.span or defect.lines or defect.drawn):
        y, v = defect.at
        yield marker.line([(y - _CROSS, v), (y + _CROSS, v)])
        yield marker.line([(y, v - _CROSS), (y, v + _CROSS)])


CHECK = Check(
    slug="outline",
    title="A drawing holds something that cannot be taken as it stands",
    level=Level.ERROR,
    limits=("outline",),
    tells_first=True,
    sees_all=True,
    spanless="how narrow an outline is, is told by its area and its length",
    page=Page(
        looks_at=(
            "Everything in the drawings that the plan says is a part, a batten, a screw, a dowel or a label. Outlines "
            "have to be closed, must not cross themselves, be drawn twice or be too small to be anything, and each "
            "has to have one label inside it. Lines and arcs that lie end to end count as one outline; where parts "
            "drawn so share corners and whole edges, the labels say which areas are parts. Gaps of up to 5 mm in such "
            "lines, and ends up to 7.5 mm off the centreline of a half drawing, are told and taken as closed. A label "
            "names the smallest outline it stands in, or another that has none if only so each has one; one that names "
            "only the frame, the boat or the drawing, in an opening of parts, is a title. A pocket has to lie in a "
            "part, less deep than that is thick, and clear of those in its other face; in which it is, its own text "
            "says where two lie over one another. Objects on layers that the plan does not name are counted in a note. "
            "A drawing, or a plan, whose numbers are in another unit than it says is known by the plan's battens, the "
            "cut sheets and the frames beside it; it, and a frame without its core or any gusset, is told here once."
        ),
        matters=(
            "What is drawn so cannot be cut or tried as a part: it is left out of all other checks, and what it "
            "would have fouled is not found. A cutting machine stops at such an outline, or cuts it twice."
        ),
        limit=(
            "outline, 0.01 mm: an outline whose ends are that close is closed without a word; any more is reported. "
            "Common practice, no source: less than any machine can cut, more than drawing programs lose by rounding."
        ),
        cure=(
            "Mend the object that is named, at the place that is named, in the drawing program: join its ends, take "
            "out the loop or the second copy, put one label inside. Cure these first, and check again: other findings "
            "may come of them."
        ),
    ),
    on_boat=check,
)
