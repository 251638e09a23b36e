"""Words in the picture: each at its place on the boat, upright, hidden by nothing, none over another, all inside."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import pyvista as pv
from vtkmodules.vtkRenderingCore import vtkTextActor

from scrieve.shared.names import within_frame

from ..marks.colours import INK, PAPER, STRONG
from .body import Points
from .facing import Facing, follow, pixels, seen_at
from .haloed import Haloed
from .scene import Scene
from .triple import Triple, triple

Manner = Literal["plain", "strong", "measure"]

_COLOUR: dict[Manner, tuple[str, str]] = {"plain": (INK, PAPER), "strong": (PAPER, STRONG), "measure": (PAPER, INK)}
"""Of the words and of the slip of paper they stand on."""

_APART = 3.0  # points between two labels
_EDGE = 5.0  # points between a label and the edge of the picture
_LEAD = 1.2  # points; how wide the line from words to what they name is
_AWAY = (20.0, 44.0)  # points from a place to the slip of words that stand off it
_ROUND = 8  # directions in which they may

Box = tuple[float, float, float, float]

Stays = Callable[[Triple], bool]
"""Whether a place is on the side of the cut that is still there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneLabel:
    """`text` at a place (hull axes, mm), or so many points of the picture `below` it.

    Where there is no room for it, or what it names, `large` mm across, would be hidden by it, it stands off
    the place with a line to it; that it always does if it stands `off`. Of two that would lie over one another
    the first has the choice.
    """

    text: str
    at: tuple[float, float, float]
    manner: Manner = "plain"
    size: int = 13
    below: int = 0
    large: float = np.inf
    off: bool = False


class Labels:
    """The labels in a plotter. Where each of them has room is worked out as each picture begins."""

    def __init__(self, plotter: Any) -> None:
        self.plotter = plotter
        self._labels: tuple[SceneLabel, ...] = ()
        self._actors: list[vtkTextActor] = []
        self.note = ""
        """What is said of the whole picture, at its upper edge."""
        self._note: vtkTextActor | None = None
        self._pixels = 1.0
        self._leads = Haloed(plotter, "leads", INK, width=_LEAD)
        follow(plotter, self._make_room)

    @property
    def shown(self) -> tuple[SceneLabel, ...]:
        """Those that are there, whether they have room or not."""
        return self._labels

    @property
    def seen(self) -> tuple[SceneLabel, ...]:
        """Those that had room in the last picture."""
        return tuple(label for label, actor in zip(self._labels, self._actors, strict=True) if actor.GetVisibility())

    @property
    def boxes(self) -> tuple[Box, ...]:
        """Left, right, low and high of each that had room in the last picture, points from its lower left."""
        return tuple(self._box(actor) for actor in self._actors if actor.GetVisibility())

    def show(self, labels: Sequence[SceneLabel], note: str = "") -> None:
        """Shows these, and no others, and a note on the whole picture."""
        if tuple(labels) == self._labels and note == self.note:
            return
        renderer = self.plotter.renderer
        for actor in (*self._actors, *([] if self._note is None else [self._note])):
            renderer.RemoveViewProp(actor)
        self._labels, self.note = tuple(labels), note
        self._actors = [_actor(label.text, label.manner, label.size) for label in labels]
        self._note = _actor(note, "measure", 13) if note else None
        for actor in (*self._actors, *([] if self._note is None else [self._note])):
            renderer.AddViewProp(actor)
        self._leads.draw_between([])

    def _make_room(self) -> None:
        self._pixels = pixels(self.plotter)
        wide, tall = (size / self._pixels for size in self.plotter.renderer.GetSize())
        taken: list[Box] = []
        if self._note is not None:
            self._put(self._note, (wide / 2, tall - 22.0))
            taken.append(self._box(self._note))
        leads: list[tuple[np.ndarray, np.ndarray]] = []
        facing = Facing.of(self.plotter)
        for label, actor in zip(self._labels, self._actors, strict=True):
            place = np.array(label.at)
            x, y = seen_at(self.plotter, label.at)
            ahead = bool(facing.height) or float((facing.eye - place) @ facing.back) > 0.0
            actor.SetVisibility(False)
            if not ahead or not (0.0 <= x <= wide and 0.0 <= y <= tall):
                continue
            self._put(actor, (x, y))
            left, right, low, high = self._box(actor)
            half = (right - left) / 2, (high - low) / 2
            point = float(facing.point(place[None])[0])
            for middle, led in _middles(label, x, y, half, point):
                at = tuple(
                    float(np.clip(value, reach + _EDGE, max(reach + _EDGE, most - reach - _EDGE)))
                    for value, reach, most in zip(middle, half, (wide, tall), strict=True)
                )
                box = (at[0] - half[0], at[0] + half[0], at[1] - half[1], at[1] + half[1])
                if led and at != middle:  # words that stand off have to stand where they want to
                    continue
                if all(_apart(box, other) for other in taken):
                    self._put(actor, (at[0], at[1]))
                    actor.SetVisibility(True)
                    taken.append(box)
                    if led:
                        end = np.clip((x, y), (box[0], box[2]), (box[1], box[3]))
                        way = facing.right * (end[0] - x) + facing.over * (end[1] - y)
                        leads.append((place, place + way * point))
                    break
        self._leads.draw_between(leads)

    def _put(self, actor: vtkTextActor, at: tuple[float, float]) -> None:
        actor.SetPosition(at[0] * self._pixels, at[1] * self._pixels)

    def _box(self, actor: vtkTextActor) -> Box:
        box = [0.0, 0.0, 0.0, 0.0]
        actor.GetBoundingBox(self.plotter.renderer, box)
        x, y = actor.GetPosition()
        left, right, low, high = (value / self._pixels for value in (x + box[0], x + box[1], y + box[2], y + box[3]))
        return left, right, low, high


def _middles(
    label: SceneLabel, x: float, y: float, half: tuple[float, float], point: float
) -> Iterator[tuple[tuple[float, float], bool]]:
    """Where the middle of a label could be, the best first, and whether a line leads from there to the place."""
    hides = label.large < 2.2 * half[0] * point
    if not (label.off or hides):
        yield (x, y - label.below), False
        if label.below:
            yield (x, y + label.below), False
    for far in _AWAY:
        for n in range(_ROUND):
            turn = np.pi / 2 - 2 * np.pi * n / _ROUND  # first up, then round to the right
            across, up = np.cos(turn), np.sin(turn)
            yield (float(x + across * (far + half[0])), float(y + up * (far + half[1]))), True


def _apart(one: Box, other: Box) -> bool:
    return (
        one[1] + _APART < other[0]
        or other[1] + _APART < one[0]
        or one[3] + _APART < other[2]
        or other[3] + _APART < one[2]
    )


def _actor(text: str, manner: Manner, size: int) -> vtkTextActor:
    actor = vtkTextActor()
    actor.SetInput("\n".join(f" {line} " for line in text.split("\n")))
    actor.SetPickable(False)
    actor.GetPositionCoordinate().SetCoordinateSystemToDisplay()
    ink, paper = (pv.Color(colour).float_rgb for colour in _COLOUR[manner])
    words = actor.GetTextProperty()
    words.SetFontSize(size)
    words.SetColor(*ink)
    words.SetBold(manner != "plain")
    words.SetBackgroundColor(*paper)
    words.SetBackgroundOpacity(0.88)
    words.SetJustificationToCentered()
    words.SetVerticalJustificationToCentered()
    return actor


def frame_labels(scene: Scene, held: str, stays: Stays) -> list[SceneLabel]:
    """The name of each frame that is seen, off the port end of its sheer; the frame in hand first."""
    frames = list(dict.fromkeys(body.frame for body in scene.bodies if body.frame))
    frames.sort(key=lambda frame: frame != held)
    labels = []
    for frame in frames:
        own = [n for n, body in enumerate(scene.bodies) if body.frame == frame and scene.is_seen(n)]
        own = [n for n in own if scene.bodies[n].kind != "screw"]
        if own:
            at = _sheer_end(scene.points_of(own))
            if stays(at):
                labels.append(SceneLabel(text=f"F{frame}", at=at, size=14, off=True))
    return labels


def part_labels(scene: Scene, held: str, stays: Stays, named: Collection[str] = ()) -> list[SceneLabel]:
    """The names of the parts of the frame in hand, without the frame's; of the battens where none is.

    Those of bodies that are `named` already are not given again.
    """
    labels = []
    for n, body in enumerate(scene.bodies):
        wanted = body.frame == held and body.kind != "screw" if held else body.kind == "batten"
        if wanted and scene.is_seen(n) and body.name not in named:
            points = scene.points_of(n)
            at = _middle(points[body.triangles])
            if stays(at):
                text = within_frame(body.name, held)
                large = np.inf if body.kind == "batten" else float(np.sort(np.ptp(points, axis=0))[1])
                labels.append(SceneLabel(text=text, at=at, size=11, large=large))
    return labels


def _sheer_end(points: Points) -> Triple:
    """The corner that is farthest up and to port, as shares of how high and how wide the frame is."""
    low, high = points.min(axis=0), points.max(axis=0)
    shares = (points - low) / np.maximum(high - low, 1e-9)
    return triple(points[int(np.argmax(np.round(shares[:, 1] + shares[:, 2], 6)))])


def _middle(triangles: Points) -> Triple:
    """The place on a body's faces (m, 3, 3) that is nearest to the middle of its box: that may lie beside it."""
    corners = triangles.reshape(-1, 3)
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    faces = triangles.mean(axis=1)
    return triple(faces[int(np.linalg.norm(faces - middle, axis=1).argmin())])
