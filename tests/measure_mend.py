"""How many faults that have a sure cure `mend` takes away, and whether anything new comes in their place.

python tests/measure_mend.py --count 100 --seed 1

Boats are spoilt by one fault each, until so many were met for which a sure cure is told: the demonstration boats, by
something of a drawing that is moved, bent, taken out or called otherwise at random; with --styles boats of all
draughtsmen's habits, by the faults that are planted in these. Some are drawn in inches, by half, from the other side,
in binary. Each is mended, written to a folder, and read and checked again from there, not by what mend says of itself.

Printed is by check how many were mended clean of what was found, with nothing new; apart from these the cures that are
about another thing than was spoilt, as a notch where its batten is drawn elsewhere; and each that was not mended, with
the seed that gives it again. It ends 1 if a mended plan has anything new.
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
from replanning import change_drawings, change_plan, drawn_in_inches, half_drawn, seen_from_the_other_side
from spoiling import copied
from styles.faults import FAULTS, planted
from styles.frames import boat
from styles.habit import at_random
from styles.sheet import drawn, plan

from scrieve.model.assemble import assemble
from scrieve.model.mending.mend import mend
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Finding, Level
from scrieve.shared.whole_files import write_files

SIZES = (1.25, 3.0, 10.0, 30.0)  # times the limit


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of one fault: the checks with a sure cure, whether what they found went, what was new, what is left.

    `own`: a cure is about what was spoilt.
    """

    again: str
    own: bool
    checks: tuple[str, ...]
    went: bool
    new: tuple[str, ...]
    rounds: int
    left: tuple[str, ...]


def told(found: Iterable[Finding]) -> Counter[tuple[str, str]]:
    """How many errors and warnings each check has in each frame: names change with labels and counting."""
    return Counter((each.check, each.frame) for each in found if each.level is not Level.NOTE)


def of_a_style(pick: random.Random, seed: int, folder: Path) -> tuple[Path, str, str] | None:
    """A boat of any draughtsman's habits with one of her faults; None where there is no place for it."""
    style, name = at_random(seed), pick.choice(sorted(FAULTS))
    size = pick.choice(SIZES) if FAULTS[name][1] else 0.0
    spoilt = planted(name, style, boat(style), seed, size)
    if spoilt is None or not all(old in plan(style, boat(style)) for old in spoilt.style.changes):
        return None
    return drawn(folder, spoilt.style, spoilt.frames), f"{name} at {size:g} x its limit", ""


def of_a_hull(pick: random.Random, seed: int, folder: Path) -> tuple[Path, str, str]:
    """A demonstration boat with one thing of one drawing spoilt, and drawn in one way or another; and its handle."""
    hull = copied(pick.choice(["pram", "pram", "skiff"]), folder)
    file = pick.choice(sorted((hull / "frames").glob("*.dxf")))
    done: list[tuple[str, str]] = []
    change_drawings(hull, lambda document: done.append(spoil(document, pick)), f"frames/{file.name}")
    if pick.random() < 0.5:
        change_plan(hull, lambda content: content.pop("cut_sheets"))
    dress = pick.choice([None, None, drawn_in_inches, half_drawn, seen_from_the_other_side])
    if dress is not None:
        dress(hull)
    ((says, handle),) = done
    return hull, f"{hull.name} {file.name}, {dress.__name__ if dress else 'as it is'}: {says}", handle


def spoil(document, pick: random.Random) -> tuple[str, str]:
    """Spoils one thing of a drawing, as a hand that slips does; in words, and its handle, "" if it is gone."""
    thing = pick.choice([each for each in document.modelspace() if each.dxf.layer != "REFERENCE"])
    across, up = (pick.choice([-1, way, 1]) * round(pick.uniform(0.3, 9.0), 1) for way in (1, 0))
    by, handle = (across, up), thing.dxf.handle
    called = f"{thing.dxftype()} {handle} on {thing.dxf.layer}"
    if thing.dxftype() == "LWPOLYLINE" and pick.random() < 0.8:
        rows = thing.get_points("xyb")
        first, many = pick.randrange(len(rows)), pick.choice([1, 2, 2, 4])
        picked = {(first + n) % len(rows) for n in range(many)}
        rows = [(u + by[0], v + by[1], b) if n in picked else (u, v, b) for n, (u, v, b) in enumerate(rows)]
        thing.set_points(rows, format="xyb")
        return f"{many} corners of {called} moved by {by}", handle
    if thing.dxftype() == "TEXT":
        other = pick.choice([each for each in document.modelspace() if each.dxftype() == "TEXT"])
        thing.dxf.text, other.dxf.text = other.dxf.text, thing.dxf.text
        return f"{called} exchanged with {other.dxf.handle}", handle
    if pick.random() < 0.2:
        document.modelspace().delete_entity(thing)
        return f"{called} taken out", ""
    thing.translate(*by, 0)
    return f"{called} moved by {by}", handle


def tried(seed: int, styles: bool) -> Outcome | None:
    """One fault in one boat; None where there was no place for it or no sure cure is told."""
    pick = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        planted = (of_a_style if styles else of_a_hull)(pick, seed, Path(folder) / "wrong")
        if planted is None:
            return None
        wrong, says, spoilt = planted
        if pick.random() < 0.3:
            for file in wrong.rglob("*.dxf"):
                ezdxf.readfile(file).saveas(file, fmt="bin")
        mended = mend(read_plan(wrong))
        left = [each.finding for each in mended.left if all(edit.sure for edit in each.finding.edits)]
        sure = [*(change.finding for change in mended.changes), *(each for each in left if each.edits)]
        if not sure:
            return None
        write_files(Path(folder) / "right", mended.files)
        was, after = (told(review(assemble(read_plan(plan)), held=True)) for plan in (wrong, Path(folder) / "right"))
    return Outcome(
        again=f"seed {seed}: {says}",
        own=not spoilt or any(isinstance(e, SetKey) or spoilt in e.target.handles for f in sure for e in f.edits),
        checks=tuple(sorted({each.check for each in sure})),
        went=all(after[each.check, each.frame] < max(was[each.check, each.frame], 1) for each in sure),
        new=tuple(f"{check} F{frame}" for check, frame in after - was),
        rounds=mended.rounds,
        left=tuple(f"{each.finding.check}: {each.finding.message} | {each.why}" for each in mended.left),
    )


def outcomes(count: int, seed: int, *, styles: bool = False) -> Iterator[Outcome]:
    """So many, from this seed on."""
    while count:
        outcome = tried(seed, styles)
        seed += 1
        if outcome is not None:
            count -= 1
            yield outcome


def main() -> int:
    """Plants, mends, checks again and prints."""
    parser = argparse.ArgumentParser(description="Measures what mend mends.")
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--styles", action="store_true", help="boats of all habits in place of the demonstration boats")
    asked = parser.parse_args()
    found, clean = (Counter[str](), Counter[str]()), (Counter[str](), Counter[str]())
    bad = rounds = 0
    for outcome in outcomes(asked.count, asked.seed, styles=asked.styles):
        checks = ("in all", *outcome.checks)
        found[outcome.own].update(checks)
        clean[outcome.own].update(checks if outcome.went and not outcome.new else ())
        bad += bool(outcome.new)
        rounds = max(rounds, outcome.rounds)
        if outcome.new or not outcome.went:
            print(f"{outcome.again}: {'new ' + ', '.join(outcome.new) if outcome.new else 'it stays'}")
            print("".join(f"    {each}\n" for each in outcome.left[:4]), end="", flush=True)
    print(f"\n{'check':14}  of what was spoilt  mended clean     of another  mended clean")
    for check in sorted(found[0] | found[1]):
        row = (found[1][check], clean[1][check], found[0][check], clean[0][check])
        print(f"{check:14}  {row[0]:18}  {row[1]:12}  {row[2]:13}  {row[3]:12}")
    print(f"{bad} with anything new; {rounds} rounds at most")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
