"""The moves that cure a boat's screws, told in the drawings' own coordinates: one for each thing drawn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import dist
from typing import Literal, NamedTuple

from scrieve.shared.findings import Finding

from ...boat.assembly import Assembly
from ...boat.frame import Frame
from ...boat.screw import Screw
from ...drawing import Drawing
from ...plan.plan import Plan
from .drawn_view import DrawingView, views
from .moves import ScrewMove, faults_of, moves_for

Point = tuple[float, float]
Outcome = Literal["move", "move after the others", "leave out", "no place"]


class DrawnMove(NamedTuple):
    """What to do with one screw as drawn. `at` and `to` are (y, v) of its frame, mm; `to` None where it goes nowhere.

    `along` are the names of other screws that the same object draws: they go along. `handles` are those of all
    that is drawn round its centre on its layer, first the one it is read from; none for a screw that is not drawn.
    """

    frame: Frame
    screw: Screw
    outcome: Outcome
    at: Point
    to: Point | None
    along: tuple[str, ...]
    layer: str
    handles: tuple[str, ...]
    view: DrawingView

    @property
    def drawn_at(self) -> Point:
        """Where it is, in the drawing's own coordinates and units."""
        return self.view.point(self.at)

    @property
    def drawn_to(self) -> Point | None:
        """Where it should go, in the same."""
        return None if self.to is None else self.view.point(self.to)


def drawn_moves(plan: Plan, assembly: Assembly, findings: Sequence[Finding]) -> tuple[DrawnMove, ...]:
    """What would cure those of the findings of `screw-foul` and `screw-edge` that are not waived, by frame and name.

    Reads the drawings of the frames concerned again. Raises DrawingError.
    """
    told: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in findings:
        for part in () if finding.waived else finding.parts:
            told.setdefault((finding.check, finding.frame, part), []).append(finding)
    faults = [
        fault
        for frame in assembly.frames
        for fault in faults_of(frame, assembly)
        if any(
            {screw.name for screw in fault.screws} <= set(finding.parts)
            for finding in told.get((fault.check, frame.number, fault.screws[0].name), ())
        )
    ]
    if not faults:
        return ()
    solved = moves_for(assembly, faults)
    outcomes: dict[object, list[tuple[Frame, Screw, Outcome, ScrewMove | None]]] = {}

    def note(frame: Frame, screw: Screw, outcome: Outcome, move: ScrewMove | None = None) -> None:
        outcomes.setdefault(screw.source if screw.source.handle else screw, []).append((frame, screw, outcome, move))

    for move in solved.moves:
        note(move.frame, move.screw, "move after the others" if move.after else "move", move)
    for frame, screw in solved.out:
        note(frame, screw, "leave out")
    for frame, screw in solved.stay:
        note(frame, screw, "no place")
    order = {frame: n for n, frame in enumerate(assembly.frames)}
    leads = {
        key: min(same, key=lambda one: (order[one[0]], one[1].image, one[1].name)) for key, same in outcomes.items()
    }
    seen = views(plan, [frame for frame, *_ in leads.values()])
    found = []
    for key, (frame, screw, outcome, moved) in leads.items():
        view = seen.of[frame.number]
        layer, handles = _drawn(seen.drawings[view.shown], view, screw, plan)
        along = sorted({other.name for _, other, *_ in outcomes[key]} - {screw.name})
        found.append(
            DrawnMove(
                frame=frame,
                screw=screw,
                outcome=outcome,
                at=screw.at,
                to=None if moved is None else moved.at,
                along=tuple(along),
                layer=layer,
                handles=handles,
                view=view,
            )
        )
    return tuple(sorted(found, key=lambda one: (order[one.frame], one.screw.name, one.screw.at)))


def _drawn(drawing: Drawing, view: DrawingView, screw: Screw, plan: Plan) -> tuple[str, tuple[str, ...]]:
    """The layer that a screw is drawn on, and the handles of all there that is drawn round its centre."""
    main = screw.source.handle
    if not main:
        return "", ()
    u, v = view.point(screw.at)
    centre = u * view.scale, v * view.scale
    gap = plan.limits["outline"]
    marks: Iterable[tuple[str, Point, str]] = (
        *((circle.layer, circle.centre, circle.source.handle) for circle in drawing.circles),
        *((point.layer, point.at, point.source.handle) for point in drawing.points),
    )
    near = [(layer, handle) for layer, at, handle in marks if dist(at, centre) <= gap]
    # an outline that is round has no centre of its own here: it is known by its handle
    drawn = near or [(o.layer, o.source.handle) for o in drawing.outlines if o.source.handle == main]
    layer = next((layer for layer, handle in drawn if handle == main), "")
    others = sorted({handle for its, handle in near if its == layer and handle != main}, key=lambda h: (len(h), h))
    return layer, (main, *others)
