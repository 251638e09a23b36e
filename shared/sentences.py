"""Sentences that remember how they were made: a template and its values, as well as the text.

A `Sentence` is its text and can be used as any string. What compares findings compares templates and values, so that
nothing reads a number or a name out of prose.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from string import Formatter
from types import MappingProxyType
from typing import Protocol, Self, runtime_checkable


@runtime_checkable
class Named(Protocol):
    """Anything with a name."""

    @property
    def name(self) -> str:
        """The name as a report tells it."""


class Name(str):
    """The name of a thing, in a sentence: another thing's sentence has another."""

    __slots__ = ()


class Quantity(str):
    """A number in words ("0.62 mm"), with the number itself."""

    __slots__ = ("value",)
    value: float

    @classmethod
    def of(cls, value: float, words: str) -> Self:
        """The number `value`, told as `words`."""
        made = cls(words)
        made.value = float(value)
        return made


class Sentence(str):
    """Text made of `template`, with `values` by name: names, quantities, other sentences, or words."""

    __slots__ = ("template", "values")
    template: str
    values: Mapping[str, str]

    @classmethod
    def of(cls, template: str, **values: str | Named) -> Self:
        """The template with each {name} in it replaced; a thing stands as its name.

        Raises KeyError where a value is wanting, and TypeError where one is given that the template does not use.
        """
        wanted = {field for _, field, _, _ in Formatter().parse(template) if field is not None}
        if unused := set(values) - wanted:
            raise TypeError(f"values that the template does not use: {sorted(unused)}")
        said = {key: value if isinstance(value, str) else Name(value.name) for key, value in values.items()}
        made = cls(template.format_map(said))
        made.template, made.values = template, MappingProxyType(said)
        return made

    def __reduce__(self) -> tuple[Callable[..., Sentence], tuple[str, dict[str, str]]]:
        """How it is handed to another process: as the template and its values."""
        return _made_again, (self.template, dict(self.values))


def _made_again(template: str, values: Mapping[str, str]) -> Sentence:
    return Sentence.of(template, **values)


def quantities(text: str) -> Iterator[float]:
    """The numbers that a sentence tells, those in its parts too."""
    if isinstance(text, Quantity):
        yield text.value
    elif isinstance(text, Sentence):
        for value in text.values.values():
            yield from quantities(value)


def form(text: str) -> object:
    """What two sentences that say the same of different places have in common, to be compared and hashed.

    Names and quantities do not count; a text without a template is only like itself.
    """
    if isinstance(text, Sentence):
        return text.template, tuple((key, form(value)) for key, value in sorted(text.values.items()))
    return type(text) if isinstance(text, Name | Quantity) else str(text)
