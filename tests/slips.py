"""Slips of the pen, each planted in boats of two hands: whether one cause is told, the right one, and what else stands.

python tests/slips.py

Prints a line a slip and boat: findings without causes, the causes told, whether one sets right what was wrong, and how
many other errors and warnings stand. A tie names several cures. The command ends 1 if a slip is not told so.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from replanning import change_plan, half_drawn
from slips_of_drawings import DRAWN
from slips_of_plans import SLIPS
from spoiling import copied
from styles.habit import Style
from styles.sheet import drawn

from scrieve.model.assemble import assemble
from scrieve.model.diagnosis.examine import examine
from scrieve.model.plan.plan import Plan
from scrieve.model.plan.plan_reader import edited, read_plan
from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Finding, Level

OTHER_HAND = Style(
    joint="half-lap", frames=7, flare=5.0, core=15.0, beams="all", legs="tongue", screws="cross",
    labels="number", loose="each", station_at="middle",
)  # fmt: skip
BOATS: dict[str, Callable[[Path], Path]] = {
    "skiff": lambda folder: copied("skiff", folder),
    "pram": lambda folder: copied("pram", folder),
    "other hand": lambda folder: drawn(folder / "other", OTHER_HAND),
    "half drawn": lambda folder: drawn(folder / "half", Style(half=True)),
    "half skiff": lambda folder: halved(copied("skiff", folder)),
}


def halved(plan: Path) -> Path:
    """The same boat, only the port half drawn."""
    half_drawn(plan)
    return plan


@dataclass(frozen=True, kw_only=True)
class Told:
    """What is told of a boat with a slip: how many findings in all, the causes, and the errors and warnings besides."""

    findings: int
    causes: tuple[Finding, ...]
    others: tuple[Finding, ...]


def told(plan: Path) -> Told:
    """What `check` tells of a plan."""
    found = [each for each in examine(assemble(read_plan(plan))) if each.level is not Level.NOTE]
    roots = {id(each.because) for each in found if each.because}
    return Told(
        findings=sum(id(each) not in roots for each in found),
        causes=tuple(each for each in found if id(each) in roots),
        others=tuple(each for each in found if each.because is None and id(each) not in roots),
    )


def is_right(plan: Path, cause: Finding, sound: Path) -> bool:
    """Whether the edits of a cause give the plan back what it was."""
    edits = [edit for edit in cause.edits if isinstance(edit, SetKey)]
    return bool(edits) and same(edited(read_plan(plan), edits), read_plan(sound))


def same(one: Plan, other: Plan) -> bool:
    """Whether two plans say the same, lengths to a hundredth of a mm; their files and the places in them apart."""
    apart = {"file", "folder", "places"}
    return all(
        _same(getattr(one, each.name), getattr(other, each.name)) for each in fields(Plan) if each.name not in apart
    )


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, BaseModel) and isinstance(other, BaseModel):
        return _same(one.model_dump(), other.model_dump())
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return set(one) == set(other) and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, int | float) and isinstance(other, int | float):
        return abs(one - other) <= 0.01
    return bool(one == other)


def planted(name: str, boat: str, folder: Path) -> tuple[Path, Path, str | None]:
    """A sound boat, the same with this slip, and the frame that a slip of a drawing is told of."""
    sound, wrong = BOATS[boat](folder / "sound"), BOATS[boat](folder / "wrong")
    if name in SLIPS:
        change_plan(wrong, SLIPS[name][0])
        return sound, wrong, None
    return sound, wrong, DRAWN[name][0](wrong)


def outcome(name: str, boat: str, folder: Path) -> tuple[Told, str]:
    """What is told of a slip in a boat, and how right: "right", "in a tie", "wrong" or "none".

    A slip that is one finding from the start needs no cause: it is right if its edits are, or it is of the frame.
    """
    sound, wrong, frame = planted(name, boat, folder)
    what = told(wrong)
    causes = what.causes or (what.others if len(what.others) == 1 else ())
    if len(causes) != 1:
        return what, "none" if not causes else f"{len(causes)} causes"
    (cause,) = causes
    if frame is not None:
        return what, "right" if cause.frame == frame else "wrong"
    if what.causes and not cause.edits:
        return what, "in a tie"
    return what, "right" if is_right(wrong, cause, sound) else "wrong"


def main() -> int:
    """Plants, checks and prints."""
    wanted = sys.argv[1:]
    failed = 0
    print(f"{'slip':34} {'boat':10} findings  others  cause")
    for name, (_, boats) in [*SLIPS.items(), *DRAWN.items()]:
        for boat in boats:
            if wanted and not any(word in name for word in wanted):
                continue
            with tempfile.TemporaryDirectory() as folder:
                what, how = outcome(name, boat, Path(folder))
            said = "; ".join(cause.message for cause in what.causes)
            failed += how not in ("right", "in a tie") or len(what.others) > MOST_OTHERS
            print(f"{name:34} {boat:10} {what.findings:8} {len(what.others):7}  {how}: {said}")
    return int(failed > 0)


MOST_OTHERS = 2

if __name__ == "__main__":
    sys.exit(main())
