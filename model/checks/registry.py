"""The checks by name: the `CHECK` of every module of this folder that is one."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module

from ..plan.check_names import check_names
from .check import Check


def _check(name: str) -> Check:
    check: Check = import_module(f".{name.replace('-', '_')}", __package__).CHECK
    return check


CHECKS: Mapping[str, Check] = {name: _check(name) for name in check_names()}
