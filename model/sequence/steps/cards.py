"""What holds for the whole boat, said once: labels, glue, legs. Sentences, blanks to be filled in."""

from __future__ import annotations

from ...boat.assembly import Assembly
from ..measurements.label_faces import label_faces

GLUE_CARD = (
    "From the data sheet: open time ____ min, pot life ____ min, hard after ____ h.",
    "Wet out both faces; end grain again when it has drunk the first.",
    "Then thickened glue on one face; film under every joint, the parts back onto the dowels.",
    "Wipe what comes out, then take the mask off. Weights on film.",
    "Hard is when a dab of the same mix on a scrap is.",
)
"""Common practice, no source: the data sheet goes first."""

LEG_CARD = (
    "One leg of each hand, plies flush at the foot, head tight on the core; clamped until the glue is hard.",
    "A tongue hangs inside its rail. A raked leg stands on one edge of its foot: that is right.",
    "On the rails they are screwed without glue, and come off when the boat does.",
)
"""Common practice, no source."""


def label_rule(assembly: Assembly) -> str:
    """On which face the labels are, as a rule for the boat, and what goes against it."""
    labels = label_faces(assembly)
    other = "forward" if labels.usual == "aft" else "aft"
    rule = f"Labels are on the {labels.usual} face: up with the {labels.usual} face up, down with the {other} face up."
    rule += " A frame lies with its top away from you."
    return rule + (f" The other way: {', '.join(sorted(labels.others))}." if labels.others else "")
