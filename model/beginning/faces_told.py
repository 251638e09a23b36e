"""The faces that plates lie on and screws are driven from, as far as anything tells."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from .content import FoundMark
from .layer_evidence import FrameOutlines
from .layer_taken import LayerTaken
from .marks_placed import inside

_FORWARD = re.compile(r"(?<![^\W_])(?:fwd|forward|fore|front|vorn|vorne|avant|proa|prua|voor|for)(?![^\W_])", re.I)
_AFT = re.compile(r"(?<![^\W_])(?:aft|achtern?|hinten|arri[eè]re|popa|poppa|akter|rear|back)(?![^\W_])", re.I)
"""Words for the faces in some tongues; from memory."""


def face_named(layer: str) -> str:
    """The face that a layer's name says; "" where it says none."""
    forward, aft = _FORWARD.search(layer.replace("_", " ")), _AFT.search(layer.replace("_", " "))
    return "" if bool(forward) == bool(aft) else "forward" if forward else "aft"


def _by_letter(layer: str, layers: Iterable[str]) -> str:
    """The face whose first letter stands in a layer's name, where another layer has that of the other face there."""
    names = {each.casefold() for each in layers}
    for letter, other, face in (("f", "a", "forward"), ("a", "f", "aft")):
        pair = re.sub(rf"(?<![^\W_]){letter}(?![^\W_])", other, layer.casefold())
        if pair != layer.casefold() and pair in names:
            return face
    return ""


def faced(
    layer: LayerTaken,
    frames: Sequence[FrameOutlines],
    screws: Mapping[str, Sequence[tuple[int, FoundMark]]],
    times: int,
) -> LayerTaken:
    """A layer of plates with the faces that they lie on."""
    why = layer.because
    if face := face_named(layer.layer):
        return replace(layer, face=face, because=f"{why}; its name says which face")
    if times == 2:
        return replace(layer, face="both", because=f"{why}; twice on the cut sheets")
    through = [name for name, marks in screws.items() if inside(frames, marks, [layer.layer]).any()]
    if len(through) > 1:
        return replace(layer, face="both", because=f"{why}; screws on {len(through)} layers hold them")
    if len(through) == 1 and len(screws) > 1:
        face = face_named(through[0])
        return replace(
            layer, face=face or "forward", because=f"{why}; screws on one layer hold them", proved=bool(face)
        )
    if layer.role == "gusset" and times != 1:
        return replace(layer, face="both", because=why, proved=False)
    why += "; once on the cut sheets" if times else ""
    return replace(layer, face="forward", because=why, proved=False)


def driven(
    taken: Mapping[str, LayerTaken],
    screws: Mapping[str, Sequence[tuple[int, FoundMark]]],
    frames: Sequence[FrameOutlines],
) -> dict[str, LayerTaken]:
    """The layers of screws with the face that each is driven from.

    Plates on one face alone are those of a transom, and lie on its forward face: their screws are driven from there.
    """
    single = [name for name, layer in taken.items() if layer.role == "gusset" and layer.face in ("forward", "aft")]
    out: dict[str, LayerTaken] = {}
    for name, marks in sorted(screws.items(), key=lambda item: (-len(item[1]), item[0])):
        face, why, proved = face_named(name) or _by_letter(name, taken), "its name says from where", True
        held = {p: int(within.sum()) for p in single if (within := inside(frames, marks, [p])).any()}
        if not face and held:
            plate = taken[max(held, key=lambda p: held[p])]
            face, why, proved = plate.face, f"they hold the plates on {plate.layer}", plate.proved
        if not face:
            others = {layer.driven_from for layer in out.values()}
            others |= {taken[p].face for p in single if any(inside(frames, m, [p]).any() for m in screws.values())}
            face, why, proved = ("aft" if others == {"forward"} else "forward"), "", False
        because = taken[name].because + (f"; {why}" if why else "")
        out[name] = replace(taken[name], driven_from=face, because=because, proved=proved)
    return out
