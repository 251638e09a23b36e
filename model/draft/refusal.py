"""Why a boat cannot be drafted: what is in the way, where the lines file says it, and which values bear on it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

Key = tuple[str | int, ...]
"""Where a value stands in the lines file: ("framing", "side_depth"), ("frames", 2, "station")."""

SIDE, FLOOR, BEAM = "framing.side_depth", "framing.floor_depth", "framing.beam_depth"
ARM, LAP, WIDTH, INSIDE = "framing.gusset_arm", "legs.lap", "legs.width", "strongback.inside_width"
BOARD, STATION, RAKE, BASE = "frames.kind", "frames.station", "frames.rake", "offsets.base"
DEPTHS = SIDE, FLOOR, BEAM, BOARD
"""What decides how deep the members of a frame are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Knob:
    """A value that bears on a reason: its dotted name ("framing.side_depth"), and those to try, if it is known which.

    "frames.…" is the frame's own, or that of `frame` by its place in the file; a depth in "framing.…" is the frame's
    own where the frame has one. `spans` are the ranges outside which one frame does not have it, to be met by all.
    """

    name: str
    tries: tuple[float | str | tuple[float, float], ...] = ()
    spans: tuple[tuple[float, float], ...] = ()
    frame: int | None = None


class DraftRefused(Exception):
    """What cannot be drafted: `what` says the measured fact without advice, `knobs` what might mend it.

    Advice is not given here: it is found by trying, in `remedies`.
    """

    def __init__(self, what: str, *knobs: str | Knob) -> None:
        self.what = what
        self.knobs = tuple(Knob(name=knob) if isinstance(knob, str) else knob for knob in knobs)
        super().__init__(what)


@contextmanager
def noted(wrong: list[DraftRefused]) -> Iterator[None]:
    """Adds a refusal from inside to `wrong`, and goes on after."""
    try:
        yield
    except DraftRefused as refused:
        wrong.append(refused)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """A refusal at its place in the lines file; `subject` and the place tell it from others while values change."""

    what: str
    at: Key
    knobs: tuple[Knob, ...]
    subject: str

    @classmethod
    def of(cls, refused: DraftRefused, at: Key, frame: str = "") -> Reason:
        """The refusal of what stands there; of a frame it begins with its number."""
        what = f"frame {frame}: {refused.what}" if frame else refused.what
        letters = "".join(c for c in what if not (c.isdigit() or c in ".-"))
        return cls(what=what, at=at, knobs=refused.knobs, subject=letters)
