"""Makes the pictures of the README anew, with the verb that everybody has.

python tests/make_pictures.py        writes hulls/pictures
"""

from __future__ import annotations

import sys
from io import BytesIO
from pathlib import Path

from PIL import Image

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.model.sequence.steps import steps_of
from scrieve.viewer.verbs.commands import run

HULLS = Path(__file__).parents[1] / "hulls"
COLOURS = 96
"""of a picture; so few that it is small, so many that nobody sees it."""

SOUND, FAULTY = HULLS / "skiff", HULLS / "skiff-with-faults"


def number_of(plan: Path, check: str) -> str:
    """The number of the first finding of a check."""
    findings = review(assemble(read_plan(plan)))
    return str(next(n for n, finding in enumerate(findings, start=1) if finding.check == check))


def step_of(plan: Path, frame: str, kind: str) -> str:
    """The number of the first step of a kind of a frame."""
    return str(
        next(step.number for step in steps_of(assemble(read_plan(plan))) if (step.frame, step.kind) == (frame, kind))
    )


def made(name: str, plan: Path, *words: str, to: Path) -> Path:
    """The picture of this name, made by the verb."""
    place = to / name
    assert run(["picture", str(plan), str(place), "--replace", *words]) == 0
    if place.suffix == ".png":
        place.write_bytes(small(place.read_bytes()))
    return place


def small(png: bytes, colours: int = COLOURS) -> bytes:
    """The same picture of fewer colours, without dots."""
    picture = Image.open(BytesIO(png)).convert("RGB")
    stream = BytesIO()
    picture.quantize(colours, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE).save(stream, "PNG", optimize=True)
    return stream.getvalue()


def make(to: Path) -> list[Path]:
    """All pictures."""
    to.mkdir(exist_ok=True)
    return [
        made("boat.png", SOUND, "--size", "1200x720", to=to),
        made("found.png", FAULTY, "--size", "1200x800", to=to),
        made("finding.png", FAULTY, "--finding", number_of(FAULTY, "foul"), "--size", "900x600", to=to),
        made("step.png", SOUND, "--step", step_of(SOUND, "6", "plates"), "--size", "900x600", to=to),
        made("steps.png", SOUND, "--all", "steps", "--frame", "6", "--size", "1200x660", to=to),
        made("notch.svg", FAULTY, "--finding", number_of(FAULTY, "notch-foul"), to=to),
        made("screw.svg", FAULTY, "--finding", number_of(FAULTY, "screw-bite"), to=to),
    ]


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else HULLS / "pictures")
