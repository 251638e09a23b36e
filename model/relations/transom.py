"""Which way round a transom stands in its boat."""

from __future__ import annotations

from typing import Literal

from ..boat.assembly import Assembly
from ..boat.frame import Frame


def outer_face(frame: Frame, assembly: Assembly) -> Literal["forward", "aft"] | None:
    """The face of a transom that is the boat's outside: forward at the bow, aft at the stern; None of other frames.

    At the bow is the foremost of several frames.
    """
    if frame.kind != "transom":
        return None
    return "forward" if len(assembly.frames) > 1 and frame is assembly.frames[-1] else "aft"
