"""A step of the build, as a builder takes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from ..measurements.batten_runs import BattenRun
from ..measurements.diagonals import Diagonal
from ..measurements.leg_lengths import LegLength
from ..measurements.part_sizes import PartSize
from ..measurements.rail_marks import RailMark
from ..measurements.resting import Resting
from ..measurements.screw_positions import ScrewPosition
from ..turning import Turning

Stage = Literal["bench", "setting up"]
Kind = Literal[
    "dowels", "core", "screws", "plates", "turn", "apart", "wet out", "glue", "legs",
    "strongback", "frame", "batten", "fair",
]  # fmt: skip
Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Adding:
    """What comes to its place in one movement: `names` of parts, of a frame or of a batten.

    `way` says in words how, `toward` is the unit vector along which it moves: on the bench in the
    frame's (y, v, w), in setting up in hull axes; None where nothing moves straight.
    """

    names: tuple[str, ...]
    way: str = ""
    toward: Vector | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Driving:
    """Screws of one size driven from one face, and how they are drilled for.

    `stop` is how far the point of the drill goes below the face on which the head sits, mm: to the
    screw's tip, less where that would leave too little wood. `pilot` is the hole for the thread in soft
    and in hard wood, mm, None where no source gives it; `clearance` the hole through the first ply, mm.
    `places` are where they stand on what they are drilled through, in the order of `screws`.
    """

    screws: tuple[str, ...]
    size: str
    driven_from: Literal["forward", "aft"]
    stop: float
    pilot: tuple[float, float] | None
    clearance: float
    places: tuple[ScrewPosition, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step. `frame` is a frame's number, empty for what concerns the whole boat.

    `title` says what to do in one plain sentence, `watch` what to look out for, a sentence each.
    `cautions` are keys of `shared.cautions.CAUTIONS`. `turnings` say which of the parts that are added
    may go another way round. `after` are the numbers of the steps that this one has to wait for.
    `up` is the face of the frame that lies up on the bench. The numbers that a step goes by stand in `sizes` of
    parts that come, `diagonals`, `rests`, `legs`, `marks` of frames on the strongback, and `runs` of battens.
    """

    number: int
    stage: Stage
    frame: str
    kind: Kind
    title: str
    adds: tuple[Adding, ...] = ()
    screws: tuple[Driving, ...] = ()
    watch: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    turnings: tuple[Turning, ...] = ()
    after: tuple[int, ...] = ()
    up: Literal["", "forward", "aft"] = ""
    sizes: tuple[PartSize, ...] = ()
    diagonals: tuple[Diagonal, ...] = ()
    rests: Resting | None = None
    legs: tuple[LegLength, ...] = ()
    marks: tuple[RailMark, ...] = ()
    runs: tuple[BattenRun, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Everything that this step adds."""
        return tuple(name for adding in self.adds for name in adding.names)


class Node(NamedTuple):
    """`step` has no number yet. `after` are keys of the nodes that must precede it.

    `rank` says which of several steps that could come next does: by stage, frame, and place there.
    """

    key: str
    rank: tuple[int, int, int]
    step: Step
    after: tuple[str, ...] = ()
