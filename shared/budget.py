"""So much work and no more: what a search may cost before it is given up, counted in steps, never in seconds."""

from __future__ import annotations


class TooCrowded(Exception):
    """A search has spent its budget; whoever began it says what is left undone. Never leaves `model`."""


class Budget:
    """So many steps, each about one number looked at; the same on every machine."""

    __slots__ = ("left",)

    def __init__(self, steps: int) -> None:
        """With this many steps to spend."""
        self.left = steps

    def spend(self, steps: int) -> None:
        """Takes steps off; raises TooCrowded once more are asked for than there were."""
        self.left -= steps
        if self.left < 0:
            raise TooCrowded
