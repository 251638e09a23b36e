"""Check `bend`: a batten is bent tighter than its stock allows."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.bend_table import SOURCE, THICKEST
from scrieve.shared.findings import Finding, Level
from scrieve.shared.tolerances import falls_short

from ..assembly import Assembly
from ..batten import Batten
from ..battens.bending import Bend, layers_enough, thin_enough, worst_bend
from ..wording import at_most, told
from .check import Check, Page


def check(batten: Batten, assembly: Assembly) -> Iterator[Finding]:
    """One finding, at the worst place, if the batten is bent too tightly anywhere."""
    limit = assembly.limits["bend"]
    bend = worst_bend(batten, limit)
    if not falls_short(bend.ratio, bend.least):
        return
    at = batten.centre(np.array([bend.x]))[0]
    frame = next((s.frame for s, x in zip(batten.sections, batten.centres[:, 0], strict=True) if x == bend.x), "")
    in_layers = f" in layers of {bend.layer:.1f} mm" if batten.layers > 1 else ""
    yield Finding(
        check="bend",
        level=Level.ERROR,
        message=f"the {batten.name}{in_layers} is bent to {told(bend.ratio, bend.least, least=0)} times its thickness "
        f"{_where(batten, bend)}, {_radii(batten, bend)}; "
        f"its stock takes {told(bend.least, bend.ratio, least=0)} times",
        frame=frame,
        parts=(batten.name,),
        at=(float(at[0]), float(at[1]), float(at[2])),
        measured=bend.ratio,
        limit=bend.least,
        unit="R/t",
        cure=_cure(batten, bend, limit),
        source=assembly.source,
    )


def _where(batten: Batten, bend: Bend) -> str:
    knots = batten.centres[:, 0]
    after = int(np.searchsorted(knots, bend.x))
    if knots[after] == bend.x:
        return f"in F{batten.sections[after].frame}"
    return f"between F{batten.sections[after - 1].frame} and F{batten.sections[after].frame}"


def _radii(batten: Batten, bend: Bend) -> str:
    """The radius in each plane in which it is bent at all to speak of."""
    planes = ((bend.across_short, bend.layer), (bend.across_long, batten.long))
    share = sum(turn * thick for turn, thick in planes)
    said = [
        f"a radius of {1 / turn:.0f} mm across {round(thick, 1):g} mm"
        for turn, thick in planes
        if turn * thick > share / 20
    ]
    return " and ".join(said)


def _cure(batten: Batten, bend: Bend, limit: float) -> str:
    """A thinner batten, or one of layers, as far as either would do, or an easier curve."""
    ways = []
    side, thin = thin_enough(batten, bend, limit)
    if thin >= 1.0:
        now = batten.short if side == "short" else batten.long
        ways.append(f"a batten whose side of {now:g} mm is {at_most(thin)} at most")
    layers = layers_enough(batten, bend, limit)
    if layers is not None:
        key = f"battens.{batten.kind}.layers in the plan"
        ways.append(f"one laminated of {layers} layers of {batten.short / layers:.1f} mm ({key})")
    ways.append(f"an easier curve there, {bend.least / bend.ratio:.2f} times the radius")
    return "take " + ", or ".join(ways)


CHECK = Check(
    slug="bend",
    title="A batten is bent tighter than its stock allows",
    level=Level.ERROR,
    limits=("bend",),
    page=Page(
        looks_at=(
            "The curve of every batten at its frames and at eight places between each two. Its turning is split into "
            "the plane of the batten's short side and that of its long side, and the strain of both is "
            "added where it is greatest on the section, arrises eased. What is measured is R/t: for a batten bent in "
            "one plane its radius over its thickness in that plane; for one bent in both, that of a batten bent in one "
            "with the same strain. Past its first and last frame a batten runs on straight. A batten "
            "with `layers` in the plan is bent layer by layer across its short side, and as a whole across its long "
            "one. Twist is not looked at."
        ),
        matters=(
            "A batten bent too far breaks while it is being sprung in, or pulls the frames out of line until the "
            "planking is on. Whether it will is known before it is bought."
        ),
        limit=(
            f"bend, R/t 144 from {THICKEST:.1f} mm up, less for thinner layers, by the rows of the table. {SOURCE}. "
            "The table ends there; thicker wood would by its run bear less. For comparison, as restated by others: "
            "EN 1995-1-1 (6.49) makes a deduction for laminations bent below R/t 240. "
            "`bend` under [battens.…] says what its own stock takes, where that is known; steamed or green "
            "wood takes far less."
        ),
        cure=(
            "A thinner batten, one glued up of layers over the frames, or an easier curve. A batten let in on its flat "
            "bends easily one way only: where the curve lies in the plane of its long side, turn it on edge."
        ),
    ),
    on_batten=check,
)
