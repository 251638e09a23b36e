"""The colours that mark findings and write words, for scene, pictures and drawings alike."""

from __future__ import annotations

PAPER = "#f5f1e8"
INK = "#3a342c"
"""Drawn edges and words."""

QUIET = "#6b645a"
"""Words of less weight, and what is waived."""

STRONG = "#c4240c"
"""Findings, and nothing else."""
