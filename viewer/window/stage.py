"""What stands in the picture: the boat, its datum plane, marks, words and dimensions, as what is in hand wants it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from scrieve.shared.findings import Finding, Level

from ..scene.body import State
from ..scene.close_up import CloseUp, close_up
from ..scene.cutting import Cutting
from ..scene.datum import Datum
from ..scene.dimension import Dimension
from ..scene.labels import Label, Labels
from ..scene.looks import CHOSEN, STRONG
from ..scene.marks import Marks
from ..scene.naming import frame_labels, part_labels
from ..scene.picking import Picked
from ..scene.pointer import Pointer
from ..scene.scene import Scene
from ..scene.showing import arranged
from .board import Board
from .boat import Boat
from .in_hand import InHand, Place, Spot
from .measures import measure_words

Points = NDArray[np.float64]


class Stage:
    """One boat in a plotter. `arrange` brings everything to what is in hand; nothing is rendered here."""

    def __init__(self, plotter: Any, boat: Boat) -> None:
        self.plotter, self.boat = plotter, boat
        plotter.clear_actors()
        self.scene = Scene(plotter, boat.bodies, boat.coarse)
        stations = [frame.placement.station for frame in boat.assembly.frames]
        self.datum = Datum(plotter, self.scene.bounds(), stations)
        self.cutting = Cutting(self.scene)
        self.board = Board(plotter, boat)
        self.gap = Dimension(plotter, "gap", STRONG)
        self.measure = Dimension(plotter, "measure", CHOSEN)
        self.marks = Marks(plotter)
        self.pointer = Pointer(plotter)
        self.labels = Labels(plotter)
        self.shared: Any = None
        self.marked: tuple[int, ...] = ()
        self._close: tuple[int, CloseUp | None] = (-1, None)
        self._placed: tuple[Any, ...] = ()

    def forget(self) -> None:
        """Lets go of the plotter, so that another boat can stand in it."""
        self.labels.show([])
        for follower in (self.gap, self.measure, self.marks, self.labels, self.pointer):
            follower.forget()

    def close_up(self, finding: int, aspect: float) -> CloseUp | None:
        """The close-up of a finding of the boat by its place, None for -1 and for one without a place."""
        if self._close[0] != finding:
            found = self.boat.findings[finding] if finding >= 0 else None
            made = close_up(found, self.boat.bodies, self.boat.assembly, aspect) if found is not None else None
            self._close = finding, made
        return self._close[1]

    def arrange(self, now: InHand, aspect: float) -> None:
        """Shows what is in hand."""
        boat, _scene = self.boat, self.scene
        made = arranged(boat.bodies, boat.assembly, boat.steps, now.showing)
        close = self.close_up(now.finding, aspect)
        states = self._with_ghosts(made.states, now)
        if now.finding >= 0:
            states = self._about(boat.findings[now.finding], close)
        self._stand(states, made.offsets, self._chosen(now) | made.coming)
        self.cutting.cut(now.cut, now.cut_keeps)
        self.board.show(now.showing.step)
        self.datum.show(not (now.showing.step and boat.steps[now.showing.step - 1].stage == "bench"))
        self._mark(now)
        self._show_shared(close)
        self.gap.show(close.gap if close is not None else None)
        ends = [self.stands(spot) for spot in now.spots]
        self.measure.show((ends[0], ends[-1]) if ends else None)
        self.labels.show(self._words(now, close, ends))

    def point_at(self, picked: Picked | None) -> None:
        """Shows what a click would take as a point."""
        self.pointer.show(picked)

    def hurry(self, on: bool) -> None:
        """Paints less, so that it goes faster; or everything again."""
        self.scene.paint_coarse(on)
        self.datum.rule_alone(on)

    def in_sight(self) -> Points:
        """(n, 3) mm: the points of what is shown and not faded, where it stands; of everything where nothing is."""
        numbers = range(len(self.scene.bodies))
        shown = [n for n in numbers if self.scene.state(n) == "shown"]
        return self.scene.points_of(shown or numbers)

    def there(self) -> Points:
        """(n, 3) mm: the points of all that is not hidden, where it stands."""
        seen = [n for n in range(len(self.scene.bodies)) if self.scene.state(n) != "hidden"]
        return self.scene.points_of(seen or range(len(self.scene.bodies)))

    def at_home(self, bodies: Iterable[int]) -> Points:
        """(n, 3) mm: the points of these bodies in their places."""
        return np.concatenate([self.boat.bodies[n].points for n in bodies])

    def stands(self, spot: Spot) -> Place:
        """Where a spot is now, with the body it lies on."""
        x, y, z = np.add(spot.at, self.scene.offset(self.scene.number[spot.body]))
        return float(x), float(y), float(z)

    def _stand(self, states: tuple[State, ...], offsets: Any, chosen: frozenset[int]) -> None:
        """Hands on to the scene what has changed, and no more: each is a walk over every triangle."""
        before_states, before_offsets, before_chosen = self._placed or (None, None, None)
        if states != before_states:
            self.scene.show_as(states)
        if before_offsets is None or not np.array_equal(offsets, before_offsets):
            self.scene.move(offsets)
        if chosen != before_chosen:
            self.scene.choose(chosen)
        self._placed = states, offsets, chosen

    def _with_ghosts(self, states: tuple[State, ...], now: InHand) -> tuple[State, ...]:
        """On the bench what is still to come of the frame is faded, so that one sees where things go."""
        if not now.showing.step or self.boat.steps[now.showing.step - 1].stage != "bench":
            return states
        frame = self.boat.steps[now.showing.step - 1].frame
        return tuple(
            "faded" if state == "hidden" and body.frame == frame and body.kind in ("core", "gusset", "plate") else state
            for state, body in zip(states, self.boat.bodies, strict=True)
        )

    def _chosen(self, now: InHand) -> frozenset[int]:
        """The body in hand; without one the frame in hand, where nothing else sets it off."""
        if now.body:
            return frozenset({self.scene.number[now.body]})
        if now.finding >= 0 or now.showing.step or now.showing.others != "shown":
            return frozenset()
        bodies = self.boat.bodies
        return frozenset(
            n
            for n, body in enumerate(bodies)
            if body.frame and body.frame == now.showing.frame and body.kind != "screw"
        )

    def _about(self, finding: Finding, close: CloseUp | None) -> tuple[State, ...]:
        """What a finding is about is shown, the rest faded; without any body its frame; without that all."""
        bodies = self.boat.bodies
        wanted = set() if close is None else set(close.bodies)
        if not wanted and finding.frame:
            wanted = {n for n, body in enumerate(bodies) if body.frame == finding.frame and body.kind != "dowel"}
        # dowels stay behind with the assembly board, unless it is about one of them
        there = [n in wanted or body.kind != "dowel" for n, body in enumerate(bodies)]
        return tuple(
            "hidden" if not there[n] else "shown" if not wanted or n in wanted else "faded" for n in range(len(bodies))
        )

    def _mark(self, now: InHand) -> None:
        """Marks the findings that stand on what is seen; the one in hand alone, and none while building."""
        wanted = [n for n, finding in enumerate(self.boat.findings) if self._is_marked(n, finding, now)]
        findings = [self.boat.findings[n] for n in wanted]
        self.marked = tuple(wanted)
        self.marks.show(
            [self._moved(finding) for finding in findings],
            strong=[finding.level is Level.ERROR for finding in findings],
            held=wanted.index(now.finding) if now.finding in wanted else -1,
        )

    def _is_marked(self, n: int, finding: Finding, now: InHand) -> bool:
        if finding.at is None or now.finding >= 0 or now.showing.step:
            return n == now.finding and finding.at is not None
        if finding.level is Level.NOTE or finding.waived:
            return False
        if now.cut is not None and (finding.at[0] - now.cut) * now.cut_keeps < 0:
            return False
        return now.showing.others == "shown" or finding.frame == now.showing.frame

    def _moved(self, finding: Finding) -> Place:
        """Where a finding's place is, with what it is about, in a boat that is spread."""
        assert finding.at is not None
        scene = self.scene
        about = [scene.number[name] for name in finding.parts if name in scene.number]
        about += [n for n, body in enumerate(scene.bodies) if body.frame == finding.frame][:1] if finding.frame else []
        x, y, z = np.add(finding.at, scene.offset(about[0]) if about else 0.0)
        return float(x), float(y), float(z)

    def _show_shared(self, close: CloseUp | None) -> None:
        """What two bodies both fill, in the strong colour, seen through them."""
        if self.shared is not None:
            self.plotter.remove_actor(self.shared, render=False, reset_camera=False)
            self.shared = None
        if close is None or close.shared is None:
            return
        points, triangles = close.shared
        self.shared = self.plotter.add_mesh(
            pv.PolyData.from_regular_faces(points, triangles), color=STRONG, ambient=0.5, diffuse=0.6, name="shared",
            pickable=False, render=False, reset_camera=False,
        )  # fmt: skip
        mapper = self.shared.mapper
        mapper.SetResolveCoincidentTopologyToPolygonOffset()
        mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(0, -60000)

    def _words(self, now: InHand, close: CloseUp | None, ends: list[Place]) -> list[Label]:
        words = []
        if close is not None:
            finding = self.boat.findings[now.finding]
            if finding.measured is not None and finding.unit:
                at = np.mean(close.gap, axis=0) if close.gap is not None else np.array(close.at)
                text = f"{finding.measured:.2f} {finding.unit}"
                words.append(Label(text=text, at=_triple(at), manner="strong", below=40))
        if len(ends) == 2:
            words.append(
                Label(text=measure_words(*now.spots), at=_triple(np.mean(ends, axis=0)), manner="measure", below=24)
            )
        if now.labels:
            words += frame_labels(self.scene, now.showing.frame)
            words += self.datum.labels()
            words += part_labels(self.scene, now.showing.frame)
        return words


def _triple(values: Any) -> Place:
    x, y, z = (float(v) for v in values)
    return x, y, z
