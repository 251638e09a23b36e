"""Check `leg-pair`."""

from dataclasses import replace

import legged
import making
import numpy as np
import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.geometry.outline import Outline
from scrieve.shared.findings import Level

PAIR = CHECKS["leg-pair"]
LIMIT = 0.3
INSIDE = 0.01
CHANGES = ("short", "wide", "taller", "tilt")


def run(assembly, *more):
    return [finding for slug in ("leg-pair", *more) for finding in CHECKS[slug].run(assembly)]


@pytest.mark.parametrize("kind", legged.KINDS)
def test_true_legs_are_silent(kind):
    assert run(legged.boat(*(legged.plies(side, kind=kind) for side in (1, -1)))) == []


@pytest.mark.parametrize("kind", legged.KINDS)
@pytest.mark.parametrize("change", CHANGES)
def test_legs_that_are_not_mirror_images_are_found(kind, change):
    # both plies alike, so that they are flush, and within what leg-bottom and leg-side allow
    port, starboard = (legged.plies(side, kind=kind) for side in (1, -1))
    (finding,) = run(legged.boat(legged.plies(kind=kind, **{change: 1.25 * LIMIT}), starboard))
    assert (finding.check, finding.level, finding.frame) == ("leg-pair", Level.ERROR, "5")
    assert finding.measured == pytest.approx(1.25 * LIMIT, abs=1e-4)  # the tilted edge is met square to itself
    assert (finding.limit, finding.unit) == (LIMIT, "mm")
    assert "not mirror images" in finding.message
    assert len(finding.parts) == 2
    for off in (0.8 * LIMIT, LIMIT - INSIDE):
        assert run(legged.boat(legged.plies(kind=kind, **{change: off}), starboard)) == []
        assert run(legged.boat(port, legged.plies(-1, kind=kind, **{change: -off}))) == []


def test_both_legs_changed_alike_are_still_a_pair():
    assert run(legged.boat(*(legged.plies(side, taller=15.0) for side in (1, -1)))) == []


@pytest.mark.parametrize("change", ["short", "wide"])
def test_plies_that_are_not_flush_are_found_once(change):
    (finding,) = run(legged.boat(legged.plies(outer={change: 0.4})), "leg-bottom", "leg-side")
    assert finding.measured == pytest.approx(0.4)
    assert "from flush" in finding.message
    assert finding.parts == ("F5 port leg inner", "F5 port leg outer")
    assert run(legged.boat(legged.plies(outer={change: LIMIT - INSIDE}))) == []


@pytest.mark.parametrize("kind", legged.KINDS)
@pytest.mark.parametrize("changed", ["one ply", "both plies"])
@pytest.mark.parametrize(("change", "slug"), [("short", "leg-bottom"), ("wide", "leg-side"), ("tilt", "leg-bottom")])
def test_what_another_check_of_the_leg_reports_is_not_reported_again(kind, changed, change, slug):
    amounts = {change: 0.8}
    leg = legged.plies(kind=kind, outer=amounts) if changed == "one ply" else legged.plies(kind=kind, **amounts)
    starboard = legged.plies(-1, kind=kind)
    assert [f.check for f in run(legged.boat(leg, starboard), "leg-bottom", "leg-side")] == [slug]


def test_a_leg_moved_as_a_whole_is_reported_once():
    moved = [
        making.part(p.label, p.drawn.moved((2.0, 0.0)), role="leg", face=p.face) for p in legged.plies(kind="tongue")
    ]
    boat = legged.boat(moved, legged.plies(-1, kind="tongue"))
    assert [f.check for f in run(boat, "leg-bottom", "leg-side")] == ["leg-side"]


def test_another_fault_of_a_leg_that_is_short_is_still_found():
    boat = legged.boat(legged.plies(short=2.0, taller=3.0))
    found = run(boat, "leg-bottom", "leg-side")
    assert [f.check for f in found] == ["leg-pair", "leg-bottom"]
    assert found[0].measured == pytest.approx(3.0)


def with_and_without(parts):
    """Two frames: one true on its legs, and one of these parts."""
    true = legged.boat().frames[0]
    other = making.frame(parts, number="6", station=1500.0)
    return making.assembly([true, other], strongback=making.rails(), cutter=10.0)


def test_a_frame_without_legs_among_frames_with_legs_is_found():
    (finding,) = run(with_and_without([legged.floor()]))
    assert (finding.frame, finding.parts) == ("6", ())
    assert "no legs" in finding.message


@pytest.mark.parametrize(("side", "other"), [(1, "starboard"), (-1, "port")])
def test_a_frame_with_one_leg_is_found(side, other):
    (finding,) = run(with_and_without([legged.floor(), *legged.plies(side)]))
    assert finding.frame == "6"
    assert f"none to {other}" in finding.message
    assert finding.cure == f"mirror it to {other}"


def test_a_boat_without_any_legs_or_without_rails_is_not_told_of_missing_legs():
    assert run(legged.boat([], [])) == []
    assert run(legged.boat(None, [], rails=False)) == []


def test_mirror_images_are_judged_without_rails_too():
    (finding,) = run(legged.boat(legged.plies(short=2.0), rails=False))
    assert finding.measured == pytest.approx(2.0)


def test_a_leg_with_a_ply_less_or_on_another_face_is_found():
    (finding,) = run(legged.boat(legged.plies()[:1]))
    assert finding.parts == ("F5 starboard leg outer",)
    aft = [*legged.plies()[:1], making.part("port leg outer", legged.leg_outline(), role="leg", face="aft")]
    (finding,) = run(legged.boat(aft))
    assert finding.parts == ("F5 port leg outer", "F5 starboard leg outer")


def test_legs_of_one_ply_are_taken_as_meant():
    assert run(legged.boat(legged.plies()[:1], legged.plies(-1)[:1])) == []


@pytest.mark.parametrize("side", [1, -1])
def test_a_centre_of_mass_outside_the_legs_is_found(side):
    # hand-worked: the legs stand on the rails out to 325; a floor from y = a to a + 200 has its centre at a + 100
    def boat(centre):
        return legged.boat(frame_floor=legged.floor(*sorted((side * (centre - 100), side * (centre + 100)))))

    assert run(boat(325 - INSIDE)) == []
    (finding,) = run(boat(335))
    assert finding.measured == pytest.approx(10)
    assert finding.at[1] == pytest.approx(side * 335)
    assert f"to {'port' if side > 0 else 'starboard'}: it will not stand" in finding.message


def test_heavier_stock_moves_the_centre_of_mass():
    # hand-worked: equal boards about y = -500 and y = +800; equal stock puts the centre at 150, stock of density
    # 9 : 1 at (-500 + 9 x 800) / 10 = 670, 345 outside
    def boat(density):
        heavy = making.part("heavy", making.rectangle(750, 200, 850, 300), density=density)
        light = making.part("light", making.rectangle(-550, 200, -450, 300), density=500.0)
        legs = [*legged.plies(), *legged.plies(-1)]
        frame = making.frame([heavy, light, *legs])
        return making.assembly([frame], strongback=making.rails(), cutter=10.0)

    assert run(boat(500.0)) == []
    (finding,) = run(boat(4500.0))
    assert finding.measured == pytest.approx(670 - 325)
    # without a density for all of the stock the volumes are compared
    assert run(boat(0.0)) == []


def test_mirrored_moved_reordered_and_raked_boats_give_the_same():
    (first,) = run(legged.boat(legged.plies(taller=1.0)))
    (mirrored,) = run(legged.boat(None, legged.plies(-1, taller=1.0)))
    (moved,) = run(legged.boat(legged.plies(taller=1.0), station=3000.0))
    boat = legged.boat(legged.plies(taller=1.0))
    (reordered,) = run(replace(boat, frames=(replace(boat.frames[0], parts=boat.frames[0].parts[::-1]),)))
    for other in (mirrored, moved, reordered):
        assert other.measured == pytest.approx(first.measured, abs=1e-9)
        assert other.parts == first.parts
    assert mirrored.at[1] == pytest.approx(-first.at[1])
    rake = 0.2
    (raked,) = run(legged.boat(legged.plies(taller=1.0), rake=rake))
    assert raked.measured == pytest.approx(first.measured, abs=1e-9)


def test_curved_legs_are_compared_along_their_curves():
    def leg(side, bulge):
        outline = Outline.of([(280, 0), (340, 0), (340, 200), (280, 200)], [0, bulge, 0, 0])
        return [
            making.part(
                f"{'port' if side > 0 else 'starboard'} leg", outline if side > 0 else outline.mirrored(), role="leg"
            )
        ]

    assert run(legged.boat(leg(1, 0.1), leg(-1, 0.1))) == []
    # closed form: an arc over a chord c with bulge b rises b c / 2
    (finding,) = run(legged.boat(leg(1, 0.1), leg(-1, 0.11)))
    assert finding.measured == pytest.approx(0.01 * 200 / 2, abs=0.01)
    assert np.hypot(*finding.at[1:]) > 300


# ---- plies that belong to no leg, or do not lie against one another


def test_a_ply_on_the_centreline_belongs_to_neither_leg():
    post = making.part("leg", making.rectangle(-100, 0, 100, 200), role="leg")
    for boat in (legged.boat([post], False), legged.boat([*legged.plies(), post])):
        found = [f for f in run(boat, "station") if "neither" in f.message]
        assert [f.parts for f in found] == [("F5 leg",)]
        assert found[0].level is Level.ERROR
        assert len(run(boat, "station")) == 1  # nor is it said that there are no legs
    near = making.part("leg", making.rectangle(-99, 0, 100, 200), role="leg")
    (finding,) = run(legged.boat([near], False))
    assert "a leg to port and none to starboard" in finding.message


def stack(*layers, core=18.0):
    """Both legs of plies from `low` to `high` along w, all of the same outline."""
    parts = [legged.floor()]
    for side in (1, -1):
        for n, (low, high) in enumerate(layers):
            face = "core" if low < core else "forward"
            name = f"{'port' if side > 0 else 'starboard'} leg {n + 1}"
            outline = legged.leg_outline() if side > 0 else legged.leg_outline().mirrored()
            parts.append(replace(making.part(name, outline, role="leg", face=face), low=low, high=high))
    return making.assembly([making.frame(parts)], strongback=making.rails(), cutter=10.0)


def test_plies_that_lap_but_stand_apart_are_found():
    port, starboard = run(stack((0, 12), (18, 30)))
    assert port.parts == ("F5 port leg 1", "F5 port leg 2")
    assert starboard.parts == ("F5 starboard leg 1", "F5 starboard leg 2")
    assert "stand 6.00 mm apart" in port.message
    assert port.measured == pytest.approx(6.0)
    assert (port.limit, port.level) == (LIMIT, Level.ERROR)
    assert len(run(stack((0, 18 - LIMIT - INSIDE), (18, 30)))) == 2
    assert run(stack((0, 18 - LIMIT + INSIDE), (18, 30))) == []


def test_plies_with_a_third_between_them_lie_against_one_another():
    assert run(stack((0, 18), (18, 30), (30, 42))) == []
    found = run(stack((0, 18), (18, 30), (32, 44)))
    assert [f.parts for f in found] == [(f"F5 {s} leg 2", f"F5 {s} leg 3") for s in ("port", "starboard")]
    assert [f.measured for f in found] == pytest.approx([2.0, 2.0])


def test_plies_that_do_not_lap_may_lie_on_any_layer():
    parts = [legged.floor()]
    for side in (1, -1):
        for label, bottom, top, face, thickness in (("low", 0, 100, "core", 12), ("high", 100, 200, "forward", 12)):
            outline = making.rectangle(280, bottom, 325, top)
            outline = outline if side > 0 else outline.mirrored()
            name = f"{'port' if side > 0 else 'starboard'} leg {label}"
            parts.append(making.part(name, outline, role="leg", face=face, thickness=thickness))
    boat = making.assembly([making.frame(parts)], strongback=making.rails(), cutter=10.0)
    assert [f for f in run(boat) if "apart where they lap" in f.message] == []


def test_a_ply_that_most_legs_have_is_missed():
    def frame(number, faces):
        plies = [ply for side in (1, -1) for ply in legged.plies(side) if ply.face in faces]
        return making.frame([legged.floor(), *plies], number=str(number), station=1000.0 * number)

    both = ("core", "forward")
    boat = making.assembly([*(frame(n, both) for n in (1, 2, 3, 4)), frame(5, ("core",))], strongback=making.rails())
    found = [f for f in PAIR.run(boat) if "no ply" in f.message]
    assert [(f.frame, f.level) for f in found] == [("5", Level.WARNING)] * 2
    alike = making.assembly([frame(n, ("core",)) for n in (1, 2, 3)], strongback=making.rails())
    assert not [f for f in PAIR.run(alike) if "no ply" in f.message]


@pytest.mark.parametrize(("kind", "number", "face", "missed"), [
    ("transom", 1, "aft", False), ("transom", 1, "forward", True),  # the stern: outside is aft
    ("transom", 5, "forward", False), ("transom", 5, "aft", True),
    ("bulkhead", 1, "aft", True), ("open", 5, "forward", True),
])  # fmt: skip
def test_a_transom_wants_no_ply_on_its_outer_face(kind, number, face, missed):
    """The legs of all other frames have a ply on this face; those of the one stand on its other."""

    def frame(n):
        on = face if n != number else {"aft": "forward", "forward": "aft"}[face]
        plies = [making.part(f"{side} leg", outline, role="leg", face=on)
                 for side, outline in zip(("port", "starboard"), legs, strict=True)]  # fmt: skip
        own = kind if n == number else "open"
        return making.frame([legged.floor(), *plies], number=str(n), station=1000.0 * n, kind=own)

    legs = [ply.drawn for side in (1, -1) for ply in legged.plies(side) if ply.face == "forward"]
    boat = making.assembly([frame(n) for n in (1, 2, 3, 4, 5)], strongback=making.rails())
    found = [f for f in PAIR.run(boat) if "no ply" in f.message]
    assert [f.frame for f in found] == [str(number)] * 2 * missed
