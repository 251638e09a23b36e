"""The names of the checks, which a plan's waivers may give, without loading a check."""

from __future__ import annotations

from pathlib import Path
from pkgutil import iter_modules

_CHECKS = Path(__file__).parents[1] / "checks"
_NO_CHECKS = frozenset({"check", "registry"})


def check_names() -> tuple[str, ...]:
    """Each module of the folder of checks is one, and has its name: `screw_foul.py` is "screw-foul". Sorted."""
    modules = (module.name for module in iter_modules([str(_CHECKS)]))
    return tuple(sorted(name.replace("_", "-") for name in modules if name not in _NO_CHECKS))
