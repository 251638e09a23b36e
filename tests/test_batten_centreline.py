"""A batten drawn on the centreline of which the plan says that there is one on each side."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
import replanning
from faults import HULLS
from replanning import as_toml

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.review import review
from scrieve.shared.findings import Level

PLAN = {
    "plan": {"name": "Test boat", "units": "mm", "seen": "from aft"},
    "cutter": {"diameter": 10},
    "stock": {"ply12": {"thickness": 12}},
    "layers": {"CORE": {"makes": "part", "face": "core", "stock": "ply12"}, "BATTENS": {"makes": "batten"}},
}
LONG, SHORT = 40.0, 20.0


def boat(folder: Path, sides: str, *left: float, mirror: bool = False) -> Assembly:
    """Three frames, each with sections of the keel that begin at these u, port being at negative u.

    With `mirror` what lies to port alone is drawn.
    """
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    space.add_lwpolyline(
        _port_half([(-300, 0), (300, 0), (300, 100), (-300, 100)], mirror), close=True, dxfattribs={"layer": "CORE"}
    )
    space.add_text("floor", dxfattribs={"layer": "CORE", "insert": (-200, 50)})
    for u in left:
        corners = [(u, 100), (u + LONG, 100), (u + LONG, 120), (u, 120)]
        space.add_lwpolyline(_port_half(corners, mirror), close=True, dxfattribs={"layer": "BATTENS"})
        space.add_text("keel", dxfattribs={"layer": "BATTENS", "insert": (u + 5, 110)})
    document.saveas(folder / "frame.dxf")
    frames = [{"number": str(n), "station": 500 * n, "drawing": "frame.dxf", "mirror": mirror} for n in range(1, 4)]
    plan = {**PLAN, "battens": {"keel": {"section": [LONG, SHORT], "sides": sides}}, "frames": frames}
    (folder / "plan.toml").write_text(as_toml(plan), encoding="utf-8")
    return assemble(read_plan(folder))


def _port_half(corners: list[tuple[float, float]], mirror: bool) -> list[tuple[float, float]]:
    return [(min(u, 0.0), v) for u, v in corners] if mirror else corners


def on_the_centreline(assembly: Assembly) -> list[str]:
    return [f.message for f in review(assembly, only=["outline"]) if "centreline" in f.message]


def names(assembly: Assembly) -> list[str]:
    return [batten.name for batten in assembly.battens]


@pytest.mark.parametrize("left", [-20.0, -20.3, -35.0, -5.0, -0.51, -39.49])
def test_a_batten_across_the_centreline_is_not_one_of_two(left, tmp_path):
    found = boat(tmp_path, "both", left)
    assert names(found) == []
    (finding,) = (f for f in review(found, only=["outline"]) if f.level is Level.ERROR)
    assert finding.message == (
        'the keel is drawn on the centreline in F1, F2, F3, but the plan says sides = "both" of it: it is not checked'
    )
    assert finding.cure == 'set battens.keel.sides to "centre", or draw its sections clear of the centreline'
    assert (finding.source.file, finding.source.line > 1) == ("plan.toml", True)
    assert [f for f in review(found, only=["outline"]) if "no frame drawing shows" in f.message] == []


@pytest.mark.parametrize("left", [(-40.0, 0.0), (-39.5, -0.5), (-60.0, 20.0)])
def test_two_that_butt_on_the_centreline_are_two(left, tmp_path):
    found = boat(tmp_path, "both", *left)
    assert names(found) == ["port keel", "starboard keel"]
    assert on_the_centreline(found) == []


@pytest.mark.parametrize("sides", ["port", "starboard"])
@pytest.mark.parametrize(("off", "told"), [(0.0, True), (0.4, True), (0.6, False)])
def test_a_batten_of_one_side_may_reach_over_the_centreline_but_not_lie_on_it(sides, off, told, tmp_path):
    port = 1.0 if sides == "port" else -1.0
    found = boat(tmp_path, sides, -LONG / 2 - port * off)
    assert bool(on_the_centreline(found)) is told
    assert names(found) == ([] if told else [f"{sides} keel"])


def test_set_as_the_cure_says_it_is_followed(tmp_path):
    found = boat(tmp_path, "centre", -20.0)
    assert names(found) == ["keel"]
    assert [f.level for f in review(found, only=["outline"]) if f.level is Level.ERROR] == []


def test_so_it_is_where_the_port_half_alone_is_drawn(tmp_path):
    assert len(on_the_centreline(boat(tmp_path, "both", -20.0, mirror=True))) == 1


def test_the_skiffs_keel_gives_one_error_and_no_starboard_keel(tmp_path):
    plan = replanning.copy_of(HULLS / "skiff", tmp_path / "skiff")
    replanning.change_plan(plan, lambda content: content["battens"]["keel"].update(sides="both"))
    read = assemble(read_plan(plan))
    assert not any("keel" in name for name in names(read))
    assert len([f for f in review(read) if f.level is Level.ERROR]) == 1
