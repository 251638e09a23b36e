"""A question asked in a process of its own: what cannot be done may end it or hold it for ever, and nobody else."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from contextlib import ExitStack
from threading import Thread
from typing import NamedTuple

from scrieve.shared.tidying import tidied_away

ALL_SAID = "."
"""The line after which a process that stays has nothing more to say."""


class Answer(NamedTuple):
    """The lines that the process said, and how it ended: negative for a signal, None where it did not."""

    lines: tuple[str, ...]
    ending: int | None


class Probe:
    """Begins at once, so that other work can go on; used as a context, so that no process is left behind."""

    def __init__(self, module: str, environ: Mapping[str, str]) -> None:
        """`module` is run, with a stdin that ends when this process does; nothing of the folder one stands in is."""
        self._process = subprocess.Popen(
            command(module),
            env=dict(environ),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            errors="replace",
        )
        self._tidied = ExitStack()
        self._lines: list[str] = []
        self._listening = Thread(target=self._listen, daemon=True)

    def __enter__(self) -> Probe:
        self._tidied.enter_context(tidied_away(self._process.kill))
        self._listening.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def end(self) -> None:
        """Ends the process; more often than once does nothing."""
        if self._process.returncode is None:
            self._process.kill()
            self._process.wait()
        self._listening.join()
        for pipe in (self._process.stdin, self._process.stdout):
            assert pipe is not None
            pipe.close()
        self._tidied.close()

    def answer(self, patience: float) -> Answer:
        """Its answer, when it has ended or said that all is said; what there is of it after so many seconds."""
        self._listening.join(patience)
        if not self._listening.is_alive() and ALL_SAID not in self._lines:
            return Answer(tuple(self._lines), self._process.wait())
        return Answer(tuple(line for line in self._lines if line != ALL_SAID), None)

    def _listen(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._lines.append(line.rstrip("\n"))
            if self._lines[-1] == ALL_SAID:
                return


def command(module: str) -> list[str]:
    """How a module of ours is run."""
    return [sys.executable, "-P", "-m", module]
