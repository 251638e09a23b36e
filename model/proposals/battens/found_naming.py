"""Which batten lies in which row of notches: by size, by label, else by the order in which the trade sets them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, permutations
from typing import TypeAlias

import numpy as np

from ...boat.batten import Batten, Section
from ...plan.plan import Plan
from .batten_names import batten_side, kind_of
from .found_notch import Slot
from .found_track import FEWEST, SKIPPED, Track, TrackPlace, easiest, round_from_keel
from .seat import misfit, settled

_MISFIT = 4.0  # mm; a notch that is tighter or wider than its batten by more is no notch of it
_ALIKE = 0.5  # mm a frame; battens that fit as well as this in each other's notches cannot be told apart by size
_MISSING = 10_000.0  # cost of a batten that finds no notches
_MOST_ORDERS = 120  # of battens on one side to try: all those of five
_ENOUGH = 3  # frames; two notches alike are soon come by, three in an easy run are a batten's
_LABELLED = 1000.0  # what is said to be its notch, is

_TRADE = (
    ("keel", "hog"),
    ("floor", "bottom"),
    ("lower chine",),
    ("chine", "bilge"),
    ("upper chine",),
    ("sheer", "gunwale", "inwale"),
    ("carlin",),
)
"""The battens of a side in the order in which they come, from the keel up and over: words of the trade."""

Places: TypeAlias = Mapping[str, Sequence[Sequence[TrackPlace]]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Followed:
    """A batten followed through its places, its sections laid into their notches."""

    batten: Batten
    track: Track
    cost: float

    @property
    def sections(self) -> list[Section]:
        """Those that were found, not drawn."""
        return [s for s, place in zip(self.batten.sections, self.track, strict=True) if place.seat is not None]

    @property
    def key(self) -> tuple[tuple[str, Slot | None], ...]:
        """Tells it from others by its frames and notches."""
        return tuple((place.frame.number, place.slot) for place in self.track)


def assigned(
    plan: Plan, names: Sequence[str], places: Places
) -> tuple[dict[str, Followed], dict[str, tuple[Track, Track]]]:
    """The battens of one side as far as they are sure; of the others two tracks each might have.

    Every order of choosing is tried, a batten taking the easiest run through notches that those before
    it have left. Where several fit about as well, the one is taken that has the battens in the order
    of the trade; failing that, those that differ are unsure. So is one that has two rows to choose from.
    """
    follow = _Follower(plan, places)
    options: dict[tuple[object, ...], tuple[float, dict[str, Followed]]] = {}
    for order in islice(permutations(names), _MOST_ORDERS):
        taken: frozenset[Slot | None] = frozenset()
        chosen: dict[str, Followed] = {}
        for name in order:
            followed = follow(name, taken)
            if followed is not None:
                chosen[name] = followed
                taken |= {place.slot for place in followed.track}
        total = sum(f.cost for f in chosen.values()) + _MISSING * (len(names) - len(chosen))
        options.setdefault(tuple(chosen[name].key if name in chosen else () for name in names), (total, chosen))
    ranked = sorted(options.values(), key=lambda option: option[0])
    best = ranked[0][1]
    near = ranked[0][0] + _ALIKE * sum(len(followed.key) for followed in best.values())
    alike = [chosen for total, chosen in ranked if total <= near]
    proper = [chosen for chosen in alike if _in_trade_order(plan, chosen)]
    if len(proper) == 1:
        best, alike = proper[0], proper
    unsure: dict[str, tuple[Track, Track]] = {}
    for name, followed in best.items():
        others = [chosen[name] for chosen in alike if name in chosen and chosen[name].key != followed.key]
        spare = follow(name, frozenset(place.slot for f in best.values() for place in f.track))
        within = followed.cost + _ALIKE * len(followed.key)
        elsewhere = spare is not None and spare.key != followed.key  # drawn sections are the same in every run
        if spare is not None and elsewhere and len(spare.key) >= len(followed.key) and spare.cost <= within:
            others.append(spare)
        if others:
            unsure[name] = followed.track, others[0].track
    return {name: followed for name, followed in best.items() if name not in unsure}, unsure


class _Follower:
    """Follows battens through what others have left, each question once."""

    def __init__(self, plan: Plan, places: Places) -> None:
        self._plan = plan
        self._places = places
        self._known: dict[tuple[str, frozenset[Slot | None]], Followed | None] = {}
        self._slots = {name: {p.slot for each in places[name] for p in each} - {None} for name in places}

    def __call__(self, name: str, taken: frozenset[Slot | None]) -> Followed | None:
        key = name, frozenset(taken & self._slots[name])
        if key not in self._known:
            self._known[key] = self._followed(*key)
        return self._known[key]

    def _followed(self, name: str, taken: frozenset[Slot | None]) -> Followed | None:
        """The batten through the notches that fit it as it passes them; None if there are too few."""
        run = easiest(self._places[name], taken)
        if run is None:
            return None
        cost, track = run
        cost -= sum(place.cost for place in track)
        while self._enough(name, track):
            seats = [place.seat for place in track]
            batten = settled(self._batten(name, track), seats)
            worst = misfit(batten, seats)
            i = int(np.argmax(worst))
            if worst[i] <= _MISFIT:
                cost += float(worst.sum()) - _LABELLED * sum(place.labelled for place in track)
                return Followed(batten=batten, track=track, cost=cost)
            track = (*track[:i], *track[i + 1 :])
            cost += SKIPPED
        return None

    def _enough(self, name: str, track: Track) -> bool:
        """Whether there are places enough, and in most of the frames from the first to the last, to be a batten's."""
        if len(track) < FEWEST:
            return False
        if sum(place.labelled for place in track) >= FEWEST:
            return True
        whole = self._places[name]
        ends = [i for i, each in enumerate(whole) if any(place is track[0] or place is track[-1] for place in each)]
        return len(track) >= min(_ENOUGH, len(whole)) and 2 * len(track) > ends[-1] - ends[0]

    def _batten(self, name: str, track: Track) -> Batten:
        """The batten through the places of a track, as if it passed every frame square."""
        kind = kind_of(self._plan, name)
        spec = self._plan.battens[kind]
        long, short = sorted(spec.section, reverse=True)
        return Batten(
            name=name,
            kind=kind,
            side=batten_side(self._plan, name),
            long=long,
            short=short,
            arris=spec.arris,
            sections=tuple(place.section for place in track),
            placements=tuple(place.frame.placement for place in track),
        )


def _in_trade_order(plan: Plan, chosen: Mapping[str, Followed]) -> bool:
    """Whether the battens of a side come in the order of the trade, going round each frame from the keel up.

    A frame without core has no middle to go round.
    """
    ranks = {name: _rank(kind_of(plan, name)) for name in chosen}
    if any(rank is None for rank in ranks.values()) or len({*ranks.values()}) < len(ranks):
        return False
    by_frame: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for name, followed in chosen.items():
        for place in (each for each in followed.track if each.frame.core):
            by_frame[place.frame.number].append((round_from_keel(place, upright=plan.build == "upright"), name))
    orders = [[ranks[name] for _, name in sorted(here)] for here in by_frame.values()]
    return all(order == sorted(order, key=lambda rank: rank or (0, 0)) for order in orders)


def _rank(kind: str) -> tuple[int, int] | None:
    """Where a batten comes by its name: by the longest word of the trade in it, and by its number; None for others."""
    words = kind.casefold().split()
    number = int(words[-1]) if words and words[-1].isdecimal() else 0
    said = " ".join(words)
    hits = [(len(word), rank) for rank, group in enumerate(_TRADE) for word in group if word in said]
    return (max(hits)[1], number) if hits else None
