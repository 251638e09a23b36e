"""The computed layout of screws as a drawing (DXF), to lay over the frames' drawings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scrieve.model.boat.frame import Frame
from scrieve.model.plan.plan import Layer
from scrieve.model.proposals.screws.screw_layout import FromFace
from scrieve.model.proposals.screws.screws_proposed import Kind, Proposal
from scrieve.shared.tolerances import COINCIDENT

from .frame_blocks import FrameBlocks

AS_DRAWN = "SCREWS AS DRAWN"
PLAIN: Mapping[FromFace, str] = {"forward": "SCREWS FORWARD", "aft": "SCREWS AFT"}
_GREY = 8
_COLOURS: Mapping[FromFace, int] = {"forward": 1, "aft": 6}


def screws_drawing(proposals: Sequence[Proposal], kind: Kind, layers: Mapping[str, Layer]) -> str:
    """A DXF file with a block for each frame that gets screws (see `frame_blocks`).

    Each screw is a circle of its shank's diameter with a cross through its centre, on the plan's own layer for
    screws of this kind from its face, or where the plan has none on SCREWS FORWARD and SCREWS AFT. Where a
    drawing shows only the port half, so does this. Screws that are drawn already are on a layer of their own.
    """
    blocks = FrameBlocks([each.frame.view for each in proposals], tuple(layers))
    names = {face: screw_layer(layers, kind.name, face) or blocks.words(plain) for face, plain in PLAIN.items()}
    for each in proposals:
        frame = each.frame
        view = frame.view
        counts = ", ".join(f"{n} from {face}" for face, n in by_face(each).items() if n)
        block = blocks.frame(frame, view, f"{frame.name}: {view.shown}, in {view.unit}; {counts} ({kind.size.name})")
        for screw in frame.screws:
            block.circle(screw.at, screw.size.diameter, AS_DRAWN, _GREY)
        arm = (kind.size.head_diameter - kind.size.diameter) / 2
        for screw in each.screws:
            if not view.half or screw.at[0] >= -COINCIDENT:
                face = screw.driven_from
                block.mark(screw.at, names[face], kind.size.diameter, arm, _COLOURS[face])
    return blocks.text()


def screw_layer(layers: Mapping[str, Layer], kind: str, face: FromFace) -> str:
    """The plan's layer for screws of this kind driven from this face, the first by name; empty if it has none."""
    named = (name for name, layer in layers.items() if layer.screw == kind and layer.driven_from == face)
    return min(named, default="")


def by_face(proposal: Proposal) -> dict[FromFace, int]:
    """How many screws a proposal has from each face."""
    return {face: sum(screw.driven_from == face for screw in proposal.screws) for face in PLAIN}


def halves(proposals: Sequence[Proposal]) -> tuple[Frame, ...]:
    """The frames whose drawings show the port half alone."""
    return tuple(each.frame for each in proposals if each.frame.view.half)
