"""The command `scrieve` from its first moment: it can be told to stop while its parts are still being loaded."""

from __future__ import annotations

from importlib import import_module

from .system.stopping import end_when_told


def main() -> None:
    """Runs the command line and leaves the process with its ending."""
    end_when_told()
    import_module(f"{__package__}.verbs.commands").main()
