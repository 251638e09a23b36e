"""The names that are written beside the frames, the battens and the parts of a frame."""

from __future__ import annotations

from collections.abc import Callable, Collection

import numpy as np

from .body import Points
from .labels import SceneLabel
from .scene import Scene
from .triple import Triple, triple

Stays = Callable[[Triple], bool]
"""Whether a place is on the side of the cut that is still there."""


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
                text = body.name.removeprefix(f"F{held} ")
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
