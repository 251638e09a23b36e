"""What the steps say of setting up."""

from __future__ import annotations

import notched
import pytest

from scrieve.model.sequence.setting_up import Sprung
from scrieve.model.sequence.steps import standing
from scrieve.model.sequence.way import Way


@pytest.mark.parametrize(
    ("toward", "words"),
    [
        ((0.0, -0.9, 0.4), "outside"),
        ((0.0, 0.9, 0.4), "inside"),
        ((0.0, 0.1, -0.9), "above"),
        ((0.0, 0.4, 0.9), "outside"),
    ],
)
def test_a_batten_comes_from_where_its_notches_open(toward, words):
    sprung = Sprung(batten=notched.batten(), way=Way(how="spring", toward=toward, reach=100.0), notches=())
    assert standing._coming_from(sprung) == words
