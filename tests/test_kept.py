"""What is worked out once is kept by its owner alone: not by its likeness, nor by what another process gets of it."""

from __future__ import annotations

import pickle
from dataclasses import replace

import making

from scrieve.model.relations.joints.joint import joints


def test_an_owner_keeps_what_was_worked_out_of_it():
    frame = making.frame([making.part("floor", making.rectangle(-300, 0, 300, 60))])
    assert joints(frame) is joints(frame)
    assert "_kept" not in vars(replace(frame, number="9"))
    assert vars(frame)["_kept"] and vars(pickle.loads(pickle.dumps(frame)))["_kept"] == {}
