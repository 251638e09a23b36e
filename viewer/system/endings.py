"""How a verb ends: the exit codes, here and nowhere else."""

from __future__ import annotations

from enum import IntEnum


class Ending(IntEnum):
    """What the process tells the shell."""

    CLEAN = 0
    """Done; nothing at or above the level that fails."""

    FINDINGS = 1
    """Done; the boat has a problem at or above that level."""

    COULD_NOT = 2
    """Not done; a line for each cause is on stderr."""

    HUNG_UP = 129
    """The terminal went: 128 plus the number of the signal, as shells have it."""

    STOPPED = 130
    """Stopped by Ctrl-C, likewise."""

    TERMINATED = 143
    """Told to end by SIGTERM, likewise."""
