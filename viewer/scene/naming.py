"""The names that are written beside the frames, the battens and the parts of a frame."""

from __future__ import annotations

import numpy as np

from .labels import Label
from .scene import Scene

_ABOVE = 45.0  # mm over the highest point of a frame


def frame_labels(scene: Scene, held: str) -> list[Label]:
    """The name of each frame that is shown, over its highest point; the frame in hand first."""
    frames = list(dict.fromkeys(body.frame for body in scene.bodies if body.frame))
    frames.sort(key=lambda frame: frame != held)
    labels = []
    for frame in frames:
        own = [n for n, body in enumerate(scene.bodies) if body.frame == frame and scene.state(n) == "shown"]
        own = [n for n in own if scene.bodies[n].kind != "screw"]
        if own:
            points = np.concatenate([scene.points_of(n) for n in own])
            x, y, z = points[np.lexsort((-points[:, 1], -np.round(points[:, 2])))[0]]
            labels.append(Label(text=f"F{frame}", at=(float(x), float(y), float(z) + _ABOVE), size=14))
    return labels


def part_labels(scene: Scene, held: str) -> list[Label]:
    """The names of the parts of the frame in hand, without the frame's; of the battens where none is."""
    labels = []
    for n, body in enumerate(scene.bodies):
        wanted = body.frame == held and body.kind != "screw" if held else body.kind == "batten"
        if wanted and scene.state(n) == "shown":
            points = scene.points_of(n)
            x, y, z = (points.min(axis=0) + points.max(axis=0)) / 2
            if body.kind == "batten":  # its box is mostly empty
                x, y, z = points[np.linalg.norm(points - np.median(points, axis=0), axis=1).argmin()]
            text = body.name.removeprefix(f"F{held} ")
            labels.append(Label(text=text, at=(float(x), float(y), float(z)), size=11))
    return labels
