"""The pictures of the window in hulls/: small, and what the window looks like today."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from make_window_pictures import STATES, make
from picture_making import HULLS, pixels
from PIL import Image

KEPT = HULLS / "pictures"
LARGEST = 200_000
"""bytes."""

BLOCK = 20
"""points of the picture that are taken together: letters and edges are another driver's, and no matter."""


def blocks(place: Path):
    """(rows, columns, 3): the picture, coarsely."""
    picture = Image.fromarray(pixels(place.read_bytes()))
    small = picture.width // BLOCK, picture.height // BLOCK
    return np.asarray(picture.resize(small, Image.Resampling.BOX)).astype(int)


@pytest.mark.parametrize("name", STATES)
def test_the_picture_is_small_and_freshly_made(name: str, tmp_path: Path):
    kept = KEPT / f"{name}.png"
    assert kept.stat().st_size < LARGEST
    (made,) = make(tmp_path, (name,))
    here, there = blocks(made), blocks(kept)
    assert here.shape == there.shape
    off = np.abs(here - there).max(axis=2)
    assert (off > 40).mean() < 0.02, f"{name}: python tests/make_window_pictures.py"


def test_no_two_states_look_alike():
    pictures = [blocks(KEPT / f"{name}.png") for name in STATES]
    for n, one in enumerate(pictures):
        for other in pictures[n + 1 :]:
            assert (np.abs(one - other).max(axis=2) > 40).mean() > 0.02
