"""Every check on frames in which something or everything is missing: findings perhaps, never a crash."""

import legged
import making
import notched
import pytest

from scrieve.model.boat.screw import drive
from scrieve.model.checks import CHECKS
from scrieve.model.review import review
from scrieve.shared.findings import Source

X = 1500.0


def lone_screw():
    return drive(
        [],
        name="F7 forward screw 1",
        frame="7",
        size=making.NO_8,
        at=(300.0, 390.0),
        driven_from="forward",
        face=18.0,
        source=Source(file="frames/7.dxf", handle="screw 1"),
    )


def bare(what):
    """A frame with nothing in it but what its name says."""
    section = making.section("port sheer", notched.CENTRE, frame="7")
    more = {
        "nothing": {},
        "screws": {"screws": [lone_screw()]},
        "dowels": {"dowels": [making.dowel((0.0, 50.0), frame="7")]},
        "sections": {"sections": [section]},
        "a gusset": {},
        "a leg": {},
    }[what]
    parts = {
        "a gusset": [making.part("gusset", making.rectangle(200, 300, 400, 400), frame="7", face="forward")],
        "a leg": [making.part("leg", making.rectangle(280, 0, 325, 300), frame="7", role="leg")],
    }.get(what, [])
    return making.frame(parts, number="7", station=X, **more)


@pytest.mark.parametrize("what", ["nothing", "screws", "dowels", "sections", "a gusset", "a leg"])
@pytest.mark.parametrize("alone", [True, False])
@pytest.mark.parametrize("slug", CHECKS)
def test_no_check_falls_over(what, alone, slug):
    frames = [bare(what)] + ([] if alone else [legged.boat().frames[0], notched.frame()])
    sheer = notched.batten()
    boat = making.assembly(frames, battens=[sheer], strongback=making.rails(), cutter=10.0)
    list(CHECKS[slug].run(boat))


@pytest.mark.parametrize("what", ["nothing", "screws", "sections"])
def test_a_frame_without_parts_is_told_to_have_no_legs(what):
    boat = making.assembly([bare(what), legged.boat().frames[0]], strongback=making.rails(), cutter=10.0)
    (finding,) = [f for f in review(boat) if f.check == "leg-pair"]
    assert finding.message == "F7 has no legs to stand on the strongback with"
    assert finding.at == pytest.approx((X + 9.0, 0.0, 0.0))
