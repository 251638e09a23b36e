"""Hand-made frames whose steps are known, and the demonstration boats."""

from __future__ import annotations

from dataclasses import replace

from faults import HULLS
from legged import plies
from making import assembly, dowel, frame, part, rectangle, screw

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.screw import Screw
from scrieve.model.plan.plan_order import Before
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.findings import Source

THICK = 18.0
DEMOS = ("pram", "skiff")

FLOOR = part("floor", rectangle(-400, 190, 400, 260))


def side(sign: int, label: str):
    outline = rectangle(400, 200, 460, 500)
    return part(f"{label} side", outline if sign > 0 else outline.mirrored())


SIDES = [side(1, "port"), side(-1, "starboard")]


def gusset(sign: int, face: str, **more):
    outline = rectangle(330, 200, 460, 330)
    name = "port" if sign > 0 else "starboard"
    made = part(f"{name} gusset", outline if sign > 0 else outline.mirrored(), face=face, thickness=9, **more)
    return replace(made, name=f"{made.name}, {face}")


def gussets(*faces: str):
    return [gusset(sign, face) for face in faces for sign in (1, -1)]


def screws_in(parts, *faces: str) -> list[Screw]:
    """Two screws through each gusset of each face, one in the floor and one in the side; faces do not meet."""
    out = []
    for face in faces:
        shift = 0 if face == "forward" else 15
        at = [(sign * y, v + shift) for sign in (1, -1) for y, v in ((360, 230), (430, 240))]
        out += [screw(parts, place, name=f"screw {n}", driven_from=face) for n, place in enumerate(at, start=1)]
    return out


def legs():
    port, starboard = plies(1), plies(-1)
    return [*port, *starboard]


def whole(*, faces=("aft", "forward"), screwed=True, legged=True, dowelled=True, **more):
    """A frame with everything: floor, sides, gussets on both faces, legs under the floor, dowels."""
    parts = [FLOOR, *SIDES, *gussets(*faces)]
    screws = screws_in(parts, *faces) if screwed else []
    feet = [replace(leg, shape=leg.shape) for leg in legs()] if legged else []
    dowels = [dowel((sign * 300.0, 195.0), number=n) for n, sign in enumerate((1, -1), start=1)] if dowelled else []
    return frame([*parts, *feet], screws=screws, dowels=dowels, **more)


def boat(*frames, **more) -> Assembly:
    return assembly(frames, **more)


def kinds(steps) -> list[str]:
    return [step.kind for step in steps]


def wish(first: str, then: str, line: int = 90) -> Before:
    return Before(first=first, then=then, source=Source(file="plan.toml", line=line))


def wanting(made: Assembly, *wishes: tuple[str, str]) -> Assembly:
    return replace(made, order=tuple(wish(*names, line=90 + n) for n, names in enumerate(wishes)))


def demo(name: str) -> Assembly:
    return assemble(read_plan(HULLS / name))
