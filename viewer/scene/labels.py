"""Words in the picture: each at its place on the boat, upright, hidden by nothing, none over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from vtkmodules.vtkRenderingCore import vtkCoordinate, vtkTextActor

from .looks import INK, PAPER, STRONG

Manner = Literal["plain", "strong", "measure"]

_COLOUR: dict[Manner, tuple[str, str]] = {"plain": (INK, PAPER), "strong": (PAPER, STRONG), "measure": (PAPER, INK)}
"""Of the words and of the slip of paper they stand on."""

_APART = 3.0  # points between two labels


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """`text` at a place (hull axes, mm), or so many points of the picture `below` it.

    Of two that would lie over one another the first is shown.
    """

    text: str
    at: tuple[float, float, float]
    manner: Manner = "plain"
    size: int = 13
    below: int = 0


class Labels:
    """The labels in a plotter. Which of them have room is worked out as each picture begins."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self._labels: tuple[Label, ...] = ()
        self._actors: list[vtkTextActor] = []
        self._watch = plotter.renderer.AddObserver("StartEvent", lambda *_: self._make_room())

    @property
    def shown(self) -> tuple[Label, ...]:
        """Those that are there, whether they have room or not."""
        return self._labels

    @property
    def seen(self) -> tuple[Label, ...]:
        """Those that had room in the last picture."""
        return tuple(label for label, actor in zip(self._labels, self._actors, strict=True) if actor.GetVisibility())

    def show(self, labels: Sequence[Label]) -> None:
        """Shows these, and no others."""
        if tuple(labels) == self._labels:
            return
        for actor in self._actors:
            self.plotter.renderer.RemoveViewProp(actor)
        self._labels = tuple(labels)
        self._actors = [_actor(label) for label in labels]
        for actor in self._actors:
            self.plotter.renderer.AddViewProp(actor)

    def forget(self) -> None:
        """Follows the camera no more: its plotter is about to be cleared."""
        self.plotter.renderer.RemoveObserver(self._watch)

    def _make_room(self) -> None:
        taken: list[tuple[float, float, float, float]] = []
        box = [0.0, 0.0, 0.0, 0.0]
        renderer = self.plotter.renderer
        for actor in self._actors:
            x, y = actor.GetPositionCoordinate().GetComputedDisplayValue(renderer)
            actor.GetBoundingBox(renderer, box)
            here = (x + box[0] - _APART, x + box[1] + _APART, y + box[2] - _APART, y + box[3] + _APART)
            free = all(
                here[1] < other[0] or other[1] < here[0] or here[3] < other[2] or other[3] < here[2] for other in taken
            )
            actor.SetVisibility(free)
            if free:
                taken.append(here)


def _actor(label: Label) -> vtkTextActor:
    actor = vtkTextActor()
    actor.SetInput("\n".join(f" {line} " for line in label.text.split("\n")))
    actor.SetPickable(False)
    anchor = vtkCoordinate()
    anchor.SetCoordinateSystemToWorld()
    anchor.SetValue(*label.at)
    place = actor.GetPositionCoordinate()
    place.SetCoordinateSystemToViewport()
    place.SetReferenceCoordinate(anchor)
    place.SetValue(0.0, -float(label.below), 0.0)
    ink, paper = (_rgb(colour) for colour in _COLOUR[label.manner])
    words = actor.GetTextProperty()
    words.SetFontSize(label.size)
    words.SetColor(*ink)
    words.SetBold(label.manner != "plain")
    words.SetBackgroundColor(*paper)
    words.SetBackgroundOpacity(0.88)
    words.SetJustificationToCentered()
    words.SetVerticalJustificationToCentered()
    return actor


def _rgb(colour: str) -> tuple[float, float, float]:
    return int(colour[1:3], 16) / 255, int(colour[3:5], 16) / 255, int(colour[5:7], 16) / 255
