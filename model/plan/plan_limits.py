"""`[limits]` of a plan: a table of the limits of `shared.limits`, each read as its unit asks for."""

from __future__ import annotations

from collections.abc import Callable
from math import inf
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator, create_model

from scrieve.shared.limits import LIMITS, Limit, Limits

from .toml_fields import LengthFromZero, Table, number_kind, wrong


class LimitsBase(Table):
    """What a plan sets of the limits; those it leaves out are None."""

    def in_force(self) -> Limits:
        """The defaults, with what the plan sets in their place; mm, or in the limit's own unit."""
        return Limits(self.model_dump(exclude_none=True))


def _whole(value: float) -> float:
    if value != int(value):
        raise wrong("a whole number is wanted")
    return value


def _up_to(most: float) -> Callable[[float], float]:
    def read(value: float) -> float:
        if value > most:
            raise wrong(f"a length of {most:g} mm at most is wanted")
        return value

    return read


def _limit_type(limit: Limit) -> Any:
    """How a limit is read: one in mm as a length, one in diameters, thicknesses or a count as a bare number."""
    if limit.unit == "mm":
        return LengthFromZero if limit.most == inf else Annotated[LengthFromZero, AfterValidator(_up_to(limit.most))]
    times = {
        "D": "a number of diameters",
        "T": "a number of thicknesses",
        "R/t": "a number of thicknesses",
    }.get(limit.unit, "a number")
    number: Any = Annotated[float, number_kind(f"{times}, 0 or more", least=0.0)]
    return number if limit.unit else Annotated[number, AfterValidator(_whole)]


_FIELDS: dict[str, Any] = {name: (_limit_type(limit) | None, None) for name, limit in LIMITS.items()}

if TYPE_CHECKING:  # the keys are known only when it runs
    LimitsTable = LimitsBase
else:
    LimitsTable = create_model("LimitsTable", __base__=LimitsBase, **_FIELDS)
"""`LimitsBase` with a key for each limit, so that the reader knows them by name and line."""
