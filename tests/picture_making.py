"""Boats, findings and pictures for the tests of pictures and drawings."""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ElementTree
from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.findings import Finding
from scrieve.viewer.marks.colours import STRONG
from scrieve.viewer.pictures.graphics import WINDOW
from scrieve.viewer.pictures.subject import PicturedBoat

HULLS = Path(__file__).parents[1] / "hulls"
SVG = "{http://www.w3.org/2000/svg}"


def without_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Renders without a screen in this process, and leaves others of it, which have one, as they were."""
    if sys.platform.startswith("linux"):
        monkeypatch.setenv(WINDOW, "vtkEGLRenderWindow")


@cache
def boat(name: str) -> PicturedBoat:
    """A demonstration boat with its findings and steps."""
    plan = read_plan(HULLS / name)
    assembly = assemble(plan)
    return PicturedBoat(assembly=assembly, seen=plan.seen, findings=review(assembly), steps=steps_of(assembly))


def finding_of(subject: PicturedBoat, check: str) -> tuple[int, Finding]:
    """The first finding of a check, and its number."""
    return next((n, f) for n, f in enumerate(subject.findings, start=1) if f.check == check)


def frame_named(assembly: Assembly, number: str):
    """A frame by its number."""
    return next(frame for frame in assembly.frames if frame.number == number)


def pixels(png: bytes) -> NDArray[np.uint8]:
    """(height, width, 3): the picture of a PNG."""
    return np.asarray(Image.open(BytesIO(png)).convert("RGB"))


def like(picture: NDArray[np.uint8], colour: str, within: int = 40) -> NDArray[np.bool_]:
    """Which points of a picture are nearly of a colour."""
    wanted = np.array([int(colour[n : n + 2], 16) for n in (1, 3, 5)])
    return np.asarray(np.abs(picture.astype(int) - wanted).max(axis=2) <= within)


def strong(picture: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which points are of the colour of findings."""
    return like(picture, STRONG)


def drawn(text: str) -> ElementTree.Element:
    """The drawing, parsed."""
    return ElementTree.fromstring(text.encode("utf-8"))


def words_in(root: ElementTree.Element) -> list[str]:
    """All words of a drawing."""
    return ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


def group(root: ElementTree.Element, name: str) -> ElementTree.Element:
    """A group of a drawing by its name."""
    return next(each for each in root.iter(f"{SVG}g") if each.get("id") == name)
