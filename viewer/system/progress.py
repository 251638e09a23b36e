"""A progress bar on stderr, for work that takes long enough to wonder."""

from __future__ import annotations

from threading import Timer
from typing import TextIO

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

from ..reports.style import plain

PATIENCE = 1.0
"""Seconds of work before a bar appears; shorter work is not worth a flicker."""


class ProgressBar:
    """A bar that appears after a while, goes again when the work is done, and is nothing off a terminal.

    `expect` says how many steps are to come, `tell` that one begins.
    """

    def __init__(self, stream: TextIO | None, *, patience: float = PATIENCE) -> None:
        self._bar: Progress | None = None
        self._expected = 0
        self._begun = 0
        if stream is not None and stream.isatty():
            self._bar = Progress(
                BarColumn(bar_width=24),
                TaskProgressColumn(),
                TextColumn("{task.description}", markup=False),
                console=Console(file=stream),
                transient=True,
            )
            self._task = self._bar.add_task("reading", total=None)
            self._timer = Timer(patience, self._bar.start)
            self._timer.daemon = True

    def expect(self, steps: int) -> None:
        """So many steps more are to come."""
        self._expected += steps
        if self._bar is not None:
            self._bar.update(self._task, total=self._expected)

    def tell(self, step: str) -> None:
        """This step begins, and so the one before is done."""
        if self._bar is not None:
            self._bar.update(self._task, description=plain(step), completed=self._begun)
        self._begun += 1

    def __enter__(self) -> ProgressBar:
        if self._bar is not None:
            self._timer.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self._bar is not None:
            self._timer.cancel()
            self._timer.join()
            if self._bar.live.is_started:
                self._bar.stop()
