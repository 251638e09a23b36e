"""The command `scrieve`: its verbs, and what becomes of whatever goes wrong in them.

A verb's module is loaded when the verb is asked for, not before, so that `--help` is quick and no verb
pays for what another needs.
"""

from __future__ import annotations

import gc
import os
import sys
import traceback
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import version
from typing import NoReturn

from cyclopts import App, CycloptsError, Parameter

from scrieve.shared.errors import ScrieveError
from scrieve.shared.library_exits import exits_refused
from scrieve.shared.memory_shortage import SHORT_OF_MEMORY, short_of_memory

from ..system.endings import Ending
from ..system.stopping import STOPPED, end_when_told
from ..system.terminal import complain, hush, remark
from .misuse import misuse, refuse_empty

_HELP = "Tries a plywood boat's frames together before a sheet is cut, from its plan and DXF drawings."
_ENDINGS = (
    "Ends 0 if nothing at or above the failing level was found, 1 if something was, 2 if it could not be done.\n\n"
    "It checks fit. It says nothing of strength, stability or seaworthiness."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verb:
    """One verb, a function in the module of its name: what it does in a sentence, how it is called, how it ends.

    `ends` is empty where that is as for all verbs, or an option says it.
    """

    name: str
    does: str
    usage: str
    ends: str = ""


VERBS = (
    Verb(
        name="check",
        does="Says what will not go together, and what would cure it.",
        usage="scrieve check PLAN... [OPTIONS]",
    ),
    Verb(
        name="explain",
        does="Explains a check; without a name, lists them all.",
        usage="scrieve explain [CHECK]",
    ),
    Verb(
        name="view",
        does="Opens the window: the boat in 3D, its findings and its build order.",
        usage="scrieve view PLAN",
    ),
    Verb(
        name="picture",
        does="Makes a picture: the boat, a frame, a step, a finding; or a drawing of a frame or finding.",
        usage="scrieve picture PLAN OUT.png [OPTIONS]    or OUT.svg, with --frame or --finding",
    ),
    Verb(
        name="screws",
        does="Lays out screws for the gussets that have none, as a drawing.",
        usage="scrieve screws PLAN OUT.dxf [--screw NAME] [--replace]",
    ),
    Verb(
        name="steps",
        does="Says how the boat is put together, step by step.",
        usage="scrieve steps PLAN [OPTIONS]",
    ),
    Verb(
        name="board",
        does="Draws the assembly board: dowel holes, frame numbers, reference lines.",
        usage="scrieve board PLAN OUT.dxf [--replace]",
    ),
    Verb(
        name="mend",
        does="Makes every sure cure in a copy of the plan, checks it again, and says what was changed.",
        usage="scrieve mend PLAN FOLDER [OPTIONS]",
    ),
    Verb(
        name="share",
        does="Makes one page for any browser, offline: the boat in 3D, its steps, its findings.",
        usage="scrieve share PLAN OUT.html [--replace]",
    ),
    Verb(
        name="export",
        does="Writes the boat for other programs: every solid named and coloured.",
        usage="scrieve export PLAN OUT.glb|OUT.stl|OUT.3mf [--replace]",
    ),
    Verb(
        name="book",
        does="Writes the builder's book: drawings, tables and steps, for a phone and for paper.",
        usage="scrieve book PLAN OUT.html [--pdf] [--templates] [--replace]",
    ),
    Verb(
        name="compare",
        does="Says what is different between two states of a plan: parts to cut anew, sheets, findings.",
        usage="scrieve compare OLD NEW [OPTIONS]",
        ends="Ends 0 if all that was cut is as it was, 1 if something is to be cut anew, 2 if it could not be done.",
    ),
    Verb(
        name="draft",
        does="Drafts a first framing plan from a table of offsets.",
        usage="scrieve draft LINES FOLDER [--replace]",
    ),
    Verb(
        name="begin",
        does="Begins a plan for drawings that exist: layers, frames and cut sheets as they show them.",
        usage="scrieve begin FOLDER [--output FILE] [--replace]",
    ),
)


_LITTER = 100_000
"""objects; how many a run makes before it looks for dead ones. At the default of 700 that looking is 5 % of a check."""


def main() -> None:
    """Runs the command line and leaves the process with its ending."""
    end_when_told()
    gc.freeze()
    gc.set_threshold(_LITTER)
    # no other package's plugins take a part in reading a plan, nor the time to look for them
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    os._exit = _exit_refused  # type: ignore[assignment]
    sys.exit(run(sys.argv[1:]))


def _exit_refused(code: int) -> NoReturn:
    """In the place of `os._exit` for whatever else is loaded: what ends the process is one of our endings."""
    raise SystemExit(code)


def run(words: Sequence[str]) -> int:
    """How the command line `words` (without the program's name) ended: an exit code.

    Whatever goes wrong ends here in a line for each cause, never in a traceback; for a mistake in Scrieve
    itself SCRIEVE_DEBUG=1 shows where it happened. Only a verb that has done its work, and the parser's own help,
    end 0.
    """
    try:
        return int(_ending(words))
    except CycloptsError as error:
        complain(misuse(error, usages={verb.name: verb.usage for verb in VERBS}))
    except ScrieveError as error:
        complain(error)
    except KeyboardInterrupt:
        remark(STOPPED)
        return Ending.STOPPED
    except Exception as error:  # the one place that catches everything: a bug must not look like a bad plan
        remark(f"scrieve: {_why(error)}")
        if os.environ.get("SCRIEVE_DEBUG"):
            traceback.print_exc()
    return Ending.COULD_NOT


def _ending(words: Sequence[str]) -> Ending:
    """What the verb that `words` ask for ended with. Raises what the parser and the verb raise."""
    refuse_empty(words)
    with exits_refused():  # the verb's module is loaded by parsing
        do, given, _ = _app().parse_args(list(words), exit_on_error=False, print_error=False)
    if isinstance(getattr(do, "__self__", None), App):
        with suppress(BrokenPipeError, SystemExit):  # the parser's own help found nobody to read it
            do(*given.args, **given.kwargs)
            return Ending.CLEAN
        hush(sys.stdout)
        return Ending.CLEAN
    with exits_refused():
        ending = do(*given.args, **given.kwargs)
    if not isinstance(ending, Ending):
        raise TypeError(f"a verb ended with {ending!r}")
    return ending


def _why(error: Exception) -> str:
    """What went wrong that no verb has words for."""
    if short_of_memory(error):
        return SHORT_OF_MEMORY
    if isinstance(error, OSError):
        hush(sys.stdout)
        return f"{_about(error)} ({error.strerror or error})"
    cause = _first_cause(error)
    return f"a mistake in Scrieve, not in your plan; please report it ({type(cause).__name__}: {cause})"


def _about(error: OSError) -> str:
    """What could not be done with which file; without a name it is what we were writing to."""
    if error.filename is None:
        return "the output could not be written"
    return f"{error.filename} could not be read or written"


def _first_cause(error: BaseException) -> BaseException:
    """What began it, where one error was raised from another."""
    while error.__cause__ is not None:
        error = error.__cause__
    return error


def _app() -> App:
    app = App(
        name="scrieve",
        help=_HELP,
        help_epilogue=_ENDINGS,
        version=lambda: version("scrieve"),
        help_format="plaintext",
        help_formatter="plain",
        help_on_error=False,
        suppress_keyboard_interrupt=False,
        default_parameter=Parameter(negative=()),
    )
    package = __name__.rpartition(".")[0]
    for place, verb in enumerate(VERBS):
        app.command(
            f"{package}.{verb.name}:{verb.name}",
            name=verb.name,
            help=verb.does,
            usage=f"Usage: {verb.usage}",
            help_epilogue=verb.ends,
            sort_key=place,
        )
    return app
