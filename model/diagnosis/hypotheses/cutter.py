"""The cutter is smaller than the plan says: the corners are drawn for another."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.sentences import Sentence
from scrieve.shared.wording import trimmed

from ..case import Case, Hypothesis


def propose(case: Case) -> Iterator[Hypothesis]:
    """The cutter of the smallest radius that corners are drawn with, where many are drawn too narrow.

    Where they are all sharp it is the one that passes between the parts on the cut sheets.
    """
    now = case.plan.cutter.diameter if case.plan.cutter else 0.0
    close = tuple(each for each in case.of("cut-sheet") if each.measured and now and each.limit == now)
    trace = (*case.of("corner"), *close)
    widths = sorted(2 * each.measured for each in case.of("corner") if each.measured)
    # one corner that is too narrow of itself does not make the cutter, nor do two parts that lie too close
    rooms = widths or sorted(each.measured for each in close if each.measured)
    if not rooms or (width := round(rooms[len(rooms) // 10], 3)) >= now:
        return
    yield Hypothesis(
        says=Sentence.of(
            "{what} a cutter of {width} mm, the plan says {now} mm",
            what="the corners are drawn for" if widths else "parts lie so on the cut sheets that they leave room for",
            width=trimmed(width, 3),
            now=trimmed(now, 3),
        ),
        cure=Sentence.of(
            "set the diameter of [cutter] to {width}, if that is the one at hand", width=trimmed(width, 3)
        ),
        edits=case.plan.keys.set(("cutter",), "diameter", width),
        trace=trace,
        source=case.plan.source_of("cutter", "diameter"),
    )
