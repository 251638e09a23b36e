"""How many planted faults are found in boats of all draughtsmen's habits, and what is told of sound ones.

python tests/measure_styles.py --boats 20 --seed 1

Each seed is a boat. She is checked as she is, and with every fault that she has a place for, one at a time, those that
have a size at 0.8, 1.25, 3 and 30 times the limit; --faults takes so many of them at random. Printed are recall and
precision by check and by habit, and below what was missed or invented, with the seed that gives it again. A finding is
invented if it is an error or a warning and the boat is sound, the fault is 0.8 of its limit, or it is of a frame that
has no fault. The command ends 1 if anything was missed or invented.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path

from styles.faults import FAULTS, SIZES, planted
from styles.frames import boat
from styles.habit import Style, at_random
from styles.sheet import drawn

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding, Level


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of one boat: `fault` is "" for the sound one; `invented` are (check, words)."""

    seed: int
    habits: tuple[str, ...]
    fault: str
    times: float
    checks: tuple[str, ...]
    found: bool
    due: bool
    invented: tuple[tuple[str, str], ...]

    @property
    def again(self) -> str:
        size = f" at {self.times:g} x its limit" if self.times else ""
        return f"seed {self.seed}: {self.fault + size if self.fault else 'sound'}"


def findings(style: Style, frames=None) -> list[Finding]:
    """What is told of a boat, notes left out."""
    with tempfile.TemporaryDirectory() as folder:
        found = review(assemble(read_plan(drawn(Path(folder), style, frames))))
    return [finding for finding in found if finding.level is not Level.NOTE]


def tried(seed: int, faults: int, only: str = "") -> list[Outcome]:
    """The sound boat of this seed, and so many of her faults, all with 0."""
    style, pick = at_random(seed), random.Random(seed)
    frames = boat(style)
    out = [_sound(seed, style)]
    cases = [(name, size) for name, (_, sized) in FAULTS.items() for size in (SIZES if sized else (0.0,))]
    cases = [case for case in cases if only in case[0]]
    pick.shuffle(cases)
    for name, size in cases:
        if 0 < faults < len(out):
            break
        spoilt = planted(name, style, frames, seed, size)
        if spoilt is None:
            continue
        due = size != 0.8
        told = findings(spoilt.style, spoilt.frames)
        mine = [f for f in told if f.check in spoilt.checks and (not f.frame or f.frame in spoilt.where)]
        others = [f for f in told if not due or (f.frame and f.frame not in spoilt.where)]
        others = [f for f in others if f.check not in spoilt.follows]
        out.append(
            Outcome(
                seed=seed, habits=style.habits, fault=name, times=size, checks=tuple(sorted(spoilt.checks)),
                found=bool(mine), due=due, invented=_words(others),
            )
        )  # fmt: skip
    return out


def _sound(seed: int, style: Style) -> Outcome:
    told = _words(findings(style))
    return Outcome(
        seed=seed, habits=style.habits, fault="", times=0.0, checks=(), found=False, due=False, invented=told
    )


def _words(told: Iterable[Finding]) -> tuple[tuple[str, str], ...]:
    return tuple((f.check, f"{f.level}: {f.message}") for f in told)


def _all(task: tuple[int, int, str]) -> list[Outcome] | str:
    try:
        return tried(*task)
    except Exception as error:  # one boat's trouble is told, the others are still measured
        return f"seed {task[0]}: {type(error).__name__}: {error}"


def report(outcomes: list[Outcome]) -> Iterator[str]:
    """The tables, a line each."""
    due = [o for o in outcomes if o.due]
    invented = [(o, check, words) for o in outcomes for check, words in o.invented]
    sound = [o for o in outcomes if not o.fault]
    bad = [o for o in sound if o.invented]
    yield f"{len(sound)} sound boats, {len(bad)} with an error or a warning; {len(due)} faults, " + _share(due)
    yield "\ncheck             due  found  recall  invented  precision"
    checks = sorted({c for o in due for c in o.checks} | {check for _, check, _ in invented})
    wrong = Counter(check for _, check, _ in invented)
    for check in checks:
        of = [o for o in due if check in o.checks]
        hit = sum(o.found for o in of)
        right = f"{100 * hit / (hit + wrong[check]):.1f} %" if hit + wrong[check] else "-"
        recall = f"{100 * hit / len(of):.1f} %" if of else "-"
        yield f"{check:15} {len(of):5} {hit:6} {recall:>7} {wrong[check]:9} {right:>10}"
    yield "\nhabit                   boats  invented     due  found   recall"
    habits: dict[str, list[Outcome]] = defaultdict(list)
    for o in outcomes:
        for habit in o.habits:
            habits[habit].append(o)
    for habit in sorted(habits):
        of = [o for o in habits[habit] if o.due]
        hit = sum(o.found for o in of)
        boats = sum(not o.fault for o in habits[habit])
        told = sum(bool(o.invented) for o in habits[habit])
        yield f"{habit:22} {boats:6} {told:9} {len(of):7} {hit:6} {100 * hit / max(len(of), 1):7.1f} %"
    missed = [o for o in due if not o.found]
    if missed:
        yield "\nmissed"
        yield from (f"  {o.again} ({', '.join(o.checks)})" for o in missed)
    if invented:
        yield "\ninvented"
        seen: Counter[tuple[str, int]] = Counter()
        for o, check, words in invented:
            if seen[check, o.seed] < 2 and (seen[check, o.seed] or sum(1 for c, _ in seen if c == check) < 12):
                yield f"  {o.again}: {check} {words}"
            seen[check, o.seed] += 1


def _share(due: list[Outcome]) -> str:
    hit = sum(o.found for o in due)
    return f"{hit} found, {100 * hit / max(len(due), 1):.2f} %"


def _briefly(result: list[Outcome] | str) -> str:
    """A boat as she is done, with what was missed or invented."""
    if isinstance(result, str):
        return result
    missed = [f"missed {o.again} ({', '.join(o.checks)})" for o in result if o.due and not o.found]
    invented = [f"invented {o.again}: {check} {words}" for o in result for check, words in o.invented[:1]]
    return "\n  ".join([f"seed {result[0].seed}, {len(result) - 1} faults", *missed, *invented])


def main() -> int:
    """Draws, plants, checks and prints."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--boats", type=int, default=20, help="how many, one a seed")
    asked.add_argument("--seed", type=int, default=1, help="the first seed")
    asked.add_argument("--faults", type=int, default=0, help="how many in each boat at most; 0 is all")
    asked.add_argument("--only", default="", help="faults with this in their name alone")
    asked.add_argument("--processes", type=int, default=2)
    wish = asked.parse_args()
    tasks = [(seed, wish.faults, wish.only) for seed in range(wish.seed, wish.seed + wish.boats)]
    results = []
    with Pool(wish.processes) as pool:
        for result in pool.imap_unordered(_all, tasks):
            results.append(result)
            print(f"{len(results)} of {len(tasks)}: {_briefly(result)}", file=sys.stderr, flush=True)
    broken = [result for result in results if isinstance(result, str)]
    outcomes = [outcome for result in results if not isinstance(result, str) for outcome in result]
    print("\n".join([*report(outcomes), *broken]))
    return int(bool(broken) or any(o.invented or (o.due and not o.found) for o in outcomes))


if __name__ == "__main__":
    sys.exit(main())
