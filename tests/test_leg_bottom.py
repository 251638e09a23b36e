"""Check `leg-bottom`."""

import legged
import making
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level

BOTTOM = CHECKS["leg-bottom"]
LIMIT = 0.5
INSIDE = 0.01


def run(assembly):
    return list(BOTTOM.run(assembly))


@pytest.mark.parametrize("kind", legged.KINDS)
@pytest.mark.parametrize("short", [1.25 * LIMIT, -1.25 * LIMIT, 2.0, -2.0])
@pytest.mark.parametrize("side", [1, -1])
def test_a_leg_off_the_datum_plane_is_found(kind, short, side):
    leg = legged.plies(side, kind=kind, short=short)
    (finding,) = run(legged.boat(port=leg) if side > 0 else legged.boat(starboard=leg))
    assert (finding.check, finding.level, finding.frame) == ("leg-bottom", Level.ERROR, "5")
    assert finding.measured == pytest.approx(abs(short), abs=1e-9)
    assert (finding.limit, finding.unit) == (LIMIT, "mm")
    assert finding.parts == tuple(sorted(f"F5 {part.label}" for part in leg))
    assert finding.at[2] == pytest.approx(short)
    assert np.sign(finding.at[1]) == side
    assert ("above the rail" if short > 0 else "into the rail") in finding.message
    told = np.ceil(round(abs(short) * 10, 4)) / 10
    assert finding.cure == (f"lengthen by {told:.1f} mm" if short > 0 else f"cut {told:.1f} mm off") + " on every ply"


@pytest.mark.parametrize("kind", legged.KINDS)
@pytest.mark.parametrize("short", [0.0, 0.8 * LIMIT, LIMIT - INSIDE, -(LIMIT - INSIDE), LIMIT])
def test_a_leg_within_the_limit_is_not(kind, short):
    assert run(legged.boat(port=legged.plies(kind=kind, short=short))) == []


def test_the_worst_ply_of_a_leg_is_told():
    (finding,) = run(legged.boat(port=legged.plies(outer={"short": 2.0})))
    assert finding.parts == ("F5 port leg outer",)
    assert finding.cure == "lengthen by 2.0 mm"
    (finding,) = run(legged.boat(port=legged.plies(inner={"short": 1.0}, outer={"short": 2.0})))
    assert finding.measured == pytest.approx(2.0)
    assert finding.parts == ("F5 port leg inner", "F5 port leg outer")
    assert "the other plies by their own amounts" in finding.cure


def test_a_tilted_foot_counts_at_its_worse_end():
    (finding,) = run(legged.boat(port=legged.plies(tilt=0.8)))
    assert finding.measured == pytest.approx(0.8)
    assert "at its outer end" in finding.message
    assert (
        finding.cure == "recut its bearing edge level: leave it at its inner end, lengthen by 0.8 mm at its outer end"
    )
    assert run(legged.boat(port=legged.plies(tilt=LIMIT - INSIDE))) == []


def test_a_leg_with_nothing_level_over_the_rail_is_found():
    leg = [making.part("port leg", making.rectangle(200, 0, 270, 200), role="leg")]
    (finding,) = run(legged.boat(port=leg))
    assert "no level edge over the rail" in finding.message
    assert finding.measured is None


@pytest.mark.parametrize("kind", legged.KINDS)
def test_an_inverted_boat_hangs_its_legs_from_the_rails(kind):
    def boat(short):
        leg = legged.plies(kind=kind, short=short, upside_down=True)
        return legged.boat(port=leg, build="inverted")

    assert run(boat(0.0)) == []
    assert run(boat(LIMIT - INSIDE)) == []
    (finding,) = run(boat(2.0))
    assert finding.measured == pytest.approx(2.0)
    assert "below the rail" in finding.message
    assert finding.at[2] == pytest.approx(-2.0)


@pytest.mark.parametrize("rake", [0.2, -0.2])
def test_a_raked_frame_is_judged_by_the_corner_that_touches_first(rake):
    # closed form: the two plies together are 36 mm thick and cut square: their corners' z differ by 36 sin r
    lift = -min(0.0, 36 * np.sin(rake)) / np.cos(rake)

    def boat(short):
        legs = [legged.plies(side, lift=lift, short=short) for side in (1, -1)]
        return legged.boat(*legs, rake=rake)

    assert run(boat(0.0)) == []
    assert run(boat((LIMIT - INSIDE) / np.cos(rake))) == []
    found = run(boat(2.0))
    assert [finding.measured for finding in found] == pytest.approx([2.0 * np.cos(rake)] * 2)
    assert {finding.cure for finding in found} == {"lengthen by 2.0 mm on every ply"}


@pytest.mark.parametrize("rake", [0.2, -0.2])
def test_the_plies_of_a_raked_leg_may_each_stand_on_their_own_corner(rake):
    # the forward ply lies 18 mm further forward: square ends that touch by themselves differ by 18 tan r
    own = [-min(low * np.tan(rake), (low + 18) * np.tan(rake)) for low in (0, 18)]

    def boat(outer):
        legs = [legged.plies(side, inner={"lift": own[0]}, outer={"lift": own[1] + outer}) for side in (1, -1)]
        return legged.boat(*legs, rake=rake)

    assert run(boat(0.0)) == [] == list(CHECKS["leg-pair"].run(boat(0.0)))
    assert run(boat((LIMIT - INSIDE) / np.cos(rake))) == []
    for by in (1.0, -1.0):
        assert [finding.measured for finding in run(boat(by))] == pytest.approx([np.cos(rake)] * 2)


def test_without_a_strongback_nothing_is_judged():
    assert run(legged.boat(port=legged.plies(short=5.0), rails=False)) == []


def test_moved_boats_give_the_same():
    first, moved = (run(legged.boat(port=legged.plies(short=2.0), station=x)) for x in (1000.0, 3210.0))
    assert [f.measured for f in moved] == [f.measured for f in first]
    assert moved[0].at[0] - first[0].at[0] == pytest.approx(2210)


def test_the_limit_of_the_plan_counts():
    assert run(legged.boat(port=legged.plies(short=2.0), limits={"leg_bottom": 2.01})) == []
