"""How the bodies are seen while a finding is told: one way for the window and for pictures."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from scrieve.model.boat.assembly import Assembly
from scrieve.shared.findings import Finding
from scrieve.shared.names import plate_of

from .body import Body
from .close_up import CloseUp, subjects_among
from .kinds import State
from .looks import FAINT, GLASS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Highlight:
    """`states` of all bodies by number; those looked into are `clear` so much, `seconds` have the second tone."""

    states: tuple[State, ...]
    clear: float = GLASS
    seconds: frozenset[int] = frozenset()


def highlight(
    finding: Finding, close: CloseUp | None, bodies: Sequence[Body], assembly: Assembly, *, rest: State
) -> Highlight:
    """What a finding is about is looked into, its screws and dowels are solid, its frame is faded, the `rest` as said.

    Without any body it is the frame that is shown; without a place the parts that it names, or all.
    """
    if close is None:
        return _without_place(finding, bodies)
    about = {*close.bodies, *close.also}
    solid = {n for n in about if bodies[n].kind in ("screw", "dowel")}
    screws = {bodies[n].name for n in close.bodies if bodies[n].kind == "screw"}
    glass = ((about - solid) & close.whole) | _plies(screws, bodies, assembly)
    states = tuple(_state(n, body, finding, solid, glass, bare=not about, rest=rest) for n, body in enumerate(bodies))
    return Highlight(states=states, clear=FAINT if close.faint else GLASS, seconds=_seconds(close.bodies, bodies))


def _without_place(finding: Finding, bodies: Sequence[Body]) -> Highlight:
    named = subjects_among(finding, bodies)
    wanted = named or {n for n, body in enumerate(bodies) if body.frame and body.frame == finding.frame}
    return Highlight(
        states=tuple(
            "hidden" if body.kind == "dowel" else "shown" if not wanted or n in wanted else "faded"
            for n, body in enumerate(bodies)
        )
    )


def _state(
    n: int, body: Body, finding: Finding, solid: Collection[int], glass: Collection[int], *, bare: bool, rest: State
) -> State:
    if n in solid:
        return "shown"
    if n in glass:
        return "glass"
    own = body.frame == finding.frame if finding.frame else body.kind == "batten"
    if body.kind == "dowel":  # they stay behind with the assembly board
        return "hidden"
    if bare and own:
        return "shown"
    return "faded" if own and body.kind != "screw" and not bare else "hidden" if own else rest


def _plies(screws: Collection[str], bodies: Sequence[Body], assembly: Assembly) -> set[int]:
    """The parts that these screws pass."""
    driven = [screw for frame in assembly.frames for screw in frame.screws if screw.name in screws]
    names = {ply.part.name for screw in driven for ply in screw.plies}
    return {n for n, body in enumerate(bodies) if body.name in names}


def _seconds(named: Sequence[int], bodies: Sequence[Body]) -> frozenset[int]:
    """Of several of one kind all but the first; two plates of one outline on the two faces are one."""
    first: dict[str, str] = {}
    return frozenset(
        n for n in named for name in [plate_of(bodies[n].name)] if first.setdefault(bodies[n].kind, name) != name
    )


def place_words(finding: Finding) -> str:
    """Why no place is shown: "about the cut sheets, not a place on the boat"; empty for one that has a place."""
    if finding.at is not None:
        return ""
    if any(subject.kind == "sheet" for subject in finding.subjects):
        return "This is about the cut sheets, not a place on the boat"
    return f"This is about all of {f'F{finding.frame}' if finding.frame else 'the boat'}, not one place on it"
