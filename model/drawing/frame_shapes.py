"""What one frame's drawing comes to: labelled outlines and marks in the frame's own (y, v), mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from scrieve.shared.findings import Source

from ..boat.defect import Defect
from ..boat.label import Label
from ..geometry.outline import Outline


class LayerUse(Protocol):
    """What a plan makes of a layer."""

    @property
    def makes(self) -> str:
        """ "part", "screw", "batten", "dowel", "label", "reference" or "pocket"."""

    @property
    def face(self) -> str | None:
        """The face of the core that parts on it lie on, "forward", "aft" or "both"; for those in it "core" or None."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabelledOutline:
    """A part's, a batten section's or a pocket's outline; all outlines run counter-clockwise.

    A pocket's label names the part that it is cut into, "" where nothing is written on its layer. `holes` are the
    outlines without a label that lie wholly inside it on the same layer.
    """

    label: str
    layer: str
    outline: Outline
    source: Source
    holes: tuple[Outline, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """The centre of a screw or dowel; `radius` as drawn, 0 where only a point is. `image`: drawn to port alone."""

    layer: str
    at: tuple[float, float]
    radius: float
    source: Source
    image: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameShapes:
    """One frame's shapes, sorted by label and place, its marks by layer and place, and what is wrong.

    `batten_texts` stand in no outline and name battens: they may stand in a notch. `read` are the labels of parts
    that say more than a name, as drawn, each with what was read out of it. `unread` is "screw" or "dowel" where things
    are drawn for them that are not understood. `pockets` are sorted by layer and place. `several_labels`: a part has
    more than one, and which of them is another's cannot be told.
    """

    shapes: tuple[LabelledOutline, ...]
    marks: tuple[Mark, ...]
    defects: tuple[Defect, ...]
    batten_texts: tuple[Label, ...] = ()
    read: tuple[tuple[str, str], ...] = ()
    unread: frozenset[str] = frozenset()
    pockets: tuple[LabelledOutline, ...] = ()
    several_labels: bool = False
