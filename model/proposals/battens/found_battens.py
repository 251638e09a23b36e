"""Battens that the drawings do not show: found by their notches, named by label, size and place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.wording import listed, place

from ...boat.batten import Section
from ...boat.defect import Defect
from ...boat.frame import Frame
from ...plan.plan import Plan
from .batten_names import batten_kind, batten_names, batten_side, kind_of
from .found_extending import extended
from .found_naming import Followed, assigned
from .found_notch import Slot, slots_of
from .found_track import Track, TrackPlace
from .seat import seats_in

_LABEL_REACH = 8.0  # mm; a text is as often beside a notch as in it
_OFF_CENTRE = 0.5  # of the short side; a batten on the centreline may be drawn off it by as much


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """Frames with the sections that were found, what is to be said of it, and the battens that are ambiguous.

    `spare` are the notches of each frame that no batten was found in.
    """

    frames: tuple[Frame, ...]
    defects: tuple[Defect, ...]
    ambiguous: frozenset[str] = frozenset()
    spare: Mapping[str, Sequence[Slot]] = field(default_factory=dict)


def with_found_sections(plan: Plan, frames: Sequence[Frame]) -> Found:
    """The frames, sorted forward, with the sections of battens that no drawing shows, found by their notches.

    Costs nothing where every batten's section is drawn in every frame.
    """
    lacking = {
        name: [frame for frame in frames if all(section.batten != name for section in frame.sections)]
        for kind in sorted(plan.battens)
        for name in batten_names(plan, kind)
    }
    if not any(lacking.values()) and not any(frame.batten_texts for frame in frames):
        return Found(frames=tuple(frames), defects=())
    slots = _free_slots(plan, frames) if any(lacking.values()) else defaultdict(list)
    labels, lost = _labels(plan, frames, slots)
    places = {name: _places(plan, name, frames, slots, labels) for name in lacking}
    tracks: dict[str, Followed] = {}
    doubtful: dict[str, tuple[Track, Track]] = {}
    for side in ("centre", "port", "starboard"):
        names = [name for name in lacking if batten_side(plan, name) == side and lacking[name]]
        sure, unsure = assigned(plan, names, places)
        tracks |= sure
        doubtful |= unsure
    spare = _spare(slots, tracks)
    tracks = {name: extended(followed, _run_of(plan, name, frames), spare) for name, followed in tracks.items()}
    spare = _spare(slots, tracks)
    found: dict[str, list[Section]] = defaultdict(list)
    for followed in tracks.values():
        for section in followed.sections:
            found[section.frame].append(section)
    out = [
        replace(frame, sections=tuple(sorted([*frame.sections, *found[frame.number]], key=lambda s: s.batten)))
        if frame.number in found
        else frame
        for frame in frames
    ]
    defects = [*_told(plan, frames, found), *(_unsure(plan, *pair) for pair in sorted(doubtful.items())), *lost]
    return Found(frames=tuple(out), defects=tuple(defects), ambiguous=frozenset(doubtful), spare=spare)


def _spare(slots: Mapping[str, Sequence[Slot]], tracks: Mapping[str, Followed]) -> dict[str, list[Slot]]:
    """The notches of each frame that no batten has taken, nor any part of what it takes up."""
    taken: dict[str, list[Section]] = defaultdict(list)
    for followed in tracks.values():
        for section in followed.sections:
            taken[section.frame].append(section)
    return {
        number: [slot for slot in here if all(slot.apart(section.centre) > 0 for section in taken[number])]
        for number, here in slots.items()
    }


def _run_of(plan: Plan, name: str, frames: Sequence[Frame]) -> list[Frame]:
    """The frames, sorted forward, that the plan lets a batten run through."""
    ends = plan.battens[kind_of(plan, name)].frames
    if ends is None:
        return list(frames)
    at = sorted(i for i, frame in enumerate(frames) if frame.number in ends)
    return list(frames[at[0] : at[-1] + 1])


def _free_slots(plan: Plan, frames: Sequence[Frame]) -> dict[str, list[Slot]]:
    """The notches of each frame in which no section is drawn."""
    cutter = plan.cutter.diameter if plan.cutter else 0.0
    arris = max((batten.arris for batten in plan.battens.values()), default=0.0)
    return {
        frame.number: [
            slot
            for slot in slots_of(frame, cutter, arris)
            if all(slot.apart(section.centre) > 0 for section in frame.sections)
        ]
        for frame in frames
    }


def _labels(
    plan: Plan, frames: Sequence[Frame], slots: dict[str, list[Slot]]
) -> tuple[dict[Slot, set[str]], list[Defect]]:
    """The kinds of batten that texts in or beside a notch name, by notch; and notes on texts beside none."""
    said: dict[Slot, set[str]] = defaultdict(set)
    lost = []
    for frame in frames:
        for text in frame.batten_texts:
            kind = batten_kind(plan, text.text)
            if kind is None:
                continue
            long, short = sorted(plan.battens[kind].section, reverse=True)
            fitting = [slot for slot in slots[frame.number] if seats_in(slot, long, short)]
            near = sorted((min(slot.apart(text.at), slot.apart(text.middle)), i) for i, slot in enumerate(fitting))
            if near and near[0][0] <= _LABEL_REACH:
                said[fitting[near[0][1]]].add(kind)
            else:
                lost.append(
                    Defect(
                        message=Sentence.of(
                            'the text "{text}" in {frame} names a batten but stands in no outline and in no notch that '
                            "fits it",
                            text=Name(text.text),
                            frame=frame,
                        ),
                        level=Level.NOTE,
                        source=text.source,
                        at=text.at,
                    )
                )
    return said, lost


def _places(
    plan: Plan, name: str, frames: Sequence[Frame], slots: dict[str, list[Slot]], labels: dict[Slot, set[str]]
) -> list[list[TrackPlace]]:
    """Where a batten may pass each frame: its drawn section, else the notches on its side that fit it."""
    kind, side = kind_of(plan, name), batten_side(plan, name)
    long, short = sorted(plan.battens[kind].section, reverse=True)
    places: list[list[TrackPlace]] = []
    run = _run_of(plan, name, frames)
    for frame in frames:
        drawn = [section for section in frame.sections if section.batten == name]
        if drawn:
            places.append([TrackPlace.drawn(frame, drawn[0])])
            continue
        here = []
        for slot in slots[frame.number] if frame in run else ():
            said = labels.get(slot, set())
            if said and kind not in said:
                continue
            for seat in seats_in(slot, long, short):
                found = TrackPlace.found(name, seat, labelled=bool(said))
                y = found.section.centre[0]
                on_centreline = abs(y) <= _OFF_CENTRE * short  # and so no place for one of two
                aside = not on_centreline or plan.battens[kind].sides != "both"
                if {"centre": on_centreline, "port": aside and y > 0, "starboard": aside and y < 0}[side]:
                    here.append(found)
        places.append(here)
    return places


def _told(plan: Plan, frames: Sequence[Frame], found: dict[str, list[Section]]) -> list[Defect]:
    """The one note on the sections that were found."""
    where: dict[str, list[str]] = defaultdict(list)
    for frame in frames:
        for section in found.get(frame.number, []):
            where[section.batten].append(frame.name)
    if not where:
        return []
    together: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for name, names in where.items():
        together[tuple(names)].append(name)
    said = "; ".join(f"{listed(names)} in {', '.join(numbers)}" for numbers, names in sorted(together.items()))
    return [
        Defect(
            message=Sentence.of(
                "battens of which no section is drawn were found by their notches: {said}", said=Name(said)
            ),
            level=Level.NOTE,
            source=Source(file=plan.file.name),
        )
    ]


def _unsure(plan: Plan, name: str, tracks: Sequence[Track]) -> Defect:
    """The error on a batten that might be one or another: no check looks at it."""
    shown = {p.frame.number for p in tracks[0]}.intersection(*({p.frame.number for p in track} for track in tracks))
    first = next((p.frame for p in tracks[0] if p.frame.number in shown), tracks[0][0].frame)
    spots = sorted({place(*p.section.centre) for track in tracks for p in track if p.frame is first})
    return Defect(
        message=Sentence.of(
            "the {batten} batten is not checked: no section of it is drawn, and more than one row of notches fits it, "
            "in {frame} at {places}",
            batten=Name(name),
            frame=first,
            places=Name(" or ".join(spots)),
        ),
        source=Source(file=plan.file.name, line=plan.line_of("battens", kind_of(plan, name))),
        cure=Sentence.of(
            'write "{batten}" into its notch in each frame, on a layer of labels, or draw its sections',
            batten=Name(name),
        ),
    )
