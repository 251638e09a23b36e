"""How tests are run: on both cores, none by the clock, and no drawing read twice that is the same to the byte."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from scrieve.model import assemble
from scrieve.model.drawing import Drawing, read_drawing

# a busy machine is no fault of the boat's; the same examples every time, since a suite that lands or does not by luck
# says nothing (`tests/fuzz.py --seed` looks for new ones)
settings.register_profile("scrieve", deadline=None, derandomize=True)
settings.load_profile("scrieve")

_MOST = 300  # drawings that are kept
_read: OrderedDict[object, Drawing] = OrderedDict()


def _read_once(path: Path, **options: Any) -> Drawing:
    """What `read_drawing` gives for a file of this content; most tests change one drawing of a boat."""
    if not path.is_file() or path.stat().st_size > 1_000_000:
        return read_drawing(path, **options)
    key = (path.read_bytes(), *sorted(options.items()))
    if key not in _read:
        _read[key] = read_drawing(path, **options)
        if len(_read) > _MOST:
            _read.popitem(last=False)
    return _read[key]


assemble.read_drawing = _read_once  # type: ignore[attr-defined]


@pytest.fixture(name="reads_anew")
def each_drawing_read_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests of the reading itself: every drawing is read, whatever was read before."""
    monkeypatch.setattr(assemble, "read_drawing", read_drawing)
