"""The checks, one a module: each holds a `CHECK`, with its explanation and a pure function to findings."""

from .registry import CHECKS

__all__ = ["CHECKS"]
