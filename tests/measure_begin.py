"""How much of a plan `begin` gets right for boats of all draughtsmen's habits, whose plan is taken away.

python tests/measure_begin.py --boats 50 --seed 1

Each seed is a boat. A plan is begun from her drawings, filled in where it is blank, and held beside the true one, thing
by thing. Printed are the shares by kind of thing, how many boats have all of it right, how many of those are checked to
the same findings, and what was wrong, with the seed that gives it again. With `--names` layers are called L1, L2, ...
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path

from begun_plans import compared, filled, relayered, told
from styles.habit import at_random
from styles.sheet import drawn

from scrieve.model.beginning import begin
from scrieve.model.plan.plan_reader import read_plan


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of one boat: each thing by kind and what it is of, whether it is right; whether she checks alike."""

    seed: int
    habits: tuple[str, ...]
    things: tuple[tuple[str, str, bool], ...]
    alike: bool


def tried(seed: int, *, names: bool = False) -> Outcome:
    """The boat of this seed, her plan taken away and begun again."""
    style = at_random(seed)
    with tempfile.TemporaryDirectory() as place:
        folder = drawn(Path(place), style)
        if names:
            _renamed(folder)
        true = (folder / "plan.toml").rename(folder / "true.toml")
        plan = read_plan(true)
        begun = begin(folder)
        (folder / "begun.toml").write_text(filled(begun.text, plan))
        things = tuple(compared(read_plan(folder / "begun.toml"), plan, [layer.layer for layer in begun.layers]))
        alike = told(folder / "begun.toml") == told(true)
    return Outcome(seed=seed, habits=style.habits, things=things, alike=alike)


def _renamed(folder: Path) -> None:
    """Gives all layers of a boat names that say nothing, in her drawings and in her plan."""
    text = (folder / "plan.toml").read_text()
    layers = sorted(read_plan(folder).layers)
    names = {name: f"L{n}" for n, name in enumerate(sorted(layers, key=_mixed_up), start=1)}
    relayered(folder, folder, names)
    for old, new in names.items():
        text = text.replace(f'"{old}" =', f'"{new}" =')
    (folder / "plan.toml").write_text(text)


def _mixed_up(name: str) -> int:
    """A number that has nothing to do with what the name says, and is always the same."""
    return sum(n * ord(letter) for n, letter in enumerate(name, start=7)) * 7919 % 1009


def report(outcomes: list[Outcome]) -> list[str]:
    """The tables, a line each."""
    right: Counter[str] = Counter()
    due: Counter[str] = Counter()
    for outcome in outcomes:
        for kind, _, good in outcome.things:
            due[kind] += 1
            right[kind] += good
    whole = [o for o in outcomes if all(good for *_, good in o.things)]
    alike = sum(o.alike for o in outcomes)
    out = [
        f"{len(outcomes)} boats: all right in {len(whole)}; {alike} check to the same errors and warnings",
        f"{sum(right.values())} of {sum(due.values())} things right, {100 * right.total() / max(due.total(), 1):.1f} %",
        "",
        "thing                 due  right   share",
    ]
    out += [f"{kind:18} {due[kind]:6} {right[kind]:6} {100 * right[kind] / due[kind]:6.1f} %" for kind in sorted(due)]
    wrong = [(o, kind, of) for o in outcomes for kind, of, good in o.things if not good]
    out += ["", *(f"other findings: seed {o.seed}; {' '.join(o.habits)}" for o in outcomes if not o.alike)]
    if wrong:
        out += ["", "wrong"]
        by_seed = Counter((o.seed, kind) for o, kind, _ in wrong)
        habits = {o.seed: " ".join(o.habits) for o in outcomes}
        out += [f"  seed {seed}: {kind} ({many}); {habits[seed]}" for (seed, kind), many in sorted(by_seed.items())]
    return out


def _all(task: tuple[int, bool]) -> Outcome | str:
    try:
        return tried(task[0], names=task[1])
    except Exception as error:  # one boat's trouble is told, the others are still measured
        return f"seed {task[0]}: {type(error).__name__}: {error}"


def main() -> int:
    """Draws, begins, compares and prints."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--boats", type=int, default=20, help="how many, one a seed")
    asked.add_argument("--seed", type=int, default=1, help="the first seed")
    asked.add_argument("--names", action="store_true", help="call the layers L1, L2, ...")
    asked.add_argument("--processes", type=int, default=1)
    wish = asked.parse_args()
    with Pool(wish.processes) as pool:
        results = pool.map(_all, [(seed, wish.names) for seed in range(wish.seed, wish.seed + wish.boats)])
    broken = [result for result in results if isinstance(result, str)]
    print("\n".join([*report([result for result in results if not isinstance(result, str)]), *broken]))
    return int(bool(broken))


if __name__ == "__main__":
    sys.exit(main())
