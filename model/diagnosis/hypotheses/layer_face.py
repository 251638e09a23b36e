"""The plates of a layer lie on another face than the plan says, or on both."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from scrieve.shared.findings import Finding
from scrieve.shared.sentences import Name, Sentence

from ..case import Case, Hypothesis

_WORDS = {"forward": "on the forward face", "aft": "on the aft face", "both": "on both faces"}

_FRAMES = 3  # in which joints are bare, before a layer of gussets is on the wrong face
_CHECKS = ("cut-sheet", "foul", "joint-bare", "leg-bottom", "leg-pair", "joint-gap", "screw-bite")


def propose(case: Case) -> Iterator[Hypothesis]:
    """Each other face for each layer of plates whose parts, or joints, are complained of."""
    bare = len({finding.frame for finding in case.of("joint-bare")}) >= _FRAMES
    layers = {part.source.layer: part for part in case.boat.parts()}
    for name, layer in case.plan.layers.items():
        if layer.makes != "part" or layer.face == "core" or name not in layers:
            continue
        own = _parts_and_screws(case, name)
        trace = tuple(finding for finding in case.findings if _about(finding, own, bare and layer.role == "gusset"))
        if len({finding.frame for finding in trace}) < 2:
            continue
        faces = ("forward", "aft") if layer.role == "leg" else ("forward", "aft", "both")
        for face in faces:
            if face != layer.face:
                yield Hypothesis(
                    says=Sentence.of(
                        "the parts on layer {layer} lie {there}, the plan says {here}",
                        layer=Name(name),
                        there=_WORDS[face],
                        here=_WORDS[layer.face or "core"],
                    ),
                    cure=Sentence.of('set face = "{face}" of layer {layer}', face=face, layer=Name(name)),
                    edits=case.plan.keys.set(("layers", name), "face", face),
                    trace=trace,
                    fewest=2,
                    source=case.plan.source_of("layers", name),
                )


def _parts_and_screws(case: Case, layer: str) -> set[str]:
    """The parts of a layer, and the screws whose heads lie over them: driven through them, if on the right face."""
    out: set[str] = set()
    for frame in case.boat.frames:
        parts = [part for part in frame.parts if part.source.layer == layer]
        out |= {part.name for part in parts}
        if parts and frame.screws:
            over = shapely.intersects_xy(
                shapely.union_all([part.shape for part in parts]), [s.at for s in frame.screws]
            )
            out |= {screw.name for screw, is_over in zip(frame.screws, over, strict=True) if is_over}
    return out


def _about(finding: Finding, own: set[str], gussets: bool) -> bool:
    if gussets and finding.check == "joint-bare":
        return True
    return finding.check in _CHECKS and any(each.name in own for each in finding.subjects)
