"""What stands in the picture: the boat, its datum plane, marks, words and dimensions, as what is in hand wants it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrieve.shared.findings import Finding, Level

from ..marks.colours import STRONG
from ..marks.forms import ERROR, form_of
from ..marks.measured import measured_words
from ..scene.bench import bench_of
from ..scene.board_drawn import BoardDrawn
from ..scene.body import State
from ..scene.close_up import CloseUp, close_up, lifted, named_bodies, subjects_among
from ..scene.cutting import Cutting
from ..scene.datum import Datum
from ..scene.facing import pixels, unfollow
from ..scene.haloed import DimensionActor
from ..scene.highlight import Highlight, highlight, place_words
from ..scene.labels import Labels, Manner, SceneLabel, frame_labels, part_labels
from ..scene.looks import CHOSEN
from ..scene.marks import Marks, Pointer
from ..scene.picking import Picked
from ..scene.scene import Scene
from ..scene.showing import arranged
from ..scene.signpost import Signpost
from ..scene.signs import NO_SIGNS
from ..scene.triple import Triple, triple
from ..scene.ways import WaysDrawn
from .boat import LoadedBoat
from .selection import MeasuredPoint, Selection
from .words import measure_words

Points = NDArray[np.float64]

_LETTER = 13
"""points; how large names in a close-up are."""


class Stage:
    """One boat in a plotter. `arrange` brings everything to what is in hand; nothing is rendered here."""

    def __init__(self, plotter: Any, boat: LoadedBoat) -> None:
        self.plotter, self.boat = plotter, boat
        plotter.clear_actors()
        self.scene = Scene(plotter, boat.bodies, boat.coarse)
        stations = [frame.placement.station for frame in boat.assembly.frames]
        bounds = self.scene.bounds()
        self.reach = bounds[:2]
        """From which x to which the boat reaches, mm."""
        self.datum = Datum(plotter, bounds, stations)
        self.cutting = Cutting(self.scene)
        self.board = BoardDrawn(plotter)
        self._bench: tuple[Any, ...] = ()
        self.signpost = Signpost(plotter)
        self.ways = WaysDrawn(plotter)
        self.gap = DimensionActor(plotter, "gap", STRONG)
        self.measure = DimensionActor(plotter, "measure", CHOSEN)
        self.marks = Marks(plotter)
        self.pointer = Pointer(plotter)
        self.labels = Labels(plotter)
        self.marked: tuple[int, ...] = ()
        self._close: tuple[tuple[int, float], CloseUp | None] = ((-1, 0.0), None)
        self._names: tuple[CloseUp | None, dict[str, SceneLabel]] = (None, {})
        self._placed: tuple[Any, ...] = ()

    def forget(self) -> None:
        """Lets go of the plotter, so that another boat can stand in it."""
        self.labels.show([])
        unfollow(self.plotter)

    @property
    def shared(self) -> Any:
        """The actor of what two bodies both fill, None where nothing of it is shown."""
        return None if self.signpost.overlap.solid is None else self.signpost.overlap.faces

    def close_up(self, finding: int, aspect: float) -> CloseUp | None:
        """The close-up of a finding of the boat by its place, None for -1 and for one without a place."""
        about = finding, round(aspect, 3)
        if self._close[0] != about:
            found = self.boat.findings[finding] if finding >= 0 else None
            made = close_up(found, self.boat.bodies, self.boat.assembly, aspect) if found is not None else None
            self._close = about, made
        return self._close[1]

    def arrange(self, now: Selection, aspect: float) -> None:
        """Shows what is in hand."""
        boat = self.boat
        made = arranged(boat.bodies, boat.assembly, boat.steps, now)
        close = self.close_up(now.finding, aspect)
        told = Highlight(states=self._with_ghosts(made.states, now))
        if now.finding >= 0:
            told = highlight(boat.findings[now.finding], close, boat.bodies, boat.assembly, rest="faded")
        # of screws that come one sees the way; their edges made thick would be blots
        coming = {n for n in made.coming if boat.bodies[n].kind != "screw"}
        self._stand(told, made.offsets, self._chosen(now) | coming)
        self.cutting.cut(now.cut, now.cut_keeps)
        self._show_board(now.step)
        self.datum.show(not (now.step and boat.steps[now.step - 1].stage == "bench"))
        self.ways.show(boat.bodies, made)
        self._mark(now)
        if close is None:
            self.signpost.show(NO_SIGNS)
        else:
            self.signpost.show(close.signs, [close.pieces[n] for n in sorted(close.pieces)], close.view)
        self.gap.show(close.signs.gap if close is not None else None)
        ends = [self.stands(spot) for spot in now.spots]
        self.measure.show((ends[0], ends[-1]) if ends else None)
        note = place_words(boat.findings[now.finding]) if now.finding >= 0 else ""
        self.labels.show(self._words(now, close, ends, aspect), note)

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

    def stands(self, spot: MeasuredPoint) -> Triple:
        """Where a spot is now, with the body it lies on."""
        return triple(np.add(spot.at, self.scene.offset(self.scene.number[spot.body])))

    def _stand(self, told: Highlight, offsets: Any, chosen: frozenset[int]) -> None:
        """Hands on to the scene what has changed, and no more: each is a walk over every triangle."""
        states = told.states, told.clear, told.seconds
        before_states, before_offsets, before_chosen = self._placed or (None, None, None)
        if states != before_states:
            self.scene.show_as(told.states, clear=told.clear, seconds=told.seconds)
        if before_offsets is None or not np.array_equal(offsets, before_offsets):
            self.scene.move(offsets)
        if chosen != before_chosen:
            self.scene.choose(chosen)
        self._placed = states, offsets, chosen

    def _show_board(self, number: int) -> None:
        """The assembly board under the frame that lies on it at a step; none for 0 and for steps of setting up."""
        steps = self.boat.steps
        if not number or steps[number - 1].stage != "bench":
            self._bench = ()
            self.board.show(None)
            return
        frame = steps[number - 1].frame
        own = [body for body in self.boat.bodies if body.frame == frame and body.kind not in ("screw", "dowel")]
        bench = bench_of(steps[number - 1], steps, self.boat.assembly, own)
        about = frame, bench.up, any(hole.own for hole in bench.holes), tuple(thing.key for thing in bench.things)
        if about != self._bench:
            self._bench = about
            self.board.show(bench)

    def _with_ghosts(self, states: tuple[State, ...], now: Selection) -> tuple[State, ...]:
        """On the bench what is still to come of the frame is faded, so that one sees where things go."""
        if not now.step or self.boat.steps[now.step - 1].stage != "bench":
            return states
        frame = self.boat.steps[now.step - 1].frame
        return tuple(
            "faded" if state == "hidden" and body.frame == frame and body.kind in ("core", "gusset", "plate") else state
            for state, body in zip(states, self.boat.bodies, strict=True)
        )

    def _chosen(self, now: Selection) -> frozenset[int]:
        """The body in hand; without one the frame in hand, where nothing else sets it off."""
        if now.body:
            return frozenset({self.scene.number[now.body]})
        if now.finding >= 0 or now.step or now.others != "shown":
            return frozenset()
        bodies = self.boat.bodies
        return frozenset(
            n for n, body in enumerate(bodies) if body.frame and body.frame == now.frame and body.kind != "screw"
        )

    def _mark(self, now: Selection) -> None:
        """Marks the findings that stand on what is seen; the one in hand alone, and none while building."""
        wanted = [n for n, finding in enumerate(self.boat.findings) if self._is_marked(n, finding, now)]
        findings = [self.boat.findings[n] for n in wanted]
        self.marked = tuple(wanted)
        self.marks.show(
            [self._moved(finding) for finding in findings],
            [form_of(finding) for finding in findings],
            held=wanted.index(now.finding) if now.finding in wanted else -1,
        )

    def _is_marked(self, n: int, finding: Finding, now: Selection) -> bool:
        if finding.at is None:
            return False
        held = self.boat.findings[now.finding] if now.finding >= 0 else None
        if now.step or (held is not None and held.at is not None):
            return n == now.finding
        if finding.level is Level.NOTE or finding.waived or not self._stays(self._moved(finding), now):
            return False
        return now.others == "shown" or finding.frame == now.frame

    def _stays(self, place: Triple, now: Selection) -> bool:
        """Whether a place, in a boat that may be spread, is on the side of the cut that is there."""
        return now.cut is None or (place[0] - now.cut) * now.cut_keeps >= 0

    def _moved(self, finding: Finding) -> Triple:
        """Where a finding's place is, with what it is about, in a boat that is spread."""
        assert finding.at is not None
        scene = self.scene
        about = [*subjects_among(finding, scene.bodies)]
        about += [n for n, body in enumerate(scene.bodies) if body.frame == finding.frame][:1] if finding.frame else []
        return triple(np.add(finding.at, scene.offset(about[0]) if about else 0.0))

    def _words(self, now: Selection, close: CloseUp | None, ends: list[Triple], aspect: float) -> list[SceneLabel]:
        words = []
        named: set[str] = set()
        if close is not None:
            finding = self.boat.findings[now.finding]
            if text := measured_words(finding.measure):
                at = np.mean(close.signs.gap, axis=0) if close.signs.gap is not None else np.array(close.at)
                manner: Manner = "strong" if form_of(finding) == ERROR else "measure"
                words.append(SceneLabel(text=text, at=triple(at), manner=manner, below=40))
            words += [SceneLabel(text=text, at=place, off=True) for text, place in close.signs.words]
            names = self._names_in(finding, close, aspect)
            words += names.values()
            named = {*names, *(text for text, _ in close.signs.words)}
        if len(ends) == 2:
            words.append(
                SceneLabel(text=measure_words(*now.spots), at=triple(np.mean(ends, axis=0)), manner="measure", below=24)
            )
        if now.labels:
            words += frame_labels(self.scene, now.frame, lambda place: self._stays(place, now))
            words += self.datum.labels()
            words += part_labels(self.scene, now.frame, lambda place: self._stays(place, now), named)
        return words

    def _names_in(self, finding: Finding, close: CloseUp, aspect: float) -> dict[str, SceneLabel]:
        """The names of the bodies of a close-up, by body, each at a place on it that the close-up shows."""
        if self._names[0] is not close:
            tall = self.plotter.window_size[1] / pixels(self.plotter) / _LETTER
            labels = {}
            for named in named_bodies(finding, close, self.boat.bodies, close.view, tall, aspect):
                x, y = (*named.spots, named.on)[0]
                body = close.pieces.get(named.body, self.boat.bodies[named.body])
                at = lifted(body, close.view, x / (tall * aspect), y / tall, aspect)
                if at is not None:
                    labels[self.boat.bodies[named.body].name] = SceneLabel(
                        text=named.words, at=at, size=12, off=not named.spots
                    )
            self._names = close, labels
        return self._names[1]
