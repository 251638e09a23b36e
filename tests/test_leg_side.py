"""Check `leg-side`."""

from dataclasses import replace

import legged
import making
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

SIDE = CHECKS["leg-side"]
LIMIT = 0.5
INSIDE = 0.01


def run(assembly):
    return list(SIDE.run(assembly))


@pytest.mark.parametrize("kind", legged.KINDS)
@pytest.mark.parametrize("wide", [1.25 * LIMIT, -1.25 * LIMIT, 2.0])
@pytest.mark.parametrize("side", [1, -1])
def test_a_locating_edge_off_the_rail_is_found_with_the_way_to_move_it(kind, wide, side):
    leg = legged.plies(side, kind=kind, wide=wide)
    (finding,) = run(legged.boat(port=leg) if side > 0 else legged.boat(starboard=leg))
    assert (finding.check, finding.level, finding.frame) == ("leg-side", Level.ERROR, "5")
    assert finding.measured == pytest.approx(abs(wide), abs=1e-9)
    assert (finding.limit, finding.unit) == (LIMIT, "mm")
    assert finding.parts == tuple(sorted(f"F5 {part.label}" for part in leg))
    assert finding.at[1] == pytest.approx(side * (280 + wide))
    assert ("outboard of" if wide > 0 else "inboard of") in finding.message
    assert ("to starboard" if wide * side > 0 else "to port") in finding.cure
    assert ("tongue" in finding.cure) is (kind != "plain")


@pytest.mark.parametrize("kind", legged.KINDS)
@pytest.mark.parametrize("wide", [0.0, 0.8 * LIMIT, LIMIT - INSIDE, -(LIMIT - INSIDE), LIMIT])
def test_a_locating_edge_within_the_limit_is_not(kind, wide):
    assert run(legged.boat(port=legged.plies(kind=kind, wide=wide))) == []


def test_a_leg_with_no_upright_edge_is_found():
    leaning = Outline.of([(280, 0), (340, 0), (340, 200), (250, 200)])
    (finding,) = run(legged.boat(port=[making.part("port leg", leaning, role="leg")]))
    assert "no upright edge" in finding.message
    assert finding.measured is None


def test_a_leg_that_does_not_bear_is_left_to_leg_bottom():
    assert run(legged.boat(port=[making.part("port leg", making.rectangle(200, 0, 270, 200), role="leg")])) == []


def test_an_inverted_boat_is_judged_alike():
    def boat(wide):
        leg = legged.plies(kind="tongue", wide=wide, upside_down=True)
        return legged.boat(port=leg, build="inverted")

    assert run(boat(LIMIT - INSIDE)) == []
    (finding,) = run(boat(1.5))
    assert finding.measured == pytest.approx(1.5)


@pytest.mark.parametrize(("station", "rake"), [(4000.0, 0.0), (1000.0, 0.3)])
def test_moved_and_raked_boats_give_the_same(station, rake):
    (finding,) = run(legged.boat(port=legged.plies(wide=1.5), station=station, rake=rake))
    assert finding.measured == pytest.approx(1.5, abs=1e-9)


def test_without_a_strongback_nothing_is_judged():
    assert run(legged.boat(port=legged.plies(wide=5.0), rails=False)) == []


@pytest.mark.parametrize("kind", legged.KINDS)
def test_a_plan_without_a_cutter_knows_legs_by_the_usual_relief(kind):
    boat = replace(legged.boat(*(legged.plies(side, kind=kind) for side in (1, -1))), cutter_diameter=0.0)
    assert run(boat) == []
