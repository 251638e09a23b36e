"""A first framing plan from a table of offsets: lines file -> hull -> frames -> plan and drawings."""

from .drafting import Drafted, draft, drafted_files

__all__ = ["Drafted", "draft", "drafted_files"]
