"""On which face of the parts their labels are: as cut, where cut sheets show it, else as drawn."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Literal

from scrieve.shared.kept import kept

from ...boat.assembly import Assembly
from ...sheets.congruence import placings
from ...sheets.copies import without_copies
from ...sheets.stack import Stack

LabelFace = Literal["aft", "forward"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFaces:
    """The face of the boat's parts that bears the label, `usual`ly, and by name the parts that have it on the other.

    A part that fits either face up is none of these: its label goes to the usual face.
    """

    usual: LabelFace
    others: frozenset[str]

    def of(self, name: str) -> LabelFace:
        """The face on which this part's label is."""
        if name in self.others:
            return "forward" if self.usual == "aft" else "aft"
        return self.usual


@kept
def label_faces(assembly: Assembly) -> LabelFaces:
    """Where the labels of a boat's parts are."""
    sides = Counter(frame.view.side for frame in assembly.frames)
    drawn: LabelFace = "aft" if sides[-1.0] > sides[1.0] else "forward"
    if not assembly.sheets:
        return LabelFaces(usual=drawn, others=frozenset())
    found, within = without_copies(assembly).found, assembly.limits["cut_sheet"]
    cut: dict[str, LabelFace] = {}
    for shape, number in found.pairs.items():
        part, outline = found.parts[number], found.shapes[shape].shape.outline
        # (y, v) is the view from forward: an outline that has to be turned over for it shows the aft face
        over = {move.over for move in placings(Stack([part.drawn]), Stack([outline]), within)}
        if len(over) == 1:
            cut[part.name] = "aft" if over.pop() else "forward"
    counts = Counter(cut.values())
    usual: LabelFace = drawn if counts[drawn] * 2 >= len(cut) else ("forward" if drawn == "aft" else "aft")
    return LabelFaces(usual=usual, others=frozenset(name for name, face in cut.items() if face != usual))
