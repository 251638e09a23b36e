"""The build order: what goes on when, from where, and what to watch. See `steps_of`."""

from .build import steps_of
from .step import Adding, Driving, Step

__all__ = ["Adding", "Driving", "Step", "steps_of"]
