"""Spoils a copy of a demonstration boat by one slip, as a designer makes it, from which much else follows."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable
from pathlib import Path

import ezdxf
from ezdxf.entities import DXFEntity
from replanning import change_plan

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Finding, Level

HULLS = Path(__file__).parents[1] / "hulls"


def copied(boat: str, folder: Path) -> Path:
    """A copy of a demonstration boat in a folder that is not there yet."""
    return Path(shutil.copytree(HULLS / boat, folder / boat))


def frames_of(plan: Path) -> list[str]:
    """The numbers of its frames."""
    return sorted(file.stem for file in (plan / "frames").glob("*.dxf"))


def with_header(plan: Path, code: int, frames: Iterable[str]) -> Path:
    """Has the drawings of these frames say another unit, their numbers left as they are."""
    for frame in frames:
        file = plan / "frames" / f"{frame}.dxf"
        drawing = ezdxf.readfile(file)
        drawing.header["$INSUNITS"] = code
        drawing.saveas(file)
    return plan


def without(plan: Path, gone: Callable[[DXFEntity], bool], frames: Iterable[str]) -> Path:
    """Takes objects out of the drawings of these frames."""
    for frame in frames:
        file = plan / "frames" / f"{frame}.dxf"
        drawing = ezdxf.readfile(file)
        for entity in [entity for entity in drawing.modelspace() if gone(entity)]:
            drawing.modelspace().delete_entity(entity)
        drawing.saveas(file)
    return plan


def on_layer(*layers: str) -> Callable[[DXFEntity], bool]:
    """Whether an object is on one of these layers; with none, always."""
    return lambda entity: not layers or entity.dxf.layer in layers


def saying(plan: Path, unit: str) -> Path:
    """Has the plan say another unit, its numbers left as they are."""
    change_plan(plan, lambda content: content["plan"].update(units=unit))
    return plan


def findings(plan: Path) -> list[Finding]:
    """What `check` finds."""
    return list(review(assemble(read_plan(plan))))


def wrong(found: Iterable[Finding]) -> list[Finding]:
    """The errors and warnings among findings."""
    return [finding for finding in found if finding.level is not Level.NOTE]


def notes(found: Iterable[Finding]) -> list[str]:
    """What the notes among findings say."""
    return [finding.message for finding in found if finding.level is Level.NOTE]
