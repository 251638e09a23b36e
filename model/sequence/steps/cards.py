"""What holds for the whole boat, said once: cards with a title, and what of a step stands on one of them already.

A step by itself says all that is to be watched in it. Where all steps are read, what is the same in most of those of
one kind is told once, before them, and each step only what is its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from scrieve.shared.limits import LIMITS

from ...boat.assembly import Assembly
from ..measurements.label_faces import label_faces
from .drilling import drill, stops, wood_left
from .step import Driving, Kind, Step
from .words import in_a_row, lying

DIAGONALS = "both ways, corner to corner of the core, every joint closed"
BEVELS = "bottom off square, + outward going forward; / sides off square"
LOWEST = "of its core, above the rail tops"
_MEANINGS = {DIAGONALS: "diagonals", BEVELS: "notches", LOWEST: "lowest edge"}
"""What stands in a step after a colon, and the name by which a card explains it."""

_TITLES: Mapping[Kind, str] = {
    "core": "Dry on the dowels", "plates": "Gussets and plates", "turn": "Turning over", "apart": "Apart",
    "wet out": "Wetting out", "glue": "Glue", "legs": "Legs", "frame": "Setting up", "batten": "Battens",
}  # fmt: skip

_SHEET = "from the data sheet, which goes before all of this: open time ____ min, pot life ____ min, hard after ____ h"
_BENCH = (
    "a frame at a time, flat on the assembly board; all of it dry before glue is mixed",
    "parts go straight down where a step says nothing else",
)
_PLACES = ("places are in mm, square to the two edges named, in their order; 1+8: alike",)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCard:
    """Lines under a title; those of its steps, or of the whole work."""

    title: str
    lines: tuple[str, ...]


class Cards:
    """The cards of a boat whose steps are these, in the order in which they are wanted."""

    def __init__(self, assembly: Assembly, steps: Sequence[Step]) -> None:
        self._shared: dict[Kind, frozenset[str]] = {}
        self._sizes = list(dict.fromkeys(driving.size for step in steps for driving in step.screws))
        self._left = list(dict.fromkeys(wood_left(driving) for step in steps for driving in step.screws))
        self.cards: tuple[RuleCard, ...] = tuple(self._made(assembly, steps))

    def own(self, step: Step) -> Iterator[str]:
        """What a step has to say itself."""
        shared = self._shared.get(step.kind, frozenset())
        for line in step.watch:
            if line not in shared:
                yield line.rpartition(": ")[0] if _explained(line) else line

    def stops(self, driving: Driving) -> str:
        """How deep its screws are drilled for; their size, and the wood left, only where the boat has several."""
        return stops(driving, sized=len(self._sizes) > 1, spared=len(self._left) > 1)

    def _made(self, assembly: Assembly, steps: Sequence[Step]) -> Iterator[RuleCard]:
        if any(step.stage == "bench" for step in steps):
            yield RuleCard(title="On the bench", lines=(*_BENCH, *label_rule(assembly)))
        drills = dict.fromkeys(drill(driving) for step in steps for driving in step.screws)
        for kind, title in _TITLES.items():
            lines = list(self._common(kind, [step for step in steps if step.kind == kind]))
            if kind == "core" and any(step.diagonals for step in steps):
                lines.append(_tolerance(assembly, steps))
            if kind == "glue" and lines:
                lines.insert(0, _SHEET)
            if kind == "plates" and drills:
                left = (
                    "" if len(self._left) > 1 or not self._left[0] else f"; {self._left[0]} mm of wood beyond the tip"
                )
                stop = f"STOP: the drill's point below the plate's face{left}"
                yield RuleCard(title="Drilling", lines=(*drills, stop, *_PLACES))
            if lines:
                yield RuleCard(title=title, lines=tuple(lines))

    def _common(self, kind: Kind, own: Sequence[Step]) -> Iterator[str]:
        """What most of the steps of a kind say, and which frames do not; what the words mean that they use."""
        shared = []
        for line in dict.fromkeys(line for step in own for line in step.watch):
            without = [step for step in own if line not in step.watch]
            most = 1 < len(own) - len(without) >= len(without) and (not without or own[0].frame)
            if most and not _explained(line):
                shared.append(line)
                frames = in_a_row(list(dict.fromkeys(f"F{step.frame}" for step in without)))
                yield line + (f" (not {frames})" if frames else "")
        self._shared[kind] = frozenset(shared)
        for meaning, name in _MEANINGS.items():
            used = any(line.endswith(f": {meaning}") for step in own for line in step.watch)
            if used and (kind, meaning) != ("glue", DIAGONALS):
                yield f"{name}: {meaning}"


def label_rule(assembly: Assembly) -> tuple[str, ...]:
    """How a frame lies with either face up, and the parts whose labels are the other way."""
    labels = label_faces(assembly)
    faces = (lying(face, labels="up" if labels.usual == face else "down") for face in ("aft", "forward"))
    others = (f"labels the other way: {', '.join(sorted(labels.others))}",) if labels.others else ()
    return ("a frame's top lies away from you", *faces, *others)


def _explained(line: str) -> bool:
    """Whether a line ends with a meaning that stands on a card."""
    said, _, meaning = line.rpartition(": ")
    return meaning in _MEANINGS or said in ("aft face up", "forward face up")


def _tolerance(assembly: Assembly, steps: Sequence[Step]) -> str:
    play = next(check.play for step in steps for check in step.diagonals)
    limit = LIMITS["notch_slack"]
    origin = limit.origin if assembly.limits["notch_slack"] == limit.default else "set by the plan"
    return (
        f"measure them before anything is drilled or glued, and again when it is clamped; ±{play:g} mm is what a "
        f"batten may stand off its notch (notch_slack: {origin})"
    )
