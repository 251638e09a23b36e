"""Check `bend`: radii in closed form, both planes, layers, the published table; cures that cure."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import making
import numpy as np
import pytest
import replanning
from faults import HULLS

from scrieve.model.assemble import assemble
from scrieve.model.boat.batten import Batten
from scrieve.model.checks.bend import CHECK
from scrieve.model.geometry.placement import Placement
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.relations.battens.bending import (
    bump_that_bends,
    layers_enough,
    thin_enough,
    too_tight,
    turning,
    worst_bend,
)
from scrieve.shared.bend_table import BREAKS, THICKEST, THICKEST_RATIO, least_ratio
from scrieve.shared.findings import Finding, Level

# FAA AC 43.13-1B, Table 1-2, as reproduced: see the head of the file
TABLE = Path(__file__).parent / "reference" / "plywood_min_bend_radius_FAA_AC43-13-1B.csv"

SPAN = 1000.0


def bent(sag: tuple[float, float], *, angle: float = 0.0, side: float = 1.0, shift: float = 0.0, **more) -> Batten:
    """Held at 0, 1000 and 2000 mm, the middle `sag` (y, z) off the line between the ends; 40 x 20 mm, square edges.

    A natural spline through three even points has the second derivative 3 d / L^2 in the middle, d being
    the sag and L the bay (hand-worked from its one equation), and is level there if the ends are: so R = L^2 / (3 d).
    """
    more = {"long": 40.0, "short": 20.0, "arris": 0.0, **more}
    layers, least = more.pop("layers", 1), more.pop("least_bend", 0.0)
    sections = [
        making.section("port chine", (side * (500 + y), 300 + z), angle=side * angle, frame=name)
        for name, y, z in (("1", 0, 0), ("2", *sag), ("3", 0, 0))
    ]
    made = making.batten("port chine", sections, [Placement(station=shift + i * SPAN) for i in range(3)], **more)
    return replace(made, layers=layers, least_bend=least)


def radius(sag: float) -> float:
    return SPAN**2 / (3 * sag)


def findings(batten: Batten, limit: float = 144.0) -> list[Finding]:
    return list(CHECK.run(making.assembly([], battens=[batten], limits={"bend": limit})))


@pytest.mark.parametrize(("sag", "thickness"), [((0.0, 50.0), 20.0), ((50.0, 0.0), 40.0), ((-50.0, 0.0), 40.0)])
def test_the_radius_over_the_thickness_in_each_plane(sag, thickness):
    bend = worst_bend(bent(sag), 144.0)
    assert bend.x == SPAN
    assert bend.ratio == pytest.approx(radius(50) / thickness, rel=1e-12)
    both = {40.0: bend.across_long, 20.0: bend.across_short}
    assert both.pop(thickness) == pytest.approx(1 / radius(50), rel=1e-12)
    assert next(iter(both.values())) == pytest.approx(0, abs=1e-15)


@pytest.mark.parametrize("degrees", [0.0, 20.0, 45.0, 90.0, 200.0])
def test_turned_with_its_bend_it_is_bent_alike(degrees):
    angle = np.radians(degrees)
    sag = (-60 * np.sin(angle), 60 * np.cos(angle))
    assert worst_bend(bent(sag, angle=angle), 144.0).ratio == pytest.approx(radius(60) / 20, rel=1e-9)


def test_the_strain_of_both_planes_adds_up_in_one_arris():
    # hand-worked: a corner at (20, 10) mm from the middle, turned by 1/R in each plane, is strained by 30 / R
    bend = worst_bend(bent((50.0, 50.0)), 144.0)
    assert bend.ratio == pytest.approx(radius(50) / 60, rel=1e-12)


def test_an_eased_arris_is_strained_less():
    # hand-worked: the rounded corner's middle is at (14, 4) mm, and 6 mm on the way of the turn, at 45 degrees
    bend = worst_bend(bent((50.0, 50.0), arris=6.0), 144.0)
    assert bend.ratio == pytest.approx(radius(50) / (2 * (14 + 4 + 6 * np.sqrt(2))), rel=1e-4)


def test_along_an_arc_of_a_circle_the_turn_is_one_over_its_radius():
    x = np.linspace(-1500, 1500, 31)
    z = np.sqrt(6000.0**2 - x**2)
    sections = [making.section("keel", (0, v), frame=str(i)) for i, v in enumerate(z)]
    batten = making.batten("keel", sections, [Placement(station=float(s)) for s in x])
    middle = turning(batten, np.linspace(-700, 700, 15))
    np.testing.assert_allclose(np.hypot(*middle.T), 1 / 6000, rtol=1e-3)


def test_the_limit_to_a_hundredth():
    ratio = radius(100) / 20
    assert ratio == pytest.approx(166.667, abs=1e-3)
    assert findings(bent((0.0, 100.0)), limit=ratio - 0.01) == []
    (finding,) = findings(bent((0.0, 100.0)), limit=ratio + 0.01)
    assert (finding.frame, finding.parts, finding.unit) == ("2", ("port chine",), "R/t")
    assert finding.measured == pytest.approx(ratio)
    assert finding.limit == pytest.approx(ratio + 0.01)
    assert finding.at == pytest.approx((1000, 500, 400))
    assert finding.message == (
        "the port chine is bent to 166.67 times its thickness in F2, a radius of 3333 mm across 20 mm; its stock is "
        "easy at 166.68 times and breaks at about 72"
    )


def test_solid_wood_is_warned_of_at_half_the_strain_at_which_it_breaks():
    # MOE / 2 MOR of eastern white pine, 8500 / (2 x 59): hand-worked 72.03
    assert pytest.approx(72.03, abs=0.01) == BREAKS
    sag = SPAN**2 / (3 * 20 * BREAKS)
    (near,) = findings(bent((0.0, 0.999 * sag)))
    (past,) = findings(bent((0.0, 1.001 * sag)))
    assert (near.level, past.level) == (Level.WARNING, Level.ERROR)
    assert "its stock breaks at about 72.03 times" in past.message
    (layers,) = findings(bent((0.0, sag), layers=2, long=20.0, short=40.0))
    (own,) = findings(bent((0.0, 0.999 * sag), least_bend=100.0))
    assert layers.level is own.level is Level.ERROR


def test_a_straight_batten_is_not_bent():
    assert findings(bent((0.0, 0.0))) == []
    assert worst_bend(bent((0.0, 0.0)), 144.0).ratio == np.inf


def test_it_is_the_same_mirrored_and_moved():
    (here,) = findings(bent((40.0, 120.0), angle=0.4))
    (mirrored,) = findings(bent((40.0, 120.0), angle=0.4, side=-1.0))
    (moved,) = findings(bent((40.0, 120.0), angle=0.4, shift=7000.0))
    assert mirrored.measured == pytest.approx(here.measured, rel=1e-9)
    assert mirrored.at == pytest.approx(np.array(here.at) * (1, -1, 1))
    assert moved.measured == pytest.approx(here.measured, rel=1e-9)
    assert moved.at == pytest.approx(np.array(here.at) + np.array((7000, 0, 0)))


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8") as stream:
        return list(csv.DictReader(line for line in stream if not line.startswith("#")))


def test_the_table_is_the_published_one():
    for row in rows():
        inch = float(row["t_in"])
        assert least_ratio(inch * 25.4) == pytest.approx(float(row["R_dry_90"]) / inch, rel=1e-12)
    assert len(rows()) == 12
    assert least_ratio(THICKEST) == pytest.approx(144) == THICKEST_RATIO


def test_between_its_rows_it_grows_and_past_its_ends_it_stays():
    ratios = [least_ratio(t) for t in np.linspace(0.1, 30, 300)]
    assert ratios == sorted(ratios)
    assert least_ratio(0.1) == pytest.approx(2.0 / 0.035)
    assert least_ratio(60.0) == pytest.approx(144)


def test_layers_are_bent_one_by_one_across_the_short_side():
    whole, three = bent((0.0, 200.0)), bent((0.0, 200.0), layers=3)
    assert worst_bend(three, 144.0).ratio == pytest.approx(3 * worst_bend(whole, 144.0).ratio)
    # 20 / 3 mm lies between the rows of 0.25 and 0.315 inch: R/t 124 and 136.5
    wanted = 124 + (20 / 3 / 25.4 - 0.25) / 0.065 * (43 / 0.315 - 124)
    assert worst_bend(three, 144.0).least == pytest.approx(wanted, rel=1e-9)
    flat, flat_three = bent((100.0, 0.0)), bent((100.0, 0.0), layers=3)
    assert worst_bend(flat_three, 144.0).ratio == pytest.approx(worst_bend(flat, 144.0).ratio)


def test_layers_and_a_batten_s_own_figure_are_read_from_the_plan(tmp_path):
    plan = replanning.copy_of(HULLS / "pram", tmp_path / "pram")
    replanning.change_plan(plan, lambda content: content["battens"]["chine"].update(layers=2, bend=90))
    battens = {batten.name: batten for batten in assemble(read_plan(plan)).battens}
    assert {(b.layers, b.least_bend) for name, b in battens.items() if "chine" in name} == {(2, 90.0)}
    assert {(b.layers, b.least_bend) for name, b in battens.items() if "chine" not in name} == {(1, 0.0)}


def test_a_batten_s_own_figure_comes_before_the_table():
    assert findings(bent((0.0, 200.0))) != []
    assert findings(bent((0.0, 200.0), least_bend=80.0)) == []
    (finding,) = findings(bent((0.0, 50.0), least_bend=400.0))
    assert finding.limit == 400


@pytest.mark.parametrize("sag", [(0.0, 200.0), (30.0, 200.0), (90.0, 20.0)])
def test_what_it_says_would_do_does_and_a_little_more_would_not(sag):
    batten = bent(sag)
    assert findings(batten) != []
    bend = worst_bend(batten, 144.0)
    side, thin = thin_enough(batten, bend, 144.0)
    assert thin > 0
    assert findings(replace(batten, **{side: thin - 0.01})) == []
    assert findings(replace(batten, **{side: thin + 0.5})) != []
    layers = layers_enough(batten, bend, 144.0)
    if side == "short":
        assert layers is not None
        assert findings(replace(batten, layers=layers)) == []
        assert findings(replace(batten, layers=layers - 1)) != []
    else:
        assert layers is None


def test_the_cure_names_the_side_by_its_length_and_layers_are_told_short():
    (finding,) = findings(bent((100.0, 0.0)))
    assert finding.cure.startswith("take a batten whose side of 40 mm is 23.1 mm at most, or ")
    (finding,) = findings(bent((0.0, 200.0), least_bend=400.0))
    assert finding.cure.startswith("take a batten whose side of 20 mm is 4.1 mm at most, or ")
    (finding,) = findings(bent((0.0, 400.0), layers=3))
    assert "across 6.7 mm;" in finding.message


def test_where_nothing_thinner_would_do_an_easier_curve_is_asked_for():
    (finding,) = findings(bent((300.0, 250.0), least_bend=30000.0))
    assert finding.cure == f"take an easier curve there, {30000 / finding.measured:.2f} times the radius"


@pytest.mark.parametrize("layers", [1, 2])
@pytest.mark.parametrize("angle", [0.0, 0.7])
def test_a_section_put_off_as_far_as_that_bends_it_to_its_limit(layers, angle):
    x = np.array([0.0, 450, 1000, 1500, 2100])
    places = [Placement(station=each) for each in x]

    def sprung(index: int = 0, by: tuple[float, float] = (0.0, 0.0)) -> Batten:
        centres = [(500.0 + 2e-5 * each**2, 300.0) for each in x]
        centres[index] = (centres[index][0] + by[0], centres[index][1] + by[1])
        sections = [making.section("port chine", at, angle=angle, frame=f"{n}") for n, at in enumerate(centres)]
        made = making.batten("port chine", sections, places, long=40.0, short=20.0, arris=5.0)
        return replace(made, layers=layers)

    for index, most in enumerate(bump_that_bends(sprung(), 144.0)):
        turns = np.angle([1, 1j, -1, -1j]) + angle
        tight = [
            [
                too_tight(sprung(index, (share * most * np.cos(turn), share * most * np.sin(turn))), 144.0)
                for turn in turns
            ]
            for share in (0.97, 1.03)
        ]
        assert all(tight[1])
        assert not all(tight[0])


def test_where_it_is_bent_all_along_no_section_is_blamed():
    sections = [
        making.section("port chine", (500.0 + 1e-3 * (x - 1000) ** 2, 300.0), frame=f"{x}") for x in range(0, 2400, 400)
    ]
    places = [Placement(station=float(x)) for x in range(0, 2400, 400)]
    (finding,) = findings(making.batten("port chine", sections, places, long=40.0, short=20.0, arris=0.0))
    assert finding.cure.startswith("take ")
