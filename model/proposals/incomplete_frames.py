"""Frames that have no core, or none of the gussets that others have: said once, and what would follow left aside."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from scrieve.shared.findings import Level, Source
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.units import MM_PER_UNIT
from scrieve.shared.wording import listed

from ..boat.assembly import Assembly
from ..boat.defect import Defect
from ..boat.exclusion import Exclusion
from ..boat.frame import Frame
from ..drawing import Drawing, part_boxes
from ..drawing.halves import lies_beyond
from ..plan.plan import FrameSpec, Plan
from ..relations.joints.gusset import covers, gussets_of
from ..relations.scope import unheld

_NAMED = 3  # layers that a cure names


def with_incomplete_frames(plan: Plan, assembly: Assembly, drawings: Mapping[str, Drawing]) -> Assembly:
    """The boat, with what is said of frames that lack their core or all gussets, and these frames left aside."""
    coreless = [frame for frame in assembly.frames if not frame.core]
    bare, all_bare = _bare(plan, assembly)
    if not coreless and not bare:
        return assembly
    excluded = (
        *(Exclusion(frame=f.number) for f in coreless),
        *(Exclusion(frame=f.number, gussets=True) for f in bare),
    )
    boat = replace(assembly, excluded=(*assembly.excluded, *excluded))
    told: dict[str, tuple[Defect, ...]] = {}
    specs = {spec.number: (spec, plan.line_of("frames", index)) for index, spec in enumerate(plan.frames)}
    missed = any(_drawn_outside(plan, specs[frame.number][0], drawings) for frame in coreless)
    explained = [frame for frame in coreless if any(_tells_of_core(plan, defect) for defect in frame.defects)]
    whole = len(coreless) == len(assembly.frames) > 1 and not missed and not explained
    for frame in coreless:
        spec, line = specs[frame.number]
        left_out = _left_out(plan, frame, boat)
        said = () if whole or frame in explained else (_coreless(plan, spec, line, drawings),)
        told[frame.number] = () if whole else (*said, left_out)
    for frame in bare:
        said = () if all_bare else (_gussetless(plan, specs[frame.number][0], frame, boat, drawings),)
        told[frame.number] = (*said, _unscrewed(frame, boat))
    return replace(
        boat,
        frames=tuple(
            replace(frame, defects=(*frame.defects, *told[frame.number])) if frame.number in told else frame
            for frame in boat.frames
        ),
        defects=(
            *boat.defects,
            *([_no_core_at_all(plan, drawings)] if whole else []),
            *([_no_gusset_at_all(plan, bare, drawings)] if all_bare else []),
        ),
    )


def _tells_of_core(plan: Plan, defect: Defect) -> bool:
    """Whether something drawn for the core of a frame could not be taken: it is that which its cure is about."""
    use = plan.layers.get(defect.source.layer)
    of_core = use is not None and use.makes == "part" and use.face == "core" and defect.level is Level.ERROR
    return lies_beyond(defect) or (of_core and defect.at is not None)


def _coreless(plan: Plan, spec: FrameSpec, line: int, drawings: Mapping[str, Drawing]) -> Defect:
    unread = _unread(plan, [drawings[spec.drawing]])
    source = Source(file=plan.file.name, line=line)
    outside = _drawn_outside(plan, spec, drawings)
    if outside and spec.extent is not None:
        window = [end + at for end, at in zip(spec.extent, spec.origin * 2, strict=True)]
        return Defect(
            message=Sentence.of(
                "frame {frame} has no core part: its extent is what lies from {low} to {high} of {drawing}, where "
                "parts are drawn from {first} to {last}",
                frame=Name(spec.number),
                low=_corner(plan, window[:2]),
                high=_corner(plan, window[2:]),
                drawing=Name(spec.drawing),
                first=_corner(plan, outside[:2]),
                last=_corner(plan, outside[2:]),
            ),
            source=source,
            cure="set origin to where its centreline meets the datum line in that drawing: extent counts from there",
        )
    return Defect(
        message=Sentence.of(
            "frame {frame} has no core part: its drawing {drawing} holds no closed outline on a layer that makes parts "
            "of the core",
            frame=Name(spec.number),
            drawing=Name(spec.drawing),
        ),
        source=source,
        cure=Sentence.of("draw it, or name its layer under [layers] in the plan{unread}", unread=unread),
    )


def _drawn_outside(plan: Plan, spec: FrameSpec, drawings: Mapping[str, Drawing]) -> list[float]:
    """From where to where (u, v, u, v) parts lie in the drawing of a frame whose extent holds no core; else nothing."""
    boxes = part_boxes(drawings[spec.drawing], plan.layers)
    if spec.extent is None or not len(boxes):
        return []
    return [*boxes[:, :2].min(axis=0).tolist(), *boxes[:, 2:].max(axis=0).tolist()]


def _corner(plan: Plan, at: Sequence[float]) -> Name:
    """ "[1800, -20]", in the plan's unit."""
    u, v = (round(length / MM_PER_UNIT[plan.units], 1) + 0.0 for length in at)
    return Name(f"[{u:g}, {v:g}]")


def _no_core_at_all(plan: Plan, drawings: Mapping[str, Drawing]) -> Defect:
    unread = _unread(plan, drawings.values())
    return Defect(
        message="no frame has a core part: no drawing holds a closed outline on a layer that makes parts of the core; "
        "the other checks look at no frame",
        source=Source(file=plan.file.name),
        cure=Sentence.of(
            'name the layer of the core under [layers] in the plan, makes = "part", face = "core"{unread}',
            unread=unread,
        ),
    )


def _left_out(plan: Plan, frame: Frame, boat: Assembly) -> Defect:
    loose = sorted({batten.name for _, batten, *_ in unheld(replace(boat, excluded=(Exclusion(frame=frame.number),)))})
    battens = Sentence.of(", and the {battens} from the frame before it to the next", battens=listed(loose))
    return Defect(
        message=Sentence.of(
            "not looked at, as {frame} has no core part: {frame} itself{sheets}{battens}",
            frame=frame,
            sheets=", what is drawn for it on the cut sheets" if boat.sheets else "",
            battens=battens if loose else "",
        ),
        level=Level.NOTE,
        source=Source(file=plan.file.name),
    )


def _bare(plan: Plan, assembly: Assembly) -> tuple[list[Frame], bool]:
    """Frames with joints and no gusset at all, and whether those are all that have joints.

    Where at least as many others have some; or where screws are drawn, which want something to hold. None with
    waived joints.
    """
    waived = [waiver.where for waiver in plan.waivers if waiver.check == "joint-bare"]
    jointed = [frame for frame in assembly.frames if len(frame.core) > 1]
    without = [
        frame
        for frame in jointed
        if not gussets_of(frame)
        and not any(where == frame.name or where.startswith(f"{frame.name} ") for where in waived)
        and any(cover.is_bare for cover in covers(frame, assembly))
    ]
    if 2 * len(without) > len(jointed):
        without = [frame for frame in without if len(frame.screws) > 1]
    return without, len(without) == len(jointed) > 1


def _gussetless(
    plan: Plan, spec: FrameSpec, frame: Frame, assembly: Assembly, drawings: Mapping[str, Drawing]
) -> Defect:
    joints = len({cover.joint for cover in covers(frame, assembly)})
    count = len(frame.screws)
    screws = Sentence.of(", and its {count} screws have nothing to hold", count=Quantity.of(count, str(count)))
    layers = sorted(name for name, layer in plan.layers.items() if layer.makes == "part" and layer.role == "gusset")
    return Defect(
        message=Sentence.of(
            "{frame} has no gusset: {bare}{screws}",
            frame=frame,
            bare=Quantity.of(joints, "its joint is bare" if joints == 1 else f"its {joints} joints are bare"),
            screws=screws if count > 1 else "",
        ),
        source=Source(file=spec.drawing),
        cure=Sentence.of(
            "draw the gussets on layer {layers}{unread}",
            layers=Name(" or ".join(layers)),
            unread=_unread(plan, [drawings[spec.drawing]]),
        ),
    )


def _no_gusset_at_all(plan: Plan, frames: Sequence[Frame], drawings: Mapping[str, Drawing]) -> Defect:
    screws = sum(len(frame.screws) for frame in frames)
    return Defect(
        message=Sentence.of(
            "no frame has a gusset over its joints: {count} screws in {frames} have nothing to hold",
            count=Quantity.of(screws, str(screws)),
            frames=listed(f.name for f in frames),
        ),
        source=Source(file=plan.file.name),
        cure=Sentence.of(
            'name their layer under [layers] in the plan, role = "gusset"{unread}',
            unread=_unread(plan, drawings.values()),
        ),
    )


def _unscrewed(frame: Frame, boat: Assembly) -> Defect:
    return Defect(
        message=Sentence.of(
            "not looked at, as {frame} has no gusset: whether its joints are covered, its screws{sheets}",
            frame=frame,
            sheets=", and what is drawn for it on the cut sheets besides" if boat.sheets else "",
        ),
        level=Level.NOTE,
        source=frame.source,
    )


def _unread(plan: Plan, drawings: Iterable[Drawing]) -> Name:
    """ " (not named there, but drawn on: KERN)": the layers that hold most of what is not read; empty for none."""
    counted: Counter[str] = Counter()
    for drawing in drawings:
        counted.update(drawing.unnamed)
    most = [layer for layer, _ in sorted(counted.items(), key=lambda each: (-each[1], each[0]))[:_NAMED]]
    return Name(f" (not named there, but drawn on: {', '.join(most)})" if most else "")
