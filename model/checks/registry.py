"""Finds the checks: every module of this folder that holds a `CHECK`."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from pkgutil import iter_modules

from .check import Check


def _found() -> dict[str, Check]:
    package = __name__.rpartition(".")[0]
    modules = iter_modules(import_module(package).__path__)
    loaded = [import_module(f"{package}.{module.name}") for module in modules if module.name != "registry"]
    checks = [module.CHECK for module in loaded if hasattr(module, "CHECK")]
    return {check.slug: check for check in sorted(checks, key=lambda check: check.slug)}


CHECKS: Mapping[str, Check] = _found()
