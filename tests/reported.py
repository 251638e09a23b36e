"""Findings and reports for the tests of the formats."""

from __future__ import annotations

from pathlib import Path

import making

from scrieve.shared.errors import Mistake
from scrieve.shared.findings import Finding, Level, Source
from scrieve.viewer.reports.report import Report

ROOT = Path.cwd()

FOUL = making.finding(
    check="screw-foul",
    level=Level.ERROR,
    frame="5",
    parts=("F5 aft screw 2", "F5 forward screw 3"),
    at=(2300.0, -612.34004999, -0.00001),
    measured=2.1,
    limit=5.166,
    unit="mm",
    message="F5 aft screw 2 and F5 forward screw 3 foul",
    cure="move one",
    source=Source(file="frames/5.dxf", handle="2F"),
)
STATION = making.finding(
    check="station",
    level=Level.WARNING,
    frame="7",
    parts=("F7",),
    message="F7 is out of order",
    cure="number it anew",
    source=Source(file="plan.toml", line=41),
)
BOAT = Finding(check="station", level=Level.NOTE, message="the plan has a strongback but no frame has legs")
WAIVED = making.finding(
    check="screw-edge",
    level=Level.ERROR,
    frame="2",
    parts=("F2 aft screw 1",),
    message="F2 aft screw 1 stands 3.00 mm from an edge",
    cure="move it",
    source=Source(file="frames/2.dxf", handle="3A"),
    waived="pulled after the glue sets",
)
UNREAD = {
    "hulls/bad": (
        Mistake(path="hulls/bad/plan.toml", line=2, what="no such key (got 3)"),
        Mistake(path="hulls/bad/frames/1.dxf", what="no such file"),
    )
}
HOSTILE = "label \x1b[2J\x00\x0b ::error::a ##[error]b <b>&\"' \udc80\ufffe 100% {0} new\nline"


def report(*findings: Finding, plan: str = "hulls/burdock", **more: object) -> Report:
    """A report on a plan folder."""
    given = {"file": f"{plan}/plan.toml", "boat": "Burdock", "frames": ("2", "5", "7")}
    ran = ("foul", "screw-edge", "screw-foul", "station")
    return Report(**{**given, "plan": plan, "ran": ran, "left_out": ("corner",), "findings": findings, **more})


def finding(message: str, **more: object) -> Finding:
    """An error of `foul` in frame 5."""
    return making.finding(**{"frame": "5", "message": message, **more})
