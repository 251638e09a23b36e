"""What is wrong with a command line, in one line: from the parser's exception to a mistake of ours."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import get_args

from cyclopts import (
    Argument,
    CoercionError,
    CycloptsError,
    MissingArgumentError,
    RepeatArgumentError,
    UnknownCommandError,
    UnknownOptionError,
    UnusedCliTokensError,
)

from scrieve.shared.errors import UseError
from scrieve.shared.nearest import did_you_mean


def misuse(error: CycloptsError, *, usages: Mapping[str, str]) -> UseError:
    """The error to show in place of the parser's; names the nearest of what there is.

    `usages` has how each verb is called, by its name.
    """
    verb = " ".join(error.command_chain or ())
    what = _what(error, tuple(usages), usages.get(verb, ""))
    return UseError.at(what, path=f"scrieve {verb}".strip())


def refuse_empty(words: Sequence[str]) -> None:
    """Raises UseError for words of a command line that hold nothing, as a script's unset variable leaves them."""
    verb = " ".join(("scrieve", *words[:1])).strip()
    for before, word in pairwise(("", *words)):
        option, equals, value = word.partition("=")
        if not word:
            option = before if before.startswith("--") else ""
        elif value or not equals or not word.startswith("--"):
            continue
        what = f"{option} needs a value" if option else "a name is wanted"
        raise UseError.at(f'{what} (got "")', path=verb)


def got(found: str, known: Iterable[str]) -> str:
    """The tail of a message: `(got "chekc"; did you mean "check"?)`, without the question where nothing is near."""
    return f'(got "{found}"{did_you_mean(found, known)})'


def _what(error: CycloptsError, verbs: tuple[str, ...], usage: str) -> str:
    match error:
        case UnknownCommandError():
            word = (error.unused_tokens or [""])[0]
            if word.startswith("-"):
                return f"no such option {got(word, ('--help', '--version'))}"
            return f"the verb must be one of {', '.join(verbs)} {got(word, verbs)}"
        case UnknownOptionError():
            word = error.token.value or error.token.keyword or ""
            names = [name for argument in error.argument_collection for name in argument.names if name.startswith("-")]
            return f"no such option {got(word, [*names, '--help'])}"
        case MissingArgumentError() if error.argument is not None:
            return _missing(error.argument, usage)
        case RepeatArgumentError():
            return f"{error.token.keyword} may be given once only"
        case CoercionError() if error.token is not None:
            return _wrong_value(error)
        case UnusedCliTokensError():
            extra = " ".join(error.unused_tokens or [])
            return f'one word too many (got "{extra}" besides what was asked for)'
        case _:
            return str(error)


def _missing(argument: Argument, usage: str) -> str:
    name = _name(argument)
    if name.startswith("-"):
        return f"{name} needs a value"
    wanted = argument.parameter.help or ""
    return f"{name} is missing: {wanted[:1].lower()}{wanted[1:].rstrip('.')} ({usage})"


def _wrong_value(error: CoercionError) -> str:
    assert error.token is not None
    choices = [str(choice) for choice in get_args(error.target_type)]
    name = error.token.keyword or (_name(error.argument) if error.argument else "the value")
    if choices:
        return f"{name} must be one of {', '.join(choices)} {got(error.token.value, choices)}"
    if error.target_type is bool:
        return f'{name} takes no value (got "{error.token.value}")'
    kind = {int: "a whole number", float: "a number"}.get(error.target_type, "something else")  # type: ignore[arg-type]
    return f'{name} must be {kind} (got "{error.token.value}")'


def _name(argument: Argument) -> str:
    """`--format` for an option, LINES for what is told by its place."""
    if argument.field_info.is_positional:
        return argument.name.lstrip("-").upper()
    return argument.name
