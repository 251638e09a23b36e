"""The chapter of a frame: both faces, plates enlarged, a section, and its steps on the bench with ticks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.frame import Frame
from scrieve.model.sequence.laying import stage_of
from scrieve.model.sequence.measurements.diagonals import diagonals
from scrieve.model.sequence.measurements.rail_marks import rail_layout
from scrieve.model.sequence.measurements.screw_positions import ScrewPosition
from scrieve.model.sequence.steps import Step
from scrieve.model.sequence.steps.cards import Cards
from scrieve.model.sequence.steps.words import in_a_row, short, weight

from ...reports.style import count
from ..sight import Seen
from .gussets import plate_view
from .joint_section import joint_section, one_of_each
from .markup import Markup, bullets, chapter, element, figure, joined, warning
from .notches import notch_sketches
from .order import step_pictures
from .parts import part_outlines
from .pegboard import holes_of_frame
from .setting_up import lean
from .step_list import step_list
from .views import bench_view, frame_view


def frame_chapter(frame: Frame, assembly: Assembly, steps: Sequence[Step], cards: Cards, unsound: str = "") -> Markup:
    """The chapter of one frame; `steps` are its own on the bench, `unsound` what is said of its errors."""
    places = [place for step in steps for driving in step.screws for place in driving.places]
    up = steps[0].up
    seen: Seen = "from aft" if up == "aft" else "from forward"
    other: Seen = "from forward" if up == "aft" else "from aft"
    content = [
        warning(unsound),
        bullets(_about(frame, assembly)),
        figure(bench_view(frame, assembly, seen, diagonals(frame, assembly)), f"As it lies first: {up} face up."),
        *_diagonals(frame, assembly),
        figure(frame_view(frame, assembly, other), "From the other side, with battens, legs and rails."),
        element("h3", f"{frame.name}: its parts"),
        figure(part_outlines(frame), "Long sides level, seen from forward; of a pair the port one."),
        *_plates(frame, places),
        *_sections(frame, steps),
        *_notches(frame, assembly),
        element("h3", f"{frame.name}: on the bench"),
        step_list(steps, cards, step_pictures(steps, frame)),
    ]
    return chapter(f"frame-{frame.number}", f"{frame.name}, {frame.kind}", *content)


def _notches(frame: Frame, assembly: Assembly) -> Iterator[Markup]:
    """Which way the notches lean: an eased one lets its batten run through."""
    sketches = notch_sketches(frame, assembly)
    if sketches:
        yield element("h3", f"{frame.name}: which way its notches lean")
        words = "Sections through the core, aft to the left; mm over its thickness. A pair leans alike, mirrored."
        yield figure(sketches, words)


def _about(frame: Frame, assembly: Assembly) -> Iterator[str]:
    """How much there is of it, where its dowels stand, and where it will."""
    said = [count(len(frame.parts), "part"), count(len(frame.screws), "screw"), count(len(frame.dowels), "dowel")]
    yield ", ".join(filter(None, [*said, weight(frame.parts)]))
    if frame.dowels:
        yield f"its dowels stand in the holes {holes_of_frame(assembly, frame)} of the assembly board"
    marks = (mark for mark in rail_layout(assembly).marks if mark.frame == frame.name)
    for mark in marks:
        yield f"set up it stands with its {mark.face} on the mark {mark.from_end:.1f} mm, {lean(mark)}"


def _diagonals(frame: Frame, assembly: Assembly) -> Iterator[Markup]:
    found = diagonals(frame, assembly)
    if found:
        lengths = in_a_row(list(dict.fromkeys(f"{each.length:.1f}" for each in found)))
        yield element(
            "p",
            f"Diagonals, ring to ring: {lengths} ±{found[0].play:g} mm.",
            class_="rule",
        )


def _plates(frame: Frame, places: Sequence[ScrewPosition]) -> Iterator[Markup]:
    drilled: dict[str, list[ScrewPosition]] = {}
    for place in places:
        drilled.setdefault(place.plate, []).append(place)
    plates = [part for part in frame.parts if part.name in drilled and stage_of(part) in ("aft", "forward")]
    if not plates:
        return
    yield element("h3", f"{frame.name}: plates and their screws")
    yield element(
        "p",
        "Distances in mm, square to the heavy edges; numbers are those of the screws. Broken red line: mask along it.",
        class_="lead",
    )
    plates.sort(key=lambda part: (part.face != "aft", part.name))
    yield element(
        "div",
        joined(figure(plate_view(part, frame, drilled[part.name]), _plate(drilled[part.name])) for part in plates),
        class_="pairs",
    )


def _plate(places: Sequence[ScrewPosition]) -> str:
    into: dict[str, list[str]] = {}
    for place in places:
        into.setdefault(place.into, []).append(place.name.rpartition(" ")[2])
    face = places[0].plate.rpartition(", ")[2] if ", " in places[0].plate else ""
    return (
        f"{short(places[0].plate).capitalize()}{f', {face} face' if face else ''}; "
        + "; ".join(f"{in_a_row(numbers)} into the {short(part)}" for part, numbers in into.items())
        + "."
    )


def _sections(frame: Frame, steps: Sequence[Step]) -> Iterator[Markup]:
    drivings = [driving for step in steps for driving in step.screws]
    chosen = one_of_each(drivings, frame.screws)
    if chosen:
        yield element("h3", f"{frame.name}: section through a screw")
        made = [
            figure(joint_section(screw, driving, frame), f"{short(screw.name).capitalize()} and those like it.")
            for screw, driving in chosen
        ]
        yield element("div", joined(made), class_="pairs")
