"""How many faults that have a sure cure `mend` takes away, and whether anything new comes in their place.

python tests/measure_mend.py --count 100 --seed 1

Boats of all draughtsmen's habits are spoilt by one fault each, at random, some in binary drawings, until so many were
met for which a sure cure is told. Each is mended, written to a folder, and read and checked again from there, by name
and not by what `mend` says of itself. Printed is by check how many were mended clean of the fault with nothing new; and
below each that was not, with the seed that gives it again. It ends 1 if a mended plan has anything new.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from styles.faults import FAULTS, planted
from styles.frames import boat
from styles.habit import at_random
from styles.sheet import drawn

from scrieve.model.assemble import assemble
from scrieve.model.diagnosis.examine import examine
from scrieve.model.mending.mend import mend
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding, Level
from scrieve.shared.whole_files import write_files

SIZES = (1.25, 3.0, 10.0, 30.0)  # times the limit


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of one fault: the checks with a sure cure, whether what they found went, what was new, what is left."""

    again: str
    checks: tuple[str, ...]
    went: bool
    new: tuple[str, ...]
    left: tuple[str, ...]


def told(found: Iterable[Finding]) -> Counter[tuple[str, str]]:
    """How many errors and warnings each check has in each frame: names change with labels and counting."""
    return Counter((each.check, each.frame) for each in found if each.level is not Level.NOTE)


def tried(seed: int) -> Outcome | None:
    """One fault in one boat; None where there was no place for it or no sure cure is told."""
    pick = random.Random(seed)
    style, name = at_random(seed), pick.choice(sorted(FAULTS))
    size = pick.choice(SIZES) if FAULTS[name][1] else 0.0
    spoilt = planted(name, style, boat(style), seed, size)
    if spoilt is None:
        return None
    with tempfile.TemporaryDirectory() as folder:
        wrong, right = drawn(Path(folder) / "wrong", spoilt.style, spoilt.frames), Path(folder) / "right"
        if pick.random() < 0.3:
            for file in wrong.rglob("*.dxf"):
                ezdxf.readfile(file).saveas(file, fmt="bin")
        plan = read_plan(wrong)
        wrong_boat = assemble(plan)
        roots = [each for each in examine(wrong_boat) if each.level is not Level.NOTE and each.because is None]
        sure = [each for each in roots if each.edits and all(edit.sure for edit in each.edits)]
        if not sure:
            return None
        mended = mend(plan)
        write_files(right, mended.files)
        after = told(review(assemble(read_plan(right)), held=True))
        was = told(review(wrong_boat, held=True))
    went = all(after[f.check, f.frame] < max(was[f.check, f.frame], 1) for f in sure)
    return Outcome(
        again=f"seed {seed}: {name}" + (f" at {size:g} x its limit" if size else ""),
        checks=tuple(sorted({each.check for each in sure})),
        went=went,
        new=tuple(f"{check} F{frame}" for check, frame in after - was),
        left=tuple(f"{each.finding.check}: {each.finding.message} | {each.why}" for each in mended.left),
    )


def outcomes(count: int, seed: int) -> Iterator[Outcome]:
    """So many, from this seed on."""
    while count:
        outcome = tried(seed)
        seed += 1
        if outcome is not None:
            count -= 1
            yield outcome


def main() -> int:
    """Plants, mends, checks again and prints."""
    parser = argparse.ArgumentParser(description="Measures what mend mends.")
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    found, clean = Counter[str](), Counter[str]()
    bad = 0
    for outcome in outcomes(asked.count, asked.seed):
        found.update(outcome.checks)
        clean.update(outcome.checks if outcome.went and not outcome.new else ())
        bad += bool(outcome.new)
        if outcome.new or not outcome.went:
            print(f"{outcome.again}: {'new ' + ', '.join(outcome.new) if outcome.new else 'it stays'}")
            print("".join(f"    {each}\n" for each in outcome.left[:4]), end="", flush=True)
    print(f"\n{'check':14} with a sure cure  mended clean")
    for check in sorted(found):
        print(f"{check:14} {found[check]:16}  {clean[check]:12}")
    print(f"{'in all':14} {asked.count:16}; {bad} with anything new")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
