"""Where a finding lies, as a path that means the same on every machine."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from scrieve.shared.findings import Finding, Source

from .report import Report


def root_of(here: Path, environ: Mapping[str, str] = os.environ) -> Path:
    """The folder that paths are told from: where the command was given, or the whole checkout that holds it.

    GitHub's runners name their checkout in GITHUB_WORKSPACE and go by paths from there, whichever of its
    folders a step works in.
    """
    checkout = environ.get("GITHUB_WORKSPACE")
    whole = Path(checkout).resolve() if checkout else here
    return whole if here.is_relative_to(whole) else here


def relative(path: str, root: Path) -> str:
    """The path from `root`, its folders told apart by / on every machine; "" stays ""."""
    return Path(os.path.relpath(path, root)).as_posix() if path else ""


def path_of(finding: Finding, report: Report, root: Path) -> str:
    """The file that a finding comes from, from `root`; the plan file where it comes from none."""
    return path_from(finding.source, report, root)


def path_from(source: Source | None, report: Report, root: Path) -> str:
    """The file of a source, from `root`; the plan file where it has none."""
    if source is None or not source.file:
        return relative(report.file, root)
    return relative(os.path.join(os.path.dirname(report.file), source.file), root)


def place_of(finding: Finding, path: str) -> str:
    """A file and what is known of the place in it: "frames/3.dxf, object 2F" or "plan.toml:12"."""
    source = finding.source
    if source is not None and source.line:
        return f"{path}:{source.line}"
    return f"{path}, object {source.handle}" if source is not None and source.handle else path
