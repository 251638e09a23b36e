"""The page: one file with its own style, scripts and data, that asks nothing of a network and may ask nothing."""

from __future__ import annotations

import base64
import hashlib
import json
from html import escape
from pathlib import Path

from ..marks.colours import INK, PAPER, QUIET, STRONG
from ..reports.style import plain
from ..scene.looks import CHOSEN, PAPER_BELOW, RULE, SHEET
from .boat import SharedBoat
from .content import content_of

SCRIPTS = (
    "algebra.js", "bodies.js", "canvas.js", "camera.js", "overlay.js", "seen.js", "stage.js", "making.js", "panel.js",
    "main.js",
)  # fmt: skip
"""In the order in which they are needed."""

_COLOURS = {
    "paper": PAPER, "below": PAPER_BELOW, "sheet": SHEET, "rule": RULE, "ink": INK, "quiet": QUIET,
    "strong": STRONG, "chosen": CHOSEN,
}  # fmt: skip

_HERE = Path(__file__).parent


def page(boat: SharedBoat) -> str:
    """The HTML of a boat. Same boat, same bytes."""
    told, bytes64 = content_of(boat)
    script = "'use strict';\n(() => {\n" + "".join(_text(name) for name in SCRIPTS) + "})();\n"
    style = f":root {{ {' '.join(f'--{name}: {colour};' for name, colour in _COLOURS.items())} }}\n{_text('page.css')}"
    policy = (
        f"default-src 'none'; script-src '{_digest(script)}'; style-src '{_digest(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    parts = {
        "POLICY": policy,
        "TITLE": escape(plain(boat.assembly.name)),
        "STYLE": style,
        "SCRIPT": script,
        "BYTES": bytes64,
        "CONTENT": json.dumps(told, separators=(",", ":"), allow_nan=False).replace("<", "\\u003c"),
    }
    first, *rest = _text("page.html").split("{{")
    return first + "".join(parts[name] + after for name, _, after in (piece.partition("}}") for piece in rest))


def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    """How a policy names a script or style that is in the page itself."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode('utf-8')).digest()).decode('ascii')}"
