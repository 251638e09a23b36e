"""The battens of a plan: from the sections that the frame drawings show to the strips through them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType

import numpy as np
import shapely

from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Sentence

from ...boat.batten import Batten, Section
from ...boat.defect import Defect
from ...boat.frame import Frame
from ...drawing import FrameShapes, LabelledOutline
from ...geometry.outline import Outline
from ...plan.plan import FrameSpec, Plan
from .batten_names import batten_kind, batten_names, batten_size
from .found_notch import Slot
from .unfollowed import interrupted, stopping_short, unfollowed

_APART = 1.0
"""mm along the boat; sections closer than this are at one place, no frame being so thin."""

SIZE_PLAY = 0.5
"""mm; a drawn section may differ from the plan's by as much (common practice, no source)."""


def sections_of(
    plan: Plan, spec: FrameSpec, shapes: FrameShapes, *, times: float = 1.0
) -> tuple[tuple[Section, ...], tuple[Defect, ...]]:
    """The sections drawn in one frame, by batten's name, and what is wrong with any of them.

    `times` is how many times too large the plan's own are.
    """
    sections: dict[str, Section] = {}
    defects: list[Defect] = []
    for shape in shapes.shapes:
        if plan.layers[shape.layer].makes != "batten":
            continue
        y, v = _middle(shape)
        kind = batten_kind(plan, shape.label)
        if kind is None:
            known = ", ".join(sorted(plan.battens)) or "none"
            defects.append(
                Defect(
                    message=Sentence.of(
                        'the batten section "{label}" names no batten of the plan (there are: {known})',
                        label=Name(shape.label),
                        known=known,
                    ),
                    source=shape.source,
                    at=(y, v),
                    drawn=_drawn(shape),
                    cure="label it with a batten's name, or add the batten to the plan",
                )
            )
            continue
        defects += _of_another_size(plan, shape.label, kind, shape.source, (y, v), times)
        name = _name(plan, kind, y, shape)
        if name in sections:
            defects.append(
                Defect(
                    message=Sentence.of("the section of the {batten} is drawn twice", batten=Name(name)),
                    source=shape.source,
                    at=(y, v),
                    drawn=_drawn(shape),
                    cure="take one of them out of the drawing",
                )
            )
            continue
        _, _, angle = sides_of(shape.outline)
        sections[name] = Section(
            batten=name, frame=spec.number, centre=(y, v), angle=angle, drawn=shape.outline, source=shape.source
        )
    for text in {each.source: each for each in shapes.batten_texts}.values():
        kind = batten_kind(plan, text.text)
        if kind is not None:
            defects += _of_another_size(plan, text.text, kind, text.source, text.at, times)
    return tuple(sections[name] for name in sorted(sections)), tuple(defects)


def _of_another_size(
    plan: Plan, label: str, kind: str, source: Source, at: tuple[float, float], times: float
) -> list[Defect]:
    """What is said of a label with a size that is not the plan's; nothing of any other."""
    said = batten_size(plan, label)
    wanted = [side / times for side in sorted(plan.battens[kind].section, reverse=True)]
    if said is None or max(abs(a - b) for a, b in zip(said, wanted, strict=True)) <= SIZE_PLAY:
        return []
    size = Name(f"{wanted[0]:g} x {wanted[1]:g} mm")
    return [
        Defect(
            message=Sentence.of(
                'the label "{label}" says {said}, the plan {wanted} for the {kind}',
                label=Name(label),
                said=Name(f"{said[0]:g} x {said[1]:g} mm"),
                wanted=size,
                kind=Name(kind),
            ),
            level=Level.WARNING,
            source=source,
            at=at,
            check="label",
            cure=Sentence.of(
                "write {wanted} there, or change battens.{kind}.section in the plan", wanted=size, kind=Name(kind)
            ),
        )
    ]


def battens_through(
    plan: Plan,
    frames: Sequence[Frame],
    told: Collection[str] = (),
    spare: Mapping[str, Sequence[Slot]] = MappingProxyType({}),
) -> tuple[tuple[Batten, ...], tuple[Defect, ...]]:
    """The battens through the sections of these frames, by name, and what is wrong with each that cannot be followed.

    Of those in `told` it has been said why. `spare` are the notches of each frame that no batten was found in.
    """
    found: dict[str, list[tuple[Section, Frame]]] = defaultdict(list)
    for frame in frames:
        for section in frame.sections:
            found[section.batten].append((section, frame))
    battens, defects = [], []
    for kind, batten in plan.battens.items():
        for name in batten_names(plan, kind):
            here = sorted(found.get(name, []), key=lambda pair: pair[1].placement.point(*pair[0].centre)[0])
            if len(here) < 2:
                if name in told or kind in found:  # drawn on the centreline, which is told
                    continue
                defects.append(unfollowed(plan, name, len(here), frames, spare))
                continue
            crowded = _crowded(here)
            if crowded is not None:
                defects.append(_doubled_back(name, *crowded))
                continue
            defects += interrupted(plan, name, {section.frame for section, _ in here}, frames, spare)
            long, short = sorted(batten.section, reverse=True)
            battens.append(
                Batten(
                    name=name,
                    kind=kind,
                    side="centre" if batten.sides == "centre" else "port" if name.startswith("port") else "starboard",
                    long=long,
                    short=short,
                    arris=batten.arris,
                    sections=tuple(section for section, _ in here),
                    placements=tuple(frame.placement for _, frame in here),
                    layers=batten.layers,
                    least_bend=batten.bend,
                )
            )
            defects += stopping_short(plan, battens[-1], frames)
    wanted = {name for kind in plan.battens for name in batten_names(plan, kind)}
    defects += [_unwanted(plan, name, found[name]) for name in sorted(set(found) - wanted)]
    return tuple(sorted(battens, key=lambda b: b.name)), tuple(defects)


def _drawn(shape: LabelledOutline) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The line around a section."""
    return (tuple((float(y), float(v)) for y, v in shapely.get_coordinates(shape.outline.polygon())),)


def _crowded(here: Sequence[tuple[Section, Frame]]) -> tuple[Frame, Frame] | None:
    """Two frames that hold this batten at one place along the boat, where no strip can pass both; None if none do."""
    at = [frame.placement.point(*section.centre)[0] for section, frame in here]
    pairs = zip(at, at[1:], here, here[1:], strict=False)
    return next(((a[1], b[1]) for x, y, a, b in pairs if y - x < _APART), None)


def _doubled_back(name: str, aft: Frame, forward: Frame) -> Defect:
    return Defect(
        message=Sentence.of(
            "the {batten} batten is not checked: {aft} and {forward} hold it at one place along the boat",
            batten=Name(name),
            aft=aft,
            forward=forward,
        ),
        level=Level.NOTE,
        source=forward.source,
        cure="give the frames their own stations",
    )


def _unwanted(plan: Plan, name: str, here: Sequence[tuple[Section, Frame]]) -> Defect:
    where = ", ".join(frame.name for _, frame in here)
    if name in plan.battens:
        return Defect(
            message=Sentence.of(
                'the {batten} is drawn on the centreline in {frames}, but the plan says sides = "{sides}" of it: it is '
                "not checked",
                batten=Name(name),
                frames=Name(where),
                sides=plan.battens[name].sides,
            ),
            source=plan.source_of("battens", name, "sides"),
            cure=Sentence.of(
                'set battens.{batten}.sides to "centre", or draw its sections clear of the centreline',
                batten=Name(name),
            ),
            edits=plan.keys.set(("battens", name), "sides", "centre"),
        )
    kind = name.split(" ", 1)[1]
    sides = plan.battens[kind].sides
    return Defect(
        message=Sentence.of(
            'the {batten} is drawn in {frames}, but the plan has this batten on side "{sides}" only',
            batten=Name(name),
            frames=Name(where),
            sides=sides,
        ),
        source=here[0][0].source,
        cure=Sentence.of(
            'set battens.{kind}.sides to "both" (or "centre" if it lies there), or take the sections out',
            kind=Name(kind),
        ),
        edits=plan.keys.set(("battens", kind), "sides", "both"),
    )


def _name(plan: Plan, kind: str, y: float, shape: LabelledOutline) -> str:
    """The batten's name by its side; the bare kind on the centreline, also where the plan has none there."""
    sides = plan.battens[kind].sides
    if sides == "centre" or _on_centreline(shape, y, twin=sides == "both"):
        return kind
    return f"port {kind}" if y > 0 else f"starboard {kind}"


def _on_centreline(shape: LabelledOutline, y: float, *, twin: bool) -> bool:
    """Whether a section lies on the centreline: its middle; or, of a batten with a `twin`, so much that they foul."""
    if not twin:
        return abs(y) <= SIZE_PLAY
    low, _, high, _ = shape.outline.polygon().bounds
    return bool(low < -SIZE_PLAY and high > SIZE_PLAY)


def _middle(shape: LabelledOutline) -> tuple[float, float]:
    centre = shapely.minimum_rotated_rectangle(shape.outline.polygon()).centroid
    return float(centre.x), float(centre.y)


def sides_of(outline: Outline) -> tuple[float, float, float]:
    """Long side, short side (mm) and angle of the long side (radians) of the rectangle round a section.

    Taken along the section's longest straight edge, which the rectangle of least area need not follow
    where the arrises are rounded.
    """
    runs = np.roll(outline.points, -1, axis=0) - outline.points
    lengths = np.where(outline.bulges == 0.0, np.hypot(runs[:, 0], runs[:, 1]), 0.0)
    run = runs[int(np.argmax(lengths))]
    along = run / max(float(np.hypot(*run)), 1e-9)
    flat = outline.flattened()
    spans = [float(np.ptp(flat @ axis)) for axis in (along, np.array([-along[1], along[0]]))]
    if spans[0] < spans[1]:
        spans, along = spans[::-1], np.array([-along[1], along[0]])
    return spans[0], spans[1], float(np.arctan2(along[1], along[0]))
