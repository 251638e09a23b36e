"""The steps of one frame on the assembly board.

Dowels in; the core in an order in which each part finds its way; the plates of the face that is up, dry,
with their screws; over; those of the other face; apart; wet out; glue; legs. Whatever a frame has not got
is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Any

from scrieve.shared.names import within_frame
from scrieve.shared.tolerances import exceeds

from ...boat.assembly import Assembly
from ...boat.frame import Frame, Leg
from ...boat.part import Part
from ...boat.screw import Screw
from ...relations.joints.outer_line import standing_in
from ..bench_order import BenchOrder, BenchPiece, FirstFace, bench_order
from ..laying import Stage, driven_at, lots, stage_of
from ..measurements.batten_runs import batten_runs
from ..measurements.diagonals import Diagonal, diagonals
from ..measurements.label_faces import label_faces
from ..measurements.leg_lengths import leg_lengths
from ..measurements.part_sizes import part_size
from ..measurements.resting import Resting, resting
from ..turning import Turning, turnings
from .cards import DIAGONALS
from .drilling import drivings
from .step import Adding, Driving, Kind, Node, Step
from .watching import (
    LEGS_STAND,
    glueing,
    joints_made,
    leg_measures,
    let_in,
    notch_bevels,
    on_strips,
    open_notches,
    pockets_lie,
    wetting,
)
from .words import STRAIGHT, in_a_row, lying, named, numbered, on_the_bench, plates_named

MASK = 2.0
"""mm outside each plate at which the masking begins: the glue that comes out is seen. Common practice, no source."""

_FACES: tuple[Stage, ...] = ("forward", "aft")
_KINDS: dict[Stage, Kind] = {"core": "core", "forward": "plates", "aft": "plates", "legs": "legs"}


def bench_nodes(frame: Frame, assembly: Assembly, place: int) -> list[Node]:
    """The nodes of a frame, each after the one before; `place` is how many frames come before it."""
    bench = _BenchNodes(frame, assembly, place)
    first = bench.order.first
    second: FirstFace = "aft" if first == "forward" else "forward"
    bench.dowels()
    bench.core()
    bench.core_screws(first)
    bench.face(first, bench.order.first_face)
    if bench.order.second_face or bench.screws("core", second):
        bench.turn(second)
        bench.core_screws(second)
        bench.face(second, bench.order.second_face)
    if len(frame.core) > 1 or bench.plates():
        bench.glue()
    bench.legs(bench.order.legs)
    bench.trapped()
    return bench.nodes


class _BenchNodes:
    """One frame's nodes as they are made, and the parts that lie so far."""

    def __init__(self, frame: Frame, assembly: Assembly, place: int) -> None:
        self.frame, self.assembly, self.place = frame, assembly, place
        self.labels = label_faces(assembly)
        self.order: BenchOrder = bench_order(frame, assembly.wanted_in(frame))
        self.turnings = {turning.part: turning for turning in turnings(frame, assembly.limits["mirror"])}
        self.nodes: list[Node] = []
        self.laid: list[Part] = []
        self.up: FirstFace = self.order.first
        self.turned = False
        self.rests: Resting | None = None

    def dowels(self) -> None:
        """All dowels of the frame."""
        dowels = self.frame.dowels
        if dowels:
            sizes = in_a_row([f"{size:g} mm" for size in sorted({round(dowel.diameter, 2) for dowel in dowels})])
            what = f"{len(dowels)} dowels" if len(dowels) > 1 else "the dowel"
            down = (0.0, 0.0, -1.0 if self.order.first == "forward" else 1.0)
            adds = Adding(names=tuple(dowel.name for dowel in dowels), way="straight down", toward=down)
            self._add("dowels", f"Set {what} of {sizes} in the holes {self.frame.name}", adds=(adds,))

    def core(self) -> None:
        """A step for each part of the core."""
        core = self.frame.core
        watch = [self._lies(self.order.first)]
        if len(core) > 1 and not self.frame.dowels:
            watch.append("no dowels are drawn: hold each part to its lines with stops on the board")
        for placed in self.order.core:
            if self._is_leg(placed):
                self.legs([placed], dry=True)
                continue
            (part,) = placed.parts
            tight = joints_made(part, self.laid, self.frame)
            way = on_the_bench(placed.way)
            title = f"Lay the {within_frame(part.name)}{'' if way == STRAIGHT else f': {way}'}"
            checks = diagonals(self.frame, self.assembly) if {*core} <= {*self.laid, part} else ()
            watch += [*tight, *self._checked(checks)]
            self._lay("core", title, [placed], watch=watch, diagonals=checks)
            watch = []

    def _checked(self, checks: Sequence[Diagonal], again: str = "") -> Iterator[str]:
        lengths = list(dict.fromkeys(f"{check.length:.1f}" for check in checks))
        if lengths:
            yield f"diagonals {again}{in_a_row(lengths)} ±{checks[0].play:g} mm: {DIAGONALS}"

    def core_screws(self, face: Stage) -> None:
        """The screws of this face that pass no plate."""
        screws = [screw for screw in self.screws("core") if screw.driven_from == face]
        if screws:
            title = f"Drill for {numbered(screw.name for screw in screws)} and drive them, dry"
            self._add("screws", title, screws=self._drilled(screws), cautions=("tools",))

    def face(self, face: FirstFace, placed: Sequence[BenchPiece]) -> None:
        """The plates of the face that is up, lot by lot, dry, with their screws; legs that have to go on with them."""
        for is_leg, run in groupby(placed, key=self._is_leg):
            if is_leg:
                self.legs(list(run), dry=True)
                continue
            plates = {each.parts[0]: each for each in run}
            for lot in lots(plates, self.assembly.order):
                self._plates(face, [plates[part] for part in lot])

    def _plates(self, face: FirstFace, placed: Sequence[BenchPiece]) -> None:
        parts = [part for each in placed for part in each.parts]
        screws = self._now(self.screws(face), parts)
        gussets = all(part.role == "gusset" for part in parts)
        what = ("gusset" if gussets else "plate") + ("s" if len(parts) > 1 else "")
        title = f"Lay the {face} {what} dry"
        if not screws or {*parts} != {part for part in self.frame.parts if stage_of(part) == face}:
            title += f": {plates_named([part.name for part in parts])}"
        watch = [self._lies(face)] if not self.laid else []
        watch += self._edges(parts) if gussets else []
        watch += self._ways([each for each in placed if each.way.how != "drop"])
        if screws:
            title += "; drill, drive"
        elif gussets:
            watch.append("no screws are drawn: clamp each, and mark where it lies")
        watch.append(f"draw round {'each' if len(parts) > 1 else 'it'}, mask {MASK:g} mm outside the line")
        self._lay(
            "plates", title, placed, watch=watch, screws=self._drilled(screws), cautions=("tools",) if screws else ()
        )

    def _edges(self, gussets: Sequence[Part]) -> list[str]:
        """Where the outer edges of gussets lie as drawn: flush with the outside of the frame, or in from it."""
        limit = self.assembly.limits["proud"]
        within = {part: standing_in(self.frame, self.assembly, part) for part in gussets}
        shy = {part: by for part, by in within.items() if exceeds(by, limit)}
        said = [
            f"{within_frame(part.name)}: its edges {by:.1f} mm in from the outside of the frame"
            for part, by in shy.items()
        ]
        if len(shy) == len(within) and len({f"{by:.1f}" for by in shy.values()}) == 1:
            return [f"edges {next(iter(shy.values())):.1f} mm in from the outside of the frame"]
        rest = "the others' edges" if shy else "edges"
        return [*said, f"{rest} flush with the outside of the frame"] if len(shy) < len(within) else said

    def turn(self, face: FirstFace) -> None:
        """The frame is turned over, this face up."""
        watch, self.up = [self._lies(face)], face
        self.rests = resting(self.frame, self.assembly, [part for part in self.laid if stage_of(part) in _FACES])
        self.turned = True
        watch += [on_strips(self.rests)] if self.rests is not None else []
        self._add("turn", "Turn the frame over", watch=tuple(watch), rests=self.rests)

    def _lies(self, face: FirstFace) -> str:
        """Which face is up, and the labels with it."""
        return lying(face, labels="up" if self.labels.usual == face else "down")

    def _labels(self, parts: Sequence[Part]) -> Iterator[str]:
        """The parts whose label is not on the face on which the boat's are."""
        others = [part.name for part in parts if part.name in self.labels.others]
        if others:
            yield f"{named(others)}: label {'up' if self.labels.of(others[0]) == self.up else 'down'}"

    def glue(self) -> None:
        """Apart, wet out, glue: what was dry so far."""
        screwed = any(step.screws for _, _, step, _ in self.nodes)
        plates, checks = self.plates(), diagonals(self.frame, self.assembly)
        apart = "frame apart" if len(self.frame.core) > 1 else "plates off"
        self._add(
            "apart",
            f"{'Screws out, ' if screwed else 'Take the '}{apart}",
            watch=() if plates else ("first mark across every joint",),
            cautions=("dust",),
        )
        self._add(
            "wet out",
            "Wet out the joints",
            watch=tuple(wetting(open_notches(self.frame), turned=self.turned)),
            cautions=("epoxy", "pot", "bond"),
        )
        was, self.up = self.up, self.order.first  # back onto the dowels
        self._add(
            "glue",
            f"Glue up{', screws home' if screwed else ''}",
            watch=(
                *glueing(plates=bool(plates), turned=self.turned),
                *self._checked(checks, "again "),
                *notch_bevels(self.frame, batten_runs(self.assembly)),
            ),
            cautions=("weights", "solvent") if plates else ("solvent",),
            diagonals=checks,
            rests=self.rests,
        )
        self.up = was

    def legs(self, placed: Sequence[BenchPiece], *, dry: bool = False) -> None:
        """These legs, the plies of each glued to one another first; `dry` before the frame itself is glued."""
        if not placed:
            return
        parts = [part for each in placed for part in each.parts]
        screws = self._now(self.screws("legs"), parts)
        doing = "lay it dry" if dry else "glue it on"
        if len(parts) > len(placed):
            doing = f"glue up each leg, then {doing}"
        legs = [
            leg
            for leg in leg_lengths(self.frame, self.assembly)
            if {ply.name for ply in leg.plies} & {part.name for part in parts}
        ]
        watch = [*leg_measures(legs), LEGS_STAND]
        whose = "" if {*self.frame.legs} == {self._leg(each) for each in placed} else self._legs_named(placed)
        self._lay(
            "legs",
            f"{doing[:1].upper()}{doing[1:]}{whose}",
            placed,
            watch=[*watch, *self._ways([each for each in placed if each.way.how != "drop"])],
            screws=self._drilled(screws),
            cautions=("epoxy", "tools") if screws else ("epoxy",),
            legs=tuple(legs),
        )

    def trapped(self) -> None:
        """What finds no way in, and screws that cannot be driven, so that nothing is left out unsaid."""
        for trapped in self.order.trapped:
            parts = [part for part in self.frame.parts if part.name in trapped.parts]
            names = within_frame(trapped.thing)
            by = f", {named(trapped.by)} {'bars' if len(trapped.by) == 1 else 'bar'} it" if trapped.by else ""
            self._add(
                _KINDS[stage_of(parts[0])],
                f"No straight way in was found for the {names}{by}",
                adds=(Adding(names=trapped.parts),),
                watch=("see what `scrieve check` says of it before anything is glued",),
            )
        astray = [screw.name for screw in self.frame.screws if not self._is_driven(screw)]
        if astray:
            self._add("screws", f"Left out: {numbered(astray)}", watch=("no step finds them a part of their own face",))

    def screws(self, stage: Stage, face: str = "") -> list[Screw]:
        """The screws driven at a stage, from this face if one is named."""
        return [s for s in self.frame.screws if driven_at(s) == stage and face in ("", s.driven_from)]

    def plates(self) -> list[Part]:
        """The plates of both faces."""
        return [part for part in self.frame.parts if stage_of(part) in _FACES]

    def _now(self, screws: Iterable[Screw], parts: Sequence[Part]) -> list[Screw]:
        """Those that pass one of these parts, and else, of the parts of their stage, only such as lie already."""
        there = {*self.laid, *parts}
        return [
            screw
            for screw in screws
            if any(ply.part in parts for ply in screw.plies)
            and all(ply.part in there for ply in screw.plies if stage_of(ply.part) == driven_at(screw))
        ]

    def _is_driven(self, screw: Screw) -> bool:
        return any(screw.name in driving.screws for _, _, step, _ in self.nodes for driving in step.screws)

    def _drilled(self, screws: Iterable[Screw]) -> tuple[Driving, ...]:
        return drivings(screws, left=self.assembly.limits["screw_bite"])

    def _is_leg(self, placed: BenchPiece) -> bool:
        return stage_of(placed.parts[0]) == "legs"

    def _leg(self, placed: BenchPiece) -> Leg | None:
        return next((leg for leg in self.frame.legs if placed.parts[0] in leg.plies), None)

    def _leg_name(self, placed: BenchPiece) -> str:
        leg = self._leg(placed)
        return placed.parts[0].name if leg is None else leg.name

    def _legs_named(self, placed: Sequence[BenchPiece]) -> str:
        return f": {named(self._leg_name(each) for each in placed)}"

    def _ways(self, placed: Iterable[BenchPiece]) -> list[str]:
        """How these come in, those that come alike in one sentence."""
        alike: dict[str, list[str]] = {}
        for each in placed:
            alike.setdefault(on_the_bench(each.way), []).append(
                self._leg_name(each) if self._is_leg(each) else each.parts[0].name
            )
        return [f"{named(names)}: {way}" for way, names in alike.items()]

    def _lay(self, kind: Kind, title: str, placed: Sequence[BenchPiece], *, watch: Sequence[str], **more: Any) -> None:
        parts = [part for each in placed for part in each.parts]
        found = [self.turnings[part.name] for part in parts]
        round_: tuple[Turning, ...] = tuple(turning for turning in found if turning.either_way or turning.twins)
        watch = [*watch, *self._labels(parts), *pockets_lie(parts, self.up), *let_in(parts, self.frame)]
        adds = tuple(
            Adding(names=tuple(part.name for part in each.parts), way=on_the_bench(each.way), toward=each.way.toward)
            for each in placed
        )
        sizes = tuple(part_size(part) for part in parts)
        self._add(kind, title, adds=adds, watch=tuple(watch), turnings=round_, sizes=sizes, **more)
        self.laid += parts

    def _add(self, kind: Kind, title: str, **more: Any) -> None:
        count = len(self.nodes)
        step = Step(number=0, stage="bench", frame=self.frame.number, kind=kind, title=title, up=self.up, **more)
        after = (self.nodes[-1].key,) if self.nodes else ()
        self.nodes.append(Node(f"bench {self.frame.number} {count}", (0, self.place, count), step, after))
