"""The pictures of the README: small, and what the verb makes today."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from make_pictures import HULLS, make
from picture_making import pixels, without_screen

LARGEST = 120_000
"""bytes."""


def test_the_pictures_are_small_and_freshly_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys):
    without_screen(monkeypatch)
    made = make(tmp_path)
    kept = HULLS / "pictures"
    assert {place.name for place in made} <= {place.name for place in kept.iterdir()}
    for place in made:
        old = kept / place.name
        assert old.stat().st_size < LARGEST, place.name
        if place.suffix == ".svg":
            assert place.read_text("utf-8") == old.read_text("utf-8"), f"{place.name}: python tests/make_pictures.py"
            continue
        here, there = pixels(place.read_bytes()), pixels(old.read_bytes())
        assert here.shape == there.shape
        # another driver may draw an edge otherwise, but not another picture
        off = np.abs(here.astype(int) - there.astype(int)).max(axis=2)
        assert (off > 48).mean() < 0.02, f"{place.name}: python tests/make_pictures.py"
