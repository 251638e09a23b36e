"""What each layer of the frame drawings is taken for, and why."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from ..plan.toml_fields import name_in_plan
from .content import Content, FoundMark
from .layer_evidence import Evidence, FrameOutlines

_MOST = 0.7  # share of a layer's objects that have to show a thing; the rest may be drawn wrong
_HALF = 0.5
_FEW = 0.3
_MIXED = 0.2  # share of the outlines of a core that lie over others of it, where other things are drawn among them
_ROUND_FRAME = 60.0  # mm round a frame's outlines that its dowels stand in
_EDGE = 0.5  # mm; a dowel's centre is no deeper in wood

_FORWARD = re.compile(r"(?<![^\W_])(?:fwd|forward|fore|front|vorn|vorne|avant|proa|prua|voor|for)(?![^\W_])", re.I)
_AFT = re.compile(r"(?<![^\W_])(?:aft|achtern?|hinten|arri[eè]re|popa|poppa|akter|rear|back)(?![^\W_])", re.I)
_PLATE = re.compile(r"gusset|knee|plate|knotenblech|gousset|cartela|fazzoletto|knieplaat|block", re.I)
"""Words for faces and plates in some tongues; from memory."""


@dataclass(frozen=True, kw_only=True)
class LayerTaken:
    """A layer: how many objects of each kind it holds, the sizes of its circles, some of its texts; and what it makes.

    `makes` and the keys that go with it are as in a plan, "" for a layer that is taken for nothing. `because` says why;
    `proved` is false where it is no more than the usual. Of what is in the core so many are `mixed`, over others of it.
    """

    layer: str
    counts: Mapping[str, int]
    diameters: tuple[float, ...] = ()
    texts: tuple[str, ...] = ()
    makes: str = ""
    face: str = ""
    role: str = ""
    driven_from: str = ""
    because: str = ""
    proved: bool = True
    mixed: int = 0

    @property
    def makes_part(self) -> bool:
        """Whether what is on it is cut from stock."""
        return self.makes == "part"


def layers_taken(
    contents: Sequence[Content],
    frames: Sequence[FrameOutlines],
    core: str,
    found: Mapping[str, Evidence],
    *,
    times: Mapping[str, int],
) -> list[LayerTaken]:
    """Every layer of these drawings, by name, with what it is taken for.

    `times` is how often each outline of a layer is on the cut sheets, 1 or 2, of those that are on them.
    """
    taken = {layer.layer: layer for layer in _counted(contents)}
    unfit = [name for name in taken if name_in_plan(name) != name]
    for name, layer in taken.items():
        if name in unfit:
            taken[name] = replace(layer, because="its name cannot stand in a plan: rename it")
        elif name in found:
            taken[name] = _of_outlines(layer, found[name], found, core)
    plates = [n for n, layer in taken.items() if layer.makes_part and layer.face != "core"]
    marks = _marks(contents, frames)
    for name, layer in taken.items():
        if not layer.because:
            taken[name] = _of_others(layer, frames, marks.get(name, []), [*_cores(taken)], plates)
    screws = {n: marks[n] for n, layer in taken.items() if layer.makes == "screw"}
    for name in plates:
        if taken[name].role != "leg":
            taken[name] = _faced(taken[name], frames, screws, times.get(name, 0))
    for name, layer in _driven(taken, screws, found, frames).items():
        taken[name] = layer
    return [taken[name] for name in sorted(taken)]


def _cores(taken: Mapping[str, LayerTaken]) -> list[str]:
    return [name for name, layer in taken.items() if layer.face == "core" and layer.role != "leg"]


def _counted(contents: Sequence[Content]) -> list[LayerTaken]:
    """What lies on every layer of these drawings."""
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    sizes: dict[str, set[float]] = defaultdict(set)
    texts: dict[str, set[str]] = defaultdict(set)
    for content in contents:
        for layer in content.layers:
            counts[layer]["outline"] += 1
        for mark in content.marks:
            if mark.diameter or not counts[mark.layer]["outline"]:  # a block's place beside what it draws is no mark
                counts[mark.layer]["circle" if mark.diameter else "mark"] += 1
            if mark.diameter:
                sizes[mark.layer].add(round(mark.diameter, 2))
        for layer in content.lines[1]:
            counts[layer]["line"] += 1
        for text in content.drawing.texts:
            counts[text.layer]["text"] += 1
            texts[text.layer].add(text.text)
        for chain in content.drawing.chains:
            counts[chain.layer]["line"] += 0  # a layer of bent open lines is one too
    return [
        LayerTaken(
            layer=layer,
            counts={what: many for what, many in sorted(counts[layer].items()) if many},
            diameters=tuple(sorted(sizes[layer])),
            texts=tuple(sorted(texts[layer])),
        )
        for layer in sorted(counts)
    ]


def _of_outlines(layer: LayerTaken, here: Evidence, found: Mapping[str, Evidence], core: str) -> LayerTaken:
    """A layer with outlines, by how they lie; the faces of plates are told later."""
    many = len(here.lying)
    if layer.layer == core:
        over = sum(each.holds > 0 for each in here.lying)
        why = "the largest outlines" + (", edge to edge" if over < _MIXED * many else "")
        return replace(layer, makes="part", face="core", because=why, mixed=over if over >= _MIXED * many else 0)
    if here.share("section") >= _MOST and here.over <= _FEW and here.share("stands") < _FEW:
        return replace(layer, makes="batten", because=f"{many} small rectangles in the notches")
    if here.share("stands") >= _MOST and found[core].share("stands") < _FEW:
        over = here.over > 0.05
        why, face = "on the datum line, " + ("over the core" if over else "up to the core"), _by_name(layer.layer)
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
        named = [text in inside for outlines in frames for inside in [{t for these in outlines.texts for t in these}]
                 for text in {text.text for text in outlines.frame.texts if text.layer == name}]  # fmt: skip
        if named and np.mean(named) >= _HALF:
            return replace(layer, makes="label", because="texts in the outlines")
        return replace(layer, because="texts that stand in no outline")
    if not marks:
        return replace(layer, because="nothing that a plan has a word for")
    in_core, in_plate = _inside(frames, marks, cores), _inside(frames, marks, plates)
    if float(np.mean(in_core & in_plate)) >= _MOST:
        return replace(layer, makes="screw", because="in plates and in the core under them")
    if layer.diameters and float(np.mean(in_core)) <= 1 - _MOST:
        return replace(layer, makes="dowel", because="circles in the corners of notches and beside the core")
    return replace(layer, because="marks, neither in plates nor at the core's edges")


def _marks(contents: Sequence[Content], frames: Sequence[FrameOutlines]) -> dict[str, list[tuple[int, FoundMark]]]:
    """The marks of each layer, each with the index of its frame, counted from that one's origin."""
    out: dict[str, list[tuple[int, FoundMark]]] = defaultdict(list)
    for n, outlines in enumerate(frames):
        found = outlines.frame.found
        left, low, right, high = found.box
        for mark in found.content.marks:
            u, v = mark.at
            if left - _ROUND_FRAME <= u <= right + _ROUND_FRAME and low - _ROUND_FRAME <= v <= high + _ROUND_FRAME:
                out[mark.layer].append((n, replace(mark, at=(u - found.origin[0], v - found.origin[1]))))
    return dict(out)


def _inside(
    frames: Sequence[FrameOutlines], marks: Sequence[tuple[int, FoundMark]], layers: Sequence[str]
) -> np.ndarray:
    """(n,) bool: which marks stand in an outline on these layers, more than a hair from its edge."""
    out = np.zeros(len(marks), dtype=bool)
    for n, outlines in enumerate(frames):
        mine = [k for k, (frame, _) in enumerate(marks) if frame == n]
        if mine:
            wood = shapely.buffer(shapely.union_all(shapely.buffer(outlines.on(layers), 0.0)), -_EDGE)
            shapely.prepare(wood)
            out[mine] = shapely.contains_xy(wood, *np.transpose([marks[k][1].at for k in mine]))
    return out


def _by_name(layer: str) -> str:
    """The face that a layer's name says; "" where it says none."""
    forward, aft = _FORWARD.search(layer.replace("_", " ")), _AFT.search(layer.replace("_", " "))
    return "" if bool(forward) == bool(aft) else "forward" if forward else "aft"


def _faced(
    layer: LayerTaken,
    frames: Sequence[FrameOutlines],
    screws: Mapping[str, Sequence[tuple[int, FoundMark]]],
    times: int,
) -> LayerTaken:
    """A layer of plates with the faces that they lie on."""
    why = layer.because
    if face := _by_name(layer.layer):
        return replace(layer, face=face, because=f"{why}; its name says which face")
    if times == 2:
        return replace(layer, face="both", because=f"{why}; twice on the cut sheets")
    through = [name for name, marks in screws.items() if _inside(frames, marks, [layer.layer]).any()]
    if len(through) > 1:
        return replace(layer, face="both", because=f"{why}; screws on {len(through)} layers hold them")
    if len(through) == 1 and len(screws) > 1:
        face = _by_name(through[0]) or "forward"
        return replace(layer, face=face, because=f"{why}; screws on one layer hold them")
    if layer.role == "gusset" and times != 1:
        return replace(layer, face="both", because=why, proved=False)
    why += "; once on the cut sheets" if times else ""
    return replace(layer, face="forward", because=why, proved=False)


def _driven(
    taken: Mapping[str, LayerTaken], screws: Mapping[str, Sequence[tuple[int, FoundMark]]],
    found: Mapping[str, Evidence], frames: Sequence[FrameOutlines],
) -> dict[str, LayerTaken]:  # fmt: skip
    """The layers of screws with the face that each is driven from.

    Plates on one face alone are those of a transom, and lie on its forward face: their screws are driven from there.
    """
    single = [name for name, layer in taken.items() if layer.role == "gusset" and layer.face in ("forward", "aft")]
    out: dict[str, LayerTaken] = {}
    for name, marks in sorted(screws.items(), key=lambda item: (-len(item[1]), item[0])):
        face, why, proved = _by_name(name), "its name says from where", True
        if not face and (held := [p for p in single if _inside(frames, marks, [p]).any()]):
            face, why = taken[held[0]].face, f"they hold the plates on {held[0]}"
        if not face:
            others = {layer.driven_from for layer in out.values()}
            others |= {taken[p].face for p in single if any(_inside(frames, m, [p]).any() for m in screws.values())}
            face, why, proved = ("aft" if others == {"forward"} else "forward"), "", False
        because = taken[name].because + (f"; {why}" if why else "")
        out[name] = replace(taken[name], driven_from=face, because=because, proved=proved)
    return out
