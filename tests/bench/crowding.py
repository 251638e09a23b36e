"""How the work grows: with frames in a boat, and with screws, parts and corners in one frame.

    python tests/bench/crowding.py [FRAMES…]

Prints processor time for each size and, after it, the exponent: 1 where twice as much takes twice as long, from the
first size to the last and over the last step alone. Without sizes boats of 12, 24 and 50 frames are drafted and
checked; no fewer than 12 will do, and drafting takes longest, of 200 frames several minutes. Searches that would
have no end have a budget of steps: where one was spent, "given up" says so.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from math import log
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

import making
from lines_making import drafted, frame, lines

from scrieve.model.assemble import assemble
from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.proposals.dowels.dowels_proposed import with_dowels
from scrieve.model.relations.scope import in_scope
from scrieve.shared.limits import Limits

FRAMES = (12, 24, 50)
BAY = 240.0  # mm; so that 200 frames keep within the 50 m that are drafted
_TOO_SHORT = 0.002  # s at the greatest size; what takes less has no growth to speak of


def seconds(work: Callable[[], Any]) -> tuple[float, Any]:
    """The processor time that work takes, and what comes of it."""
    start = time.process_time()
    out = work()
    return time.process_time() - start, out


def table(title: str, sizes: Sequence[int], rows: dict[str, list[float]], said: Sequence[str] = ()) -> None:
    """Prints the times of each row, ms, and its exponents."""
    print(f"\n{title:24}" + "".join(f"{size:>9}" for size in sizes) + "   exponent  last")
    for name, times in rows.items():
        if times[-1] >= _TOO_SHORT:
            whole, last = (log(max(times[-1], 1e-6) / max(times[n], 1e-6)) / log(sizes[-1] / sizes[n]) for n in (0, -2))
            print(f"{name:24}" + "".join(f"{1000 * each:9.1f}" for each in times) + f"   {whole:8.2f} {last:5.2f}")
    for line in said:
        print(f"  {line}")


def boat(folder: Path, count: int) -> Path:
    """The plan of a boat of so many frames, a third of them rings, drafted."""
    u = np.linspace(0.0, 1.0, max(21, count + 2))
    bow, length = np.sin(np.pi * u), BAY * (count + 1)
    columns = {
        "stations": u * length,
        "keel": 60 + 20 * u,
        "chine.half_breadth": 520 + 90 * bow,
        "chine.height": 180 - 50 * bow,
        "sheer.half_breadth": 620 + 130 * bow,
        "sheer.height": 560 + 30 * u - 40 * bow,
    }
    wanted = [frame(str(n), BAY * n, "open" if n % 3 else "ring") for n in range(1, count + 1)]
    rounded = {name: [round(float(value), 2) for value in values] for name, values in columns.items()}
    return drafted(folder, lines(rounded, wanted, strongback={"from": -300, "to": length + 300}))


def by_frames(sizes: Sequence[int]) -> None:
    """Every check, reading and setting up, of boats of more and more frames."""
    rows: dict[str, list[float]] = {}
    for count in sizes:
        with tempfile.TemporaryDirectory() as folder:
            plan = read_plan(boat(Path(folder), count))
            spent, whole = seconds(lambda plan=plan: assemble(plan))
        times = {"reading and setting up": spent}
        seen = in_scope(whole)
        for slug, check in CHECKS.items():
            times[slug], _ = seconds(lambda c=check, a=whole if check.sees_all else seen: list(c.run(a)))
        for name, spent in {"all": sum(times.values()), **times}.items():
            rows.setdefault(name, []).append(spent)
    table("frames in a boat, ms", sizes, rows)


def checked(own: Any, slugs: Sequence[str]) -> tuple[float, list[str]]:
    """The processor time that these checks of one frame take, how much they find and what they say they gave up."""
    whole = making.assembly([own])
    spent, found = seconds(lambda: [finding for slug in slugs for finding in CHECKS[slug].run(whole)])
    gave_up = [f"given up: {finding.message}" for finding in found if "too crowded" in finding.message]
    return spent, [f"{len(found)} findings", *gave_up]


def by_screws(sizes: Sequence[int]) -> None:
    """Fouling screws in one frame, 3 mm apart, and the moves that cure them."""
    times, said = [], []
    for count in sizes:
        long = 3.0 * count + 60
        board = making.part("floor", making.rectangle(0, 0, long, 300))
        plate = making.part("port gusset", making.rectangle(0, 0, long, 300), face="forward", thickness=9.0)
        driven = [making.screw([board, plate], (30 + 3.0 * n, 150), name=f"screw {n:04}") for n in range(count)]
        own = making.frame([board, plate], screws=driven)
        spent, told = checked(own, ("screw-foul", "screw-edge", "driver", "screw-bite", "screw-count"))
        times.append(spent)
        said += [f"{count}: {line}" for line in told]
    table("screws in a frame, ms", sizes, {"screws' checks": times}, said)


def row(count: int) -> Any:
    """A frame of boards that butt in a row."""
    return making.frame(
        [making.part(f"piece {n}", making.rectangle(60 * n, 0, 60 * n + 60, 100)) for n in range(count)]
    )


def heap(count: int) -> Any:
    """A frame of boards that lie over one another anyhow."""
    pick = random.Random(1)
    corners = [(pick.uniform(-300, 300), pick.uniform(0, 400)) for _ in range(count)]
    sizes = [(pick.uniform(60, 200), pick.uniform(60, 200)) for _ in range(count)]
    return making.frame(
        making.part(f"piece {n}", making.rectangle(y, v, y + wide, v + high))
        for n, ((y, v), (wide, high)) in enumerate(zip(corners, sizes, strict=True))
    )


def jagged(count: int) -> Any:
    """A frame of two boards with a saw's teeth along one edge."""
    teeth = [(1000 * (1 - n / count), 100 + 8 * (n % 2)) for n in range(count)]
    port = Outline.of([(0, 0), (1000, 0), *teeth, (0, 100)])
    return making.frame([making.part("port board", port), making.part("starboard board", port.mirrored())])


def by_shape(title: str, make: Callable[[int], Any], sizes: Sequence[int]) -> None:
    """One frame: dowels proposed, and all checks."""
    rows: dict[str, list[float]] = {"dowels proposed": [], "all checks": []}
    said = []
    for count in sizes:
        own = make(count)
        spent, doweled = seconds(lambda own=own: with_dowels([own], 10.0, Limits()))
        rows["dowels proposed"].append(spent)
        said += [f"{count}: given up: dowels" for _ in doweled.crowded]
        spent, told = checked(doweled.frames[0], tuple(CHECKS))
        rows["all checks"].append(spent)
        said += [f"{count}: {line}" for line in told]
    table(title, sizes, rows, said)


def main() -> None:
    """Prints the four tables."""
    by_screws((250, 500, 1000, 2000))
    by_shape("boards in a row, ms", row, (6, 12, 25, 50))
    by_shape("boards in a heap, ms", heap, (12, 25, 50, 100))
    by_shape("corners of an edge, ms", jagged, (125, 250, 500, 1000))
    by_frames([int(size) for size in sys.argv[1:]] or FRAMES)


if __name__ == "__main__":
    main()
