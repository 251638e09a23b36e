"""The steps of setting up: the strongback level, frames and battens on in order, then a look for fair."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import numpy as np

from scrieve.shared.tolerances import COINCIDENT

from ...boat.assembly import Assembly
from ...boat.batten import Batten
from ...boat.frame import Frame
from ..measurements.batten_runs import batten_length, batten_run
from ..measurements.rail_marks import lowest_edge, rail_layout, station_face
from ..setting_up import Sprung, setting_up
from ..way import Way
from .step import Adding, Kind, Node, Step
from .watching import outer_plies
from .words import in_a_row, in_setting_up

_GRAMS = 0.05
"""kg; a frame of less, or of stock without a density, is not said to weigh anything."""


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
    standing: list[Frame] = []
    for name in order.order:
        if name in frames:
            stand.frame(frames[name], ways[name], standing, benches)
            standing.append(frames[name])
        else:
            stand.batten(sprung[name])
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
            watch=("pack or ease a notch until it is fair; glue nothing to the frames before that",),
        )
    return stand.nodes


class _SettingUpNodes:
    """The nodes of setting up as they are made, each after the one before."""

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
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
        watch = [f"marks from the plan's zero, mm: {', '.join(_mark(frame) for frame in assembly.frames)}"]
        marks = rail_layout(assembly).marks
        if rails is None:
            self.add("strongback", "Make a level base and mark the stations on it", watch=tuple(watch), marks=marks)
            return
        apart = f"rails {rails.inside_width:g} mm apart inside, their tops in one level plane along and across"
        watch = [apart, "a taut line halfway between them: the boat's centreline", *watch]
        if assembly.build == "inverted":
            watch.append("the boat stands upside down: its deck is next to the rails")
        self.add("strongback", "Set up the strongback and mark the stations on it", watch=tuple(watch), marks=marks)

    def frame(self, frame: Frame, way: Way, standing: list[Frame], benches: Mapping[str, str]) -> None:
        """A frame comes to its station."""
        on = "on the rails" if self.assembly.strongback is not None else "at its station"
        words = in_setting_up(way.toward, self.assembly.build)
        comes = "lower it" if words == "down" else f"{'slide' if way.how == 'slide' else 'lower'} it {words}"
        self.add(
            "frame",
            f"Stand {frame.name} {on}: {comes}",
            frame=frame.number,
            waits=_bench(frame, benches),
            adds=(Adding(names=(frame.name,), way=f"{way.how} {words}", toward=way.toward),),
            watch=tuple(self._watched(frame, standing)),
            marks=tuple(mark for mark in rail_layout(self.assembly).marks if mark.frame == frame.name),
            cautions=("lifting",),
        )

    def _watched(self, frame: Frame, standing: list[Frame]) -> Iterator[str]:
        face = station_face(frame)
        yield f"{face} on the mark {frame.placement.station:.1f}{_from_nearest(frame, standing)}"
        yield from outer_plies(ply for leg in frame.legs for ply in leg.plies)
        rake = frame.placement.rake
        if abs(rake) > COINCIDENT:
            # upside down, what leans aft with its deck leans forward with its bottom, which is up
            leans = "aft" if (rake > 0) == (self.assembly.build == "upright") else "forward"
            off = f"{abs(np.tan(rake)) * 100:.1f} mm in every 100 mm of height"
            yield f"upper end leaning {leans} by {abs(np.degrees(rake)):.1f}°, {off}"
            yield "its mark is for the level of the rail tops"
        else:
            yield "plumb"
        if self.assembly.strongback is not None and frame.core:
            yield f"lowest edge of its core {lowest_edge(frame, self.assembly):.1f} mm above the rail tops"
        mass = sum(part.mass for part in frame.parts)
        weighs = (
            f", it weighs {mass:.1f} kg" if mass >= _GRAMS and all(part.density > 0 for part in frame.parts) else ""
        )
        yield f"middle on the centreline, square to it; brace it before letting go{weighs}"

    def batten(self, sprung: Sprung) -> None:
        """A batten comes into its notches."""
        batten, way = sprung.batten, sprung.way
        words = in_setting_up(way.toward, self.assembly.build)
        if way.how == "thread":
            end = "forward" if way.toward[0] < 0 else "aft"
            title, how = f"Thread the {batten.name} in from the {end} end", f"thread in from the {end} end"
        else:
            title = f"Spring the {batten.name} in from {_coming_from(sprung)}: press it {words}"
            how = f"spring in {words}"
        closed = [frame.name for frame, each in sprung.notches if each.how == "thread"]
        watch = [_measures(batten)]
        if closed and len(closed) < len(sprung.notches):
            watch.append(f"it goes endwise through {in_a_row(closed)} and is pressed into the rest")
        twin = {"port": "starboard", "starboard": "port"}.get(batten.side)
        if any(other.kind == batten.kind and other.side == twin for other in self.assembly.battens):
            watch.append(f"in turn with the {twin} one, so that the frames are not pulled over")
        self.add(
            "batten",
            title,
            adds=(Adding(names=(batten.name,), way=how, toward=way.toward),),
            watch=tuple(watch),
            runs=(batten_run(batten, self.assembly),),
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


def _mark(frame: Frame) -> str:
    return f"{frame.name} {frame.placement.station:.1f}"


def _from_nearest(frame: Frame, standing: list[Frame]) -> str:
    """How far its mark is from that of the frame that stands nearest, which a tape checks."""
    others = [other for other in standing if other is not frame]
    if not others:
        return ""
    nearest = min(others, key=lambda other: abs(other.placement.station - frame.placement.station))
    off = frame.placement.station - nearest.placement.station
    return f", {abs(off):.1f} mm {'forward' if off > 0 else 'aft'} of that of {nearest.name}"


def _measures(batten: Batten) -> str:
    ends = f"{batten_length(batten):.0f} mm along its curve from end frame to end frame: leave it longer"
    eased = f", edges eased {batten.arris:g} mm" if batten.arris > 0 else ""
    return f"{batten.long:g} x {batten.short:g} mm{eased}; {ends}"
