"""What each layer of the frame drawings is taken for, and why."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from ..plan.toml_fields import name_in_plan
from .content import Content, FoundMark
from .faces_told import driven, face_named, faced
from .layer_evidence import Evidence, FrameOutlines
from .layer_taken import LayerTaken, counted
from .marks_placed import inside, marks_by_layer

_MOST = 0.7  # share of a layer's objects that have to show a thing; the rest may be drawn wrong
_HALF = 0.5
_FEW = 0.3
_MIXED = 0.2  # share of the outlines of a core that lie over others of it, where other things are drawn among them

_PLATE = re.compile(r"gusset|knee|plate|knotenblech|gousset|cartela|fazzoletto|knieplaat|block", re.I)
"""Words for plates in some tongues; from memory."""


def layers_taken(
    contents: Sequence[Content],
    frames: Sequence[FrameOutlines],
    cores: Sequence[str],
    found: Mapping[str, Evidence],
    *,
    times: Mapping[str, int],
) -> list[LayerTaken]:
    """Every layer of these drawings, by name, with what it is taken for.

    `times` is how often each outline of a layer is on the cut sheets, 1 or 2, of those that are on them.
    """
    taken = {layer.layer: layer for layer in counted(contents)}
    unfit = [name for name in taken if name_in_plan(name) != name]
    for name, layer in taken.items():
        if name in unfit:
            taken[name] = replace(layer, because="its name cannot stand in a plan: rename it")
        elif name in found:
            taken[name] = _of_outlines(layer, found[name], found, cores)
    plates = [n for n, layer in taken.items() if layer.makes_part and layer.face != "core"]
    marks = marks_by_layer(frames)
    for name, layer in taken.items():
        if not layer.because:
            taken[name] = _of_others(layer, frames, marks.get(name, []), [*_cores(taken)], plates)
    screws = {n: marks[n] for n, layer in taken.items() if layer.makes == "screw"}
    for name in plates:
        if taken[name].role != "leg":
            taken[name] = faced(taken[name], frames, screws, times.get(name, 0))
    for name, layer in driven(taken, screws, frames).items():
        taken[name] = layer
    return [taken[name] for name in sorted(taken)]


def _cores(taken: Mapping[str, LayerTaken]) -> list[str]:
    return [name for name, layer in taken.items() if layer.face == "core" and layer.role != "leg"]


def _of_outlines(layer: LayerTaken, here: Evidence, found: Mapping[str, Evidence], cores: Sequence[str]) -> LayerTaken:
    """A layer with outlines, by how they lie; the faces of plates are told later."""
    many, core = len(here.lying), cores[0]
    if layer.layer in cores[1:]:
        return replace(layer, makes="part", face="core", because="the largest outlines of frames without other core")
    if layer.layer == core:
        over = sum(each.holds > 0 for each in here.lying)
        why = "the largest outlines" + (", edge to edge" if over < _MIXED * many else "")
        return replace(layer, makes="part", face="core", because=why, mixed=over if over >= _MIXED * many else 0)
    if here.share("section") >= _MOST and here.over <= _FEW and here.share("stands") < _FEW:
        return replace(layer, makes="batten", because=f"{many} small rectangles in the notches")
    if here.share("stands") >= _MOST and found[core].share("stands") < _FEW:
        over = here.over > 0.05
        why, face = "on the datum line, " + ("over the core" if over else "up to the core"), face_named(layer.layer)
        if not over:
            return replace(layer, makes="part", role="leg", face="core", because=why)
        return replace(layer, makes="part", role="leg", face=face or "forward", because=why, proved=bool(face))
    if here.share("named") < _FEW and found[core].share("named") > _MOST:
        return replace(layer, because="outlines without a name: holes, pockets or marks?")
    if here.over >= _HALF:
        gussets = here.holding >= _HALF or any(_PLATE.search(text) for text in layer.texts)
        why = "over the joints of the core" if here.holding >= _HALF else "over the core"
        return replace(layer, makes="part", face="both", role="gusset" if gussets else "", because=why)
    if here.over < 0.1 and here.share("beside") >= _MOST:
        return replace(layer, makes="part", face="core", because="outlines beside the core's, never over them")
    if here.share("named") >= _HALF:
        return replace(layer, makes="part", face="forward", because="partly over the core", proved=False)
    return replace(layer, because="outlines apart from the frames")


def _of_others(
    layer: LayerTaken, frames: Sequence[FrameOutlines], marks: Sequence[tuple[int, FoundMark]], cores: Sequence[str],
    plates: Sequence[str],
) -> LayerTaken:  # fmt: skip
    """A layer without outlines: reference lines, labels, screws, dowels, or nothing that is known."""
    name = layer.layer
    lines = {each for outlines in frames for each in (outlines.frame.found.upright, outlines.frame.found.level)}
    if name in lines:
        return replace(layer, makes="reference", because="the centreline and the datum line")
    if layer.texts and not layer.diameters:
        named = [text in within for outlines in frames for within in [{t for these in outlines.texts for t in these}]
                 for text in {text.text for text in outlines.frame.texts if text.layer == name}]  # fmt: skip
        if named and np.mean(named) >= _HALF:
            return replace(layer, makes="label", because="texts in the outlines")
        return replace(layer, because="texts that stand in no outline")
    if not marks:
        return replace(layer, because="nothing that a plan has a word for")
    in_core, in_plate = inside(frames, marks, cores), inside(frames, marks, plates)
    if float(np.mean(in_core & in_plate)) >= _MOST:
        return replace(layer, makes="screw", because="in plates and in the core under them")
    if layer.diameters and float(np.mean(in_core)) <= 1 - _MOST:
        return replace(layer, makes="dowel", because="circles in the corners of notches and beside the core")
    return replace(layer, because="marks, neither in plates nor at the core's edges")
