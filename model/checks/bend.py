"""Check `bend`: a batten is bent tighter than its stock allows."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scrieve.shared.bend_table import BREAKS, SOURCE, THICKEST
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.marks import Arrow, Line, Mark
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.tolerances import SLIVER, falls_short
from scrieve.shared.wording import at_most, formatted, joined

from ..boat.assembly import Assembly
from ..boat.batten import Batten
from ..boat.evidence import places, subjects
from ..relations.battens.bending import Bend, layers_enough, thin_enough, worst_bend
from ..relations.battens.stations import misplaced
from .check import Check, Page


def check(batten: Batten, assembly: Assembly) -> Iterator[Finding]:
    """One finding, at the worst place, if the batten is bent too tightly: a warning where solid wood does not break.

    None where a frame at a wrong station bends it, or a section out of place, which `fair` tells.
    """
    limit = assembly.limits["bend"]
    bend = worst_bend(batten, limit)
    if not falls_short(bend.ratio, bend.least):
        return
    wrong = misplaced(assembly.battens, assembly.limits["fair"], limit)
    if any(batten is each for one in wrong for each, _ in one.offs):
        return
    at = batten.centre(np.array([bend.x]))[0]
    layers = layers_enough(batten, bend, limit)
    frame = next((s.frame for s, x in zip(batten.sections, batten.centres[:, 0], strict=True) if x == bend.x), "")
    # plywood's table goes for layers, a batten's own figure for itself; solid wood at `least` is strained to half
    solid = batten.layers == 1 and not batten.least_bend
    breaks = min(BREAKS, bend.least)
    level = Level.WARNING if solid and not falls_short(bend.ratio, breaks) else Level.ERROR
    most = breaks if solid and level is Level.ERROR else bend.least
    in_layers = Sentence.of(" in layers of {layer}", layer=Quantity.of(bend.layer, f"{bend.layer:.1f} mm"))
    yield Finding(
        check="bend",
        level=level,
        message=Sentence.of(
            "the {batten}{layers} is bent to {ratio} times its thickness {where}, {radii}; its stock {takes} {least} "
            "times{strained}",
            batten=batten,
            layers=in_layers if batten.layers > 1 else "",
            ratio=formatted(bend.ratio, most, least=0),
            where=_where(batten, bend),
            radii=_radii(batten, bend),
            takes="takes" if not solid else "breaks at about" if level is Level.ERROR else "is easy at",
            least=formatted(most, bend.ratio, least=0),
            strained=Sentence.of(" and breaks at about {breaks}", breaks=formatted(breaks, bend.ratio, least=0))
            if level is Level.WARNING
            else "",
        ),
        frame=frame,
        at=(float(at[0]), float(at[1]), float(at[2])),
        cure=_cure(batten, bend, limit, layers),
        edits=() if layers is None else assembly.keys.set(("battens", batten.kind), "layers", layers),
        source=assembly.source,
        subjects=subjects(batten),
        measure=Measure(
            value=bend.ratio,
            limit=most,
            unit="R/t",
            sense="least",
            words="bent to {value} x its thickness, {limit} wanted",
        ),
        evidence=_bow(batten, bend.x),
    )


def _bow(batten: Batten, x: float) -> tuple[Mark, ...]:
    """The straight line between the frames beside the place, and how far the batten is bent off it there.

    A batten is bent nowhere at its ends, so that there is a frame on both sides.
    """
    knots = batten.centres[:, 0]
    start, end = knots[knots < x - SLIVER][-1], knots[knots > x + SLIVER][0]
    a, middle, b = batten.centre(np.array([start, x, end]))
    along = (b - a) / np.linalg.norm(b - a)
    on_line = a + along * ((middle - a) @ along)
    return Line(points=places([a, b])), Arrow(points=places([on_line, middle]))


def _where(batten: Batten, bend: Bend) -> Sentence:
    knots = batten.centres[:, 0]
    after = int(np.searchsorted(knots, bend.x))
    before, behind = (Name(f"F{batten.sections[n].frame}") for n in (after - 1, after))
    if knots[after] == bend.x:
        return Sentence.of("in {frame}", frame=behind)
    return Sentence.of("between {before} and {after}", before=before, after=behind)


def _radii(batten: Batten, bend: Bend) -> str:
    """The radius in each plane in which it is bent at all to speak of."""
    planes = ((bend.across_short, bend.layer), (bend.across_long, batten.long))
    share = sum(turn * thick for turn, thick in planes)
    said = [
        Sentence.of(
            "a radius of {radius} across {thick}",
            radius=Quantity.of(1 / turn, f"{1 / turn:.0f} mm"),
            thick=Quantity.of(thick, f"{round(thick, 1):g} mm"),
        )
        for turn, thick in planes
        if turn * thick > share / 20
    ]
    return joined(said, " and ", " and ")


def _cure(batten: Batten, bend: Bend, limit: float, layers: int | None) -> Sentence:
    """A thinner batten or one of layers, as far as they would do, or an easier curve."""
    cures = []
    side, thin = thin_enough(batten, bend, limit)
    if thin >= 1.0:
        now = batten.short if side == "short" else batten.long
        cures.append(
            Sentence.of(
                "a batten whose side of {now} is {most} at most",
                now=Quantity.of(now, f"{now:g} mm"),
                most=at_most(thin),
            )
        )
    if layers is not None:
        each = batten.short / layers
        cures.append(
            Sentence.of(
                "one laminated of {layers} layers of {each} (battens.{kind}.layers in the plan)",
                layers=Quantity.of(layers, str(layers)),
                each=Quantity.of(each, f"{each:.1f} mm"),
                kind=Name(batten.kind),
            )
        )
    times = bend.least / bend.ratio
    cures.append(
        Sentence.of("an easier curve there, {times} times the radius", times=Quantity.of(times, f"{times:.2f}"))
    )
    return Sentence.of("take {ways}", ways=joined(cures, ", or ", ", or "))


CHECK = Check(
    slug="bend",
    title="A batten is bent tighter than its stock allows",
    level=Level.ERROR,
    limits=("bend",),
    rests_on="curve",
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
            "bend, R/t 144. Clear dry wood breaks where the strain of its surface, t / 2R, is its modulus of rupture "
            "over that of elasticity: eastern white pine, a usual softwood, 59 MPa over 8.5 GPa, R/t 72 (USDA Wood "
            "Handbook FPL-GTR-190, Table 5-3a, from memory). Tighter is an error; up to `bend`, half that strain, a "
            "warning. Layers are held to the "
            f"table of plywood, an error: 144 from {THICKEST:.1f} mm up, less if thinner. {SOURCE}. As restated by "
            "others: "
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
