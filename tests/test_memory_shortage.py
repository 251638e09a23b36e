"""A run that is short of memory says so, whichever library runs short; it is no mistake of Scrieve's."""

from __future__ import annotations

import errno
import subprocess
import sys
import textwrap
from pathlib import Path

import numpy as np
import pytest
import shapely
from faults import HULLS

from scrieve.shared.errors import DrawingError
from scrieve.shared.memory_shortage import SHORT_OF_MEMORY, short_of_memory, tells_shortage
from scrieve.viewer.verbs import check as check_verb
from scrieve.viewer.verbs.commands import run


def numpys() -> Exception:
    with pytest.raises(MemoryError) as told:
        np.empty((1 << 40, 1 << 10))
    return told.value


SHORT = {
    "Python": MemoryError,
    "numpy": numpys,
    "GEOS": lambda: shapely.errors.GEOSException("std::bad_alloc"),
    "the system": lambda: OSError(errno.ENOMEM, "Cannot allocate memory"),
    "the loader": lambda: ImportError("libx.so: failed to map segment from shared object"),
    "threads": lambda: RuntimeError("can't start new thread"),
}


@pytest.mark.parametrize("who", SHORT)
def test_whoever_runs_short_it_is_told_in_one_line(who, monkeypatch, capsys):
    def greedy(*_: object, **__: object) -> None:
        raise SHORT[who]()

    monkeypatch.setattr(check_verb, "advised", greedy)
    assert run(["check", str(HULLS / "pram")]) == 2
    assert capsys.readouterr().err == f"scrieve: {SHORT_OF_MEMORY}\n"


def test_what_came_of_it_is_known_and_nothing_else_is_taken_for_it():
    try:
        raise ValueError("no array") from MemoryError()
    except ValueError as error:
        assert short_of_memory(error)
    assert not short_of_memory(DrawingError.at("no such file"))
    assert not tells_shortage("ValueError: 3")


def test_a_process_with_little_memory_ends_in_that_line():
    """The limit of the system, set when all is loaded: what is asked for next is refused in the middle of the work."""
    code = """
        import resource, sys
        from scrieve.viewer.verbs import check as check_verb
        from scrieve.viewer.verbs.commands import run
        import numpy
        real = check_verb.assemble
        def assemble(plan, **how):
            held = int(open("/proc/self/statm").read().split()[0]) * resource.getpagesize()
            resource.setrlimit(resource.RLIMIT_AS, (held + (1 << 26), -1))
            numpy.ones(1 << 27)
            return real(plan, **how)
        check_verb.assemble = assemble
        sys.exit(run(sys.argv[1:]))
    """
    command = [sys.executable, "-c", textwrap.dedent(code), "check", str(HULLS / "pram")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", f"scrieve: {SHORT_OF_MEMORY}\n")


@pytest.mark.parametrize("most", [40, 90, 130, 170, 210])
def test_from_the_first_moment_on(most):
    """Libraries that end the process themselves, while they are loaded, with the ending that means findings."""
    command = ["sh", "-c", f'ulimit -v {1024 * most}; exec "$@"', "sh", str(Path(sys.executable).parent / "scrieve")]
    done = subprocess.run([*command, "check", HULLS / "pram"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"scrieve: {SHORT_OF_MEMORY}\n"
