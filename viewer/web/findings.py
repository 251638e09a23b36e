"""The findings as the page knows them: what each says, how the bodies are seen, its marks, from where one looks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from scrieve.shared.findings import Finding

from ..marks.forms import form_of
from ..marks.measured import measured_words
from ..reports.style import plain
from ..scene.body import Body
from ..scene.close_up import CloseUp, close_up, lifted, named_bodies
from ..scene.highlight import highlight, place_words
from ..scene.solid_mesh import creases
from .boat import SharedBoat
from .packing import packed_mesh, runs

_ASPECT, _LETTERS = 1.0, 26.0
"""Of the picture in which names are placed; the page moves those that lie over one another there."""


def finding_told(boat: SharedBoat, finding: Finding, bodies: Sequence[Body]) -> dict[str, Any]:
    """What is said of a finding, how the bodies are seen by it, and its close-up, null where it has no place."""
    form = form_of(finding)
    close = close_up(finding, bodies, boat.assembly, _ASPECT)
    seen = highlight(finding, close, bodies, boat.assembly, rest="faded")
    states = {
        state: runs([n for n, own in enumerate(seen.states) if own == state]) for state in ("shown", "glass", "hidden")
    }
    return {
        "check": finding.check, "level": finding.level, "frame": plain(finding.frame),
        "message": plain(finding.message), "cure": plain(finding.cure), "waived": plain(finding.waived),
        "source": "" if finding.source is None else plain(str(finding.source)),
        "measure": plain(measured_words(finding.measure)), "note": place_words(finding),
        "because": None if finding.because is None else _place_in(boat.findings, finding.because),
        "sign": form.sign, "shape": form.shape, "colour": form.colour, "corners": _short(form.corners, 3),
        "parts": [n for n, body in enumerate(bodies) if body.name in finding.parts],
        **states, "clear": seen.clear, "seconds": sorted(seen.seconds),
        "close": None if close is None else _close(finding, close, bodies),
    }  # fmt: skip


def _place_in(findings: Sequence[Finding], wanted: Finding) -> int | None:
    return next((n for n, each in enumerate(findings) if each is wanted), None)


def _close(finding: Finding, close: CloseUp, bodies: Sequence[Body]) -> dict[str, Any]:
    signs = close.signs
    _, over, back = close.view.axes()
    return {
        "at": _short(close.at), "toward": _short(back, 4), "up": _short(over, 4), "about": _short(close.about),
        "pieces": [
            [n, *_short([each.points[:, 0].min(), each.points[:, 0].max()])] for n, each in sorted(close.pieces.items())
        ],
        "gap": None if signs.gap is None else _short(signs.gap),
        "arrows": [_short(path) for path in signs.arrows],
        "strokes": [_short(path) for path in signs.strokes],
        "inked": [_short(path) for path in signs.inked],
        "ghosts": [packed_mesh(mesh) for mesh in signs.ghosts],
        "shared": None if signs.shared is None else packed_mesh((*signs.shared, creases(*signs.shared))),
        "words": [[plain(words), _short(at)] for words, at in signs.words],
        "names": list(_names(finding, close, bodies)),
    }  # fmt: skip


def _names(finding: Finding, close: CloseUp, bodies: Sequence[Body]) -> Iterator[list[Any]]:
    """The names of the bodies of a close-up, each with a place on it."""
    for named in named_bodies(finding, close, bodies, close.view, _LETTERS, _ASPECT):
        x, y = (*named.spots, named.on)[0]
        body = close.pieces.get(named.body, bodies[named.body])
        at = lifted(body, close.view, x / (_LETTERS * _ASPECT), y / _LETTERS, _ASPECT)
        if at is not None:
            yield [named.words, _short(at), not named.spots]


def _short(values: Any, digits: int = 2) -> Any:
    """The numbers with so many decimals, in lists."""
    return (np.round(np.asarray(values, dtype=np.float64), digits) + 0.0).tolist()
