"""Colours: kinds stay apart in lightness alone, and for eyes that see two hues; findings stay apart from all of them.

Simulated with the matrices of Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color
vision deficiency", IEEE TVCG 15 (6), 2009, severity 1, in linear sRGB; from memory. Differences are those of CIE 1976
L*a*b* under D65; the sRGB transfer curve and matrix are IEC 61966-2-1's, from memory.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from scrieve.viewer.marks.colours import PAPER, STRONG
from scrieve.viewer.scene.looks import COLOURS, SECOND

SIGHT = {
    "usual": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = np.array([0.9505, 1.0, 1.089])
LIGHTER = 8.0
"""L* between two kinds: some eight times what can just be told; common practice, no source."""

OTHER = 10.0
"""distance of two kinds; likewise."""


def linear(colour: str) -> np.ndarray:
    """Linear sRGB of a colour like #d8d0c0."""
    given = np.array([int(colour[n : n + 2], 16) for n in (1, 3, 5)]) / 255
    return np.where(given <= 0.04045, given / 12.92, ((given + 0.055) / 1.055) ** 2.4)


def lab(colour: str, sight: str = "usual") -> np.ndarray:
    """L*, a*, b* of a colour as an eye sees it."""
    seen = TO_XYZ @ np.clip(SIGHT[sight] @ linear(colour), 0, 1) / WHITE
    bent = np.where(seen > (6 / 29) ** 3, np.cbrt(seen), seen / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * bent[1] - 16, 500 * (bent[0] - bent[1]), 200 * (bent[1] - bent[2])])


def distance(one: str, other: str, sight: str) -> float:
    return float(np.linalg.norm(lab(one, sight) - lab(other, sight)))


def test_the_matrices_leave_white_and_black_alone():
    for sight, matrix in SIGHT.items():
        assert np.allclose(matrix.sum(axis=1), 1.0, atol=1e-5), sight
    assert np.allclose(lab("#ffffff"), (100, 0, 0), atol=0.02)
    assert lab("#000000")[0] == pytest.approx(0.0, abs=1e-6)
    assert distance("#00a000", "#b86000", "deutan") < distance("#00a000", "#b86000", "usual") / 2  # a red and a green


@pytest.mark.parametrize(("one", "other"), list(combinations(COLOURS, 2)))
def test_two_kinds_differ_in_lightness_and_for_every_eye(one, other):
    assert abs(lab(COLOURS[one])[0] - lab(COLOURS[other])[0]) >= LIGHTER
    for sight in SIGHT:
        assert distance(COLOURS[one], COLOURS[other], sight) >= OTHER, sight


@pytest.mark.parametrize("sight", list(SIGHT))
def test_findings_stand_apart_from_all_that_they_lie_on(sight):
    for kind, colour in {**COLOURS, "paper": PAPER}.items():
        assert distance(STRONG, colour, sight) >= 2 * OTHER, kind


@pytest.mark.parametrize("kind", list(COLOURS))
def test_the_second_of_two_of_a_kind_has_another_tone(kind):
    assert abs(lab(COLOURS[kind])[0] - lab(SECOND[kind])[0]) >= LIGHTER
