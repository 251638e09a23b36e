"""What kinds of bodies there are, and how a body is seen."""

from __future__ import annotations

from typing import Literal

Kind = Literal["core", "gusset", "plate", "leg", "screw", "dowel", "batten", "rail"]

State = Literal["shown", "glass", "faded", "hidden"]
"""How a body is seen: as it is, looked into, hardly at all, not at all."""
