"""Wishes of a plan's `[[order]]` that no drawing, or no geometry or trade, allows, and what stands against them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from scrieve.shared.nearest import did_you_mean
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import listed

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.defect import Defect
from ..boat.frame import Frame
from ..plan.plan_order import Before
from ..plan.toml_words import quoted
from .bench_order import BenchOrder, bench_order
from .laying import stage_of
from .leaving import Pieces
from .setting_up import setting_up


def refused(assembly: Assembly) -> Iterator[Before]:
    """The wishes that are not kept, in the order of the plan; those of names that nothing has are left out."""
    pairs: set[tuple[str, str]] = set()
    for frame in assembly.frames:
        wanted = assembly.wanted_in(frame)
        if wanted:
            found = bench_order(frame, wanted)
            pairs |= set(found.refused)
            as_one = [{part.name for part in placed.parts} for placed in found.placed if len(placed.parts) > 1]
            pairs |= {pair for pair in wanted if any(names.issuperset(pair) for names in as_one)}
    wanted = assembly.wanted_in(None)
    if wanted:
        pairs |= set(setting_up(assembly, wanted).refused)
    return (wish for wish in assembly.order if (wish.first, wish.then) in pairs)


def why_not(wish: Before, assembly: Assembly) -> Sentence:
    """Why a wish that was not kept cannot be, in one sentence that names what stands against it."""
    if not wish.frame:
        why = _in_setting_up(wish, assembly)
    else:
        frame = next(frame for frame in assembly.frames if frame.number == wish.frame)
        why = _on_the_bench(wish, frame, bench_order(frame, assembly.wanted_in(frame)))
    return Sentence.of(
        "{first} cannot go on before {then}: {why}",
        first=Name(quoted(wish.first)),
        then=Name(quoted(wish.then)),
        why=why,
    )


def _in_setting_up(wish: Before, assembly: Assembly) -> str:
    found = setting_up(assembly, assembly.wanted_in(None))
    for trapped in found.trapped:
        if trapped.thing == wish.first:
            return _no_way(trapped.thing, trapped.by)
    return Sentence.of("{then} would find no straight way in past it", then=Name(wish.then))


def _on_the_bench(wish: Before, frame: Frame, order: BenchOrder) -> str:
    for trapped in order.trapped:
        if wish.first in trapped.parts:
            return _no_way(trapped.thing, trapped.by)
    pieces = [placed.parts for placed in order.placed]
    names = [[part.name for part in piece] for piece in pieces]
    first = next(n for n, piece in enumerate(names) if wish.first in piece)
    then = next(n for n, piece in enumerate(names) if wish.then in piece)
    if first == then:
        return "the plies of a leg are glued together and go on as one"
    early, late = stage_of(pieces[then][0]), stage_of(pieces[first][0])
    if early != late and late == "legs":
        return "the leg would then lie between the core and the board"
    if early != late and late in ("forward", "aft"):
        if early == "core":
            return "the core goes together before any plate lies on it"
        return Sentence.of(
            "the {face} face has to lie up first, for its own ways in or for another [[order]]", face=early
        )
    up = 1 if order.first == "forward" else -1
    sides = (1, -1) if early == "legs" else (-up,) if order.placed[then] in order.second_face else (up,)
    rest = [n for n in range(first + 1) if n != then]
    bars = sorted(name for n in Pieces(pieces).holders(then, rest, sides) for name in names[n])
    if not bars:
        return "another [[order]] of the plan stands against it"
    return Sentence.of("{bars} would then bar its way in", bars=listed(bars))


def _no_way(thing: str, by: Sequence[str]) -> Sentence:
    bar = "bars" if len(by) == 1 else "bar"
    return Sentence.of(
        "no straight way in was found for {thing} at all{barred}",
        thing=Name(thing),
        barred=Sentence.of(", {by} {bar} it", by=listed(by), bar=bar) if by else "",
    )


def resolved(wishes: Iterable[Before], frames: Iterable[Frame], battens: Iterable[Batten]) -> tuple[Before, ...]:
    """The wishes with their names as reports have them, whatever capitals the plan writes."""
    names = [part.name for frame in frames for part in frame.parts] + [batten.name for batten in battens]
    spelt = {name.casefold(): name for name in names}
    return tuple(
        replace(
            wish, first=spelt.get(wish.first.casefold(), wish.first), then=spelt.get(wish.then.casefold(), wish.then)
        )
        for wish in wishes
    )


def unknown(wishes: Iterable[Before], frames: Iterable[Frame], battens: Iterable[Batten]) -> Iterator[Defect]:
    """A defect for each name in the wishes that is a part's or a batten's and that no drawing shows."""
    parts: dict[str, list[str]] = {frame.number: [part.name for part in frame.parts] for frame in frames}
    followed = [batten.name for batten in battens]
    for wish in wishes:
        for name in (wish.first, wish.then):
            if wish.frame:
                there = parts[wish.frame]
                what: str = Sentence.of("a part that the drawing of F{frame} does not show", frame=Name(wish.frame))
            else:
                there, what = [*followed, *(f"F{number}" for number in parts)], "a batten that the drawings do not show"
            if name not in there:
                yield Defect(
                    message=Sentence.of(
                        "[[order]] names {what}{meant} (got {name})",
                        what=what,
                        meant=Name(did_you_mean(name, there)),
                        name=Name(quoted(name)),
                    ),
                    source=wish.source,
                    cure="name it as reports do, with its face where there is one on each",
                )
