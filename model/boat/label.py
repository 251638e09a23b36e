"""A text in a frame's drawing."""

from __future__ import annotations

from dataclasses import dataclass

from scrieve.shared.findings import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A text in the frame's own (y, v), mm: its anchor, and the middle of its box as estimated.

    `layer` is empty where it may name an outline of any layer.
    """

    text: str
    layer: str
    at: tuple[float, float]
    middle: tuple[float, float]
    source: Source

    def mirrored(self) -> Label:
        """The same on the other side of the centreline."""
        (y, v), (y_middle, v_middle) = self.at, self.middle
        return Label(text=self.text, layer=self.layer, at=(-y, v), middle=(-y_middle, v_middle), source=self.source)
