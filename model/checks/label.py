"""Check `label`: a label contradicts the place of what it names."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.findings import Finding, Level

from ..boat.assembly import Assembly
from .check import Check, Page
from .outline import defects_as_findings


def check(assembly: Assembly) -> Iterator[Finding]:
    """One finding for every label, or all labels of a drawing together, that cannot be right where they stand."""
    yield from defects_as_findings(assembly, "label")


CHECK = Check(
    slug="label",
    title="A label contradicts its place",
    level=Level.ERROR,
    limits=(),
    tells_first=True,
    sees_all=True,
    page=Page(
        looks_at=(
            "The labels of parts, as people write them: a frame's number in front or behind (5 floor, F5 floor, floor "
            "F5), a side (port, starboard, stbd; P and S where the frame is named too or both letters are in use), and "
            "a name; the designer's own marks by the table [labels] of the plan. A side is held against the side of "
            "the boat on which the part lies, a number against the frame in whose drawing it stands, and each name "
            "has to be there once. A text in a part on a cut sheet has to read forwards."
        ),
        matters=(
            "The label is all that the builder has in the hand when a pile of parts comes from the machine. A part "
            "marked for the other side goes on turned over, with its notches and screws on the wrong face; one marked "
            "for another frame is looked for until it is cut again. When all labels lie on the wrong side, it is "
            "more likely that the drawing is seen from the other side than the plan says."
        ),
        limit=(
            "None: a label is right or it is not. What lies within 1 mm of the centreline by its centroid is on "
            "neither side."
        ),
        cure=(
            "Exchange or mend the labels that are named; or, where all are wrong together, set `seen`, of the plan or "
            "of that frame alone, to how the drawings look, or the drawing of that frame to the right one."
        ),
    ),
    on_boat=check,
)
