"""Reads a boat in a process of its own: `python -m scrieve.viewer.window.reader PLAN`.

The window stays quick while it works, and the work can be stopped at any moment.
"""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path

from scrieve.shared.errors import ScrieveError

from .boat import read_boat
from .messages import Expect, Refused, Tell, send


def main() -> None:
    """Writes what the reading has to tell to stdout, and last the Boat, or Refused."""
    gc.disable()  # it ends before the dead objects matter
    pipe = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever else is printed must not come between
    path = Path(sys.argv[1])
    try:
        boat = read_boat(path, lambda what: send(pipe, Tell(what=what)), lambda steps: send(pipe, Expect(steps=steps)))
    except ScrieveError as error:
        send(pipe, Refused(why=tuple(str(mistake) for mistake in error.mistakes)))
    except OSError as error:
        send(pipe, Refused(why=(f"{error.filename or path} cannot be read ({error.strerror or error})",)))
    else:
        send(pipe, boat)


if __name__ == "__main__":
    main()
