"""The eye: views turned, slid and brought nearer, and the flight from one to another.

The boat stays level: the eye goes round the vertical through what it looks at, and up to straight above it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .sides import VERTICAL, View
from .triple import Triple, triple

_STEEPEST = np.pi / 2
_STRAIGHT = 1e-9  # twice the sine of a turn that is none, or a half turn
_NEAREST = 5.0  # mm from the eye to what it looks at
_FARTHEST = 500_000.0

Vector = NDArray[np.float64]


def turned(view: View, *, about: float, over: float, vertical: Triple = VERTICAL) -> View:
    """The view gone round the vertical by `about` and higher by `over`, radians, still looking at the same place.

    `vertical` is the unit vector that is upright in the picture: of a frame on the bench its normal.
    """
    target, arm, right, up = _axes(view)
    arm, right, up = (_about(vertical, v, about) for v in (arm, right, up))
    # the angle above the level, past 90 degrees if upside down
    height = float(np.arctan2(arm @ vertical, (up @ vertical) * np.linalg.norm(arm)))
    over = float(np.clip(height + over, -_STEEPEST, _STEEPEST)) - height
    arm, up = (_about(right, v, -over) for v in (arm, up))
    return _view(target, arm, up)


def slid(view: View, *, right: float, up: float, angle: float) -> View:
    """The view moved across by these shares of the height of the picture, `angle` being what that height spans."""
    target, arm, across, over = _axes(view)
    tall = 2 * np.tan(angle / 2) * np.linalg.norm(arm)
    return _view(target + (across * right + over * up) * tall, arm, over)


def nearer(view: View, factor: float, towards: tuple[float, float, float] | None = None) -> View:
    """The view with the eye `factor` times as far off; `towards` (mm) stays where it is in the picture."""
    target, arm, _, up = _axes(view)
    length = float(np.linalg.norm(arm))
    factor = float(np.clip(length * factor, _NEAREST, _FARTHEST)) / length
    fixed = target if towards is None else np.array(towards)
    return _view(fixed + (target - fixed) * factor, arm * factor, up)


def flight(here: View, there: View, share: float) -> View:
    """The view `share` (0 to 1) of the way from one to the other: it turns, slides and nears all at once."""
    target_a, arm_a, right_a, up_a = _axes(here)
    target_b, arm_b, right_b, up_b = _axes(there)
    a = np.column_stack([right_a, up_a, arm_a / np.linalg.norm(arm_a)])
    b = np.column_stack([right_b, up_b, arm_b / np.linalg.norm(arm_b)])
    turn, angle = _turn(a.T @ b)
    now = np.column_stack([_about(turn, axis, angle * share) for axis in np.eye(3)])
    _, up, back = (a @ now).T
    length = np.exp((1 - share) * np.log(np.linalg.norm(arm_a)) + share * np.log(np.linalg.norm(arm_b)))
    return _view(target_a + (target_b - target_a) * share, back * length, up)


def _axes(view: View) -> tuple[Vector, Vector, Vector, Vector]:
    """What is looked at, the way from there to the eye (mm), and the unit vectors right and up in the picture."""
    right, up, _ = view.axes()
    target = np.array(view.target)
    return target, np.array(view.position) - target, right, up


def _about(axis: Vector | tuple[float, float, float], vector: Vector, angle: float) -> Vector:
    """The vector turned about a unit axis (Rodrigues)."""
    axis = np.asarray(axis)
    c, s = np.cos(angle), np.sin(angle)
    return np.asarray(vector * c + np.cross(axis, vector) * s + axis * (axis @ vector) * (1 - c))


def _turn(rotation: Vector) -> tuple[Vector, float]:
    """Unit axis and angle of a rotation matrix; for a half turn the axis that its diagonal shows."""
    skew = np.array([rotation[2, 1] - rotation[1, 2], rotation[0, 2] - rotation[2, 0], rotation[1, 0] - rotation[0, 1]])
    length = float(np.linalg.norm(skew))
    angle = float(np.arctan2(length, np.trace(rotation) - 1))
    if length < _STRAIGHT and angle < np.pi / 2:
        return np.array([0.0, 0.0, 1.0]), 0.0
    if length < _STRAIGHT:
        symmetric = (rotation + np.eye(3)) / 2
        axis = symmetric[int(np.diag(symmetric).argmax())]
        return axis / np.linalg.norm(axis), angle
    return skew / length, angle


def _view(target: Vector, arm: Vector, up: Vector) -> View:
    return View(position=triple(target + arm), target=triple(target), up=triple(up))
