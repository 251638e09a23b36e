"""The steps of setting up: the strongback level, frames and battens on in order, then a look for fair."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from scrieve.shared.tolerances import COINCIDENT

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ..measurements.batten_runs import BattenRun, batten_runs
from ..measurements.leg_lengths import leg_lengths
from ..measurements.rail_marks import rail_layout
from ..setting_up import Sprung, setting_up
from ..way import Way
from .cards import LOWEST
from .step import Adding, Kind, Node, Step
from .words import in_a_row, in_setting_up, weight

SQUARE = 1.0
"""mm that a diagonal of the strongback may be off: what a tape tells. Common practice, no source."""

_INTO_RAIL = 25.0  # mm of a screw in the rail; common practice, no source

_ALIKE = 1e-3
"""Ways of two battens that differ by less, mirrored, are one."""


def standing_nodes(assembly: Assembly, benches: Mapping[str, str]) -> list[Node]:
    """The nodes of setting up; `benches` has the key of the last bench node of each frame, by its number.

    Empty for a boat with neither strongback nor battens and but one frame: that is not set up.
    """
    if assembly.strongback is None and not assembly.battens and len(assembly.frames) < 2:
        return []
    order = setting_up(assembly, assembly.wanted_in(None))
    frames = {frame.name: frame for frame in assembly.frames}
    ways = {frame.name: way for frame, way in order.frames}
    sprung = {each.batten.name: each for each in order.battens}
    stand = _SettingUpNodes(assembly)
    stand.level()
    for things in _pairs(order.order, sprung):
        if things[0] in frames:
            stand.frame(frames[things[0]], ways[things[0]], benches)
        else:
            stand.battens([sprung[name] for name in things])
    for trapped in order.trapped:
        by = f", {in_a_row(trapped.by)} {'bars' if len(trapped.by) == 1 else 'bar'} it" if trapped.by else ""
        frame = frames.get(trapped.thing)
        stand.add(
            "batten" if frame is None else "frame",
            f"No straight way in was found for {trapped.thing if frame else f'the {trapped.thing}'}{by}",
            frame="" if frame is None else frame.number,
            waits=_bench(frame, benches),
            adds=(Adding(names=(trapped.thing,)),),
            watch=("see what `scrieve check` says of it before anything is glued",),
        )
    if assembly.battens:
        stand.add(
            "fair",
            "Sight along every batten from both ends: no bump and no flat",
            watch=("pack or ease a notch; glue nothing to the frames; go on when every batten is fair",),
        )
    return stand.nodes


class _SettingUpNodes:
    """The nodes of setting up as they are made, each after the one before."""

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
        self.layout = rail_layout(assembly)
        self.marks = dict(zip(assembly.frames, self.layout.marks, strict=True))
        self.nodes: list[Node] = []

    def add(self, kind: Kind, title: str, *, frame: str = "", waits: Iterable[str] = (), **more: Any) -> None:
        """A node that comes after the one before and what else it waits for."""
        count = len(self.nodes)
        step = Step(number=0, stage="setting up", frame=frame, kind=kind, title=title, **more)
        before = [node.key for node in self.nodes[-1:]]
        self.nodes.append(Node(f"setting up {count}", (1, count, 0), step, (*waits, *before)))

    def level(self) -> None:
        """The strongback, or whatever the boat is set up on."""
        assembly, rails = self.assembly, self.assembly.strongback
        layout = self.layout
        marks = ", ".join(f"{mark.frame} {mark.from_end:.1f}" for mark in layout.marks)
        if rails is None:
            title, watch = "Make a level base and mark the stations on it", [f"marks from the first, mm: {marks}"]
            self.add("strongback", title, watch=tuple(watch), marks=layout.marks)
            return
        watch = [
            f"two rails {rails.width:g} x {rails.depth:g} mm, {layout.length:g} mm long, "
            f"{rails.inside_width:g} mm apart inside; tops level along and across",
            f"square: both diagonals, outer corner to outer corner, {layout.diagonal:.1f} ±{SQUARE:g} mm",
            "a taut line halfway between: the boat's centreline",
            f"marks on both rails, mm from their aft end: {marks}",
            "go on when tops, diagonals and marks are right",
        ]
        if assembly.build == "inverted":
            watch.append("the boat stands upside down: its deck is next to the rails")
        self.add("strongback", "Set up the strongback, mark the stations", watch=tuple(watch), marks=layout.marks)

    def frame(self, frame: Frame, way: Way, benches: Mapping[str, str]) -> None:
        """A frame comes to its station."""
        on = "on the rails" if self.assembly.strongback is not None else "at its station"
        words = in_setting_up(way.toward, self.assembly.build)
        comes = "" if words == "down" else f": {'slide' if way.how == 'slide' else 'lower'} it {words}"
        weighs = weight(frame.parts)
        self.add(
            "frame",
            f"Stand {frame.name} {on}{f', {weighs}' if weighs else ''}{comes}",
            frame=frame.number,
            waits=_bench(frame, benches),
            adds=(Adding(names=(frame.name,), way=f"{way.how} {words}", toward=way.toward),),
            watch=tuple(self._watched(frame)),
            marks=(self.marks[frame],),
            cautions=("lifting",),
        )

    def _watched(self, frame: Frame) -> Iterator[str]:
        mark, frames = self.marks[frame], list(self.marks)
        clear = ""
        if mark.clear is not None:
            own = "" if mark.face == "aft face" else "aft face "
            clear = f", {own}{mark.clear:.1f} mm from {frames[frames.index(frame) - 1].name}'s forward face"
        yield f"{mark.face} on the mark {mark.from_end:.1f} mm{clear}"
        stands = "plumb"
        if leans := abs(mark.lean) > COINCIDENT:
            way = "aft" if mark.lean > 0 else "forward"
            off = f"{abs(np.tan(mark.lean)) * 100:.1f} mm in 100 mm of height"
            stands = f"upper end leaning {way} {abs(np.degrees(mark.lean)):.1f}°, {off}"
        if self.assembly.strongback is not None and mark.lowest is not None:
            stands += f"; lowest edge {mark.lowest:.1f} mm up: {LOWEST}"
        yield stands
        if leans and frame.legs:
            yield "its legs stand on one edge of the foot: that is right"
        yield "faces are those of the core, where the rail tops are; middle on the centreline, square to it"
        yield "braced before you let go"
        if self.assembly.strongback is not None and frame.legs:
            yield self._fastening(frame)

    def _fastening(self, frame: Frame) -> str:
        """How legs are fastened to the rails: no plan says."""
        tongues = [leg.tongue for leg in leg_lengths(frame, self.assembly) if leg.tongue is not None]
        how = "a block screwed to each leg and its rail"
        if tongues:
            length = 5.0 * np.ceil((max(tongues) + _INTO_RAIL) / 5.0)
            how = f"two {length:.0f} mm screws through each tongue into the rail's inner face"
        return (
            f"legs to rails: the plan does not say; usual is {how}, no glue, out again when the boat comes off "
            "(common practice, no source)"
        )

    def battens(self, together: Sequence[Sprung]) -> None:
        """A batten comes into its notches, or a pair of them in turn."""
        (batten, way), pair = (together[0].batten, together[0].way), len(together) > 1
        words = in_setting_up(way.toward, self.assembly.build)
        what, them = f"the {batten.name}", "it"
        if pair:
            inboard = {"port": "to starboard", "starboard": "to port"}[batten.side]
            outboard = {"port": "to port", "starboard": "to starboard"}[batten.side]
            words = words.replace(inboard, "inboard").replace(outboard, "outboard")
            what, them = f"the port and starboard {batten.kind}, in turn,", "them"
        if way.how == "thread":
            end = "forward" if way.toward[0] < 0 else "aft"
            title, how = f"Thread {what} in from the {end} end", f"thread in from the {end} end"
        elif way.how == "slide":
            end, off = ("forward", "aft") if way.toward[0] > 0 else ("aft", "forward")
            far = f"{np.ceil(way.reach):.0f} mm"
            title = f"Lay {what} in {far} {off} of {'their' if pair else 'its'} place and slide {them} {end}"
            how = f"lay in and slide {end} {far}"
        else:
            title = f"Spring {what} in from {_coming_from(together[0])}: press {them} {words}"
            how = f"spring in {words}"
        runs = tuple(batten_runs(self.assembly)[each.batten.name] for each in together)
        self.add(
            "batten",
            title,
            adds=tuple(Adding(names=(each.batten.name,), way=how, toward=each.way.toward) for each in together),
            watch=tuple(_let_in(together[0], runs[0])),
            runs=runs,
        )


def _pairs(order: Sequence[str], sprung: Mapping[str, Sprung]) -> Iterator[tuple[str, ...]]:
    """The frames and battens one by one, but the two battens of a kind that follow one another together."""
    left = list(order)
    while left:
        name, *left = left
        one, other = sprung.get(name), sprung.get(left[0]) if left else None
        if one is not None and other is not None and _are_twins(one, other):
            yield name, left.pop(0)
        else:
            yield (name,)


def _are_twins(one: Sprung, other: Sprung) -> bool:
    """Whether two battens are of one kind, one to port and one to starboard, and go in alike."""
    sides = {one.batten.side, other.batten.side}
    x, y, z = one.way.toward
    return (
        one.batten.kind == other.batten.kind
        and sides == {"port", "starboard"}
        and one.way.how == other.way.how
        and bool(np.allclose((x, -y, z), other.way.toward, atol=_ALIKE))
    )


def _let_in(sprung: Sprung, run: BattenRun) -> Iterator[str]:
    """How long it is, where one begins, and where it goes in endwise."""
    batten = sprung.batten
    eased = f", edges eased {batten.arris:g} mm" if batten.arris > 0 else ""
    yield f"{batten.long:g} x {batten.short:g} mm{eased}; {run.length:.0f} mm along its curve, cut to {run.cut:.0f} mm"
    yield f"begin at {run.begin}, on outward to both ends"
    closed = [frame.name for frame, each in sprung.notches if each.how == "thread"]
    if closed and len(closed) < len(sprung.notches):
        through = f"endwise through {in_a_row(closed)}"
        yield (
            f"laid into the rest, then {through}" if sprung.way.how == "slide" else f"{through}, pressed into the rest"
        )


def _coming_from(sprung: Sprung) -> str:
    """ "outside", or where else it comes from by the way it is pressed: "above" in the boat, or "inside" it."""
    _, y, z = sprung.way.toward
    inboard = {"port": -1.0, "starboard": 1.0, "centre": 0.0}[sprung.batten.side]
    if abs(z) > abs(y):
        return "outside" if z > 0 else "above"
    return "outside" if y * inboard >= 0 else "inside"


def _bench(frame: Frame | None, benches: Mapping[str, str]) -> tuple[str, ...]:
    """The last of the frame's own steps on the bench, if it has any."""
    return (benches[frame.number],) if frame is not None and frame.number in benches else ()
