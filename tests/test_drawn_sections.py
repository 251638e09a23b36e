"""How sections are drawn in a raked frame: as its plane cuts the batten, or in true size, turned either way."""

import drawings
import making
import numpy as np
import pytest
from replanning import as_toml

from scrieve.model import check, open_plan
from scrieve.model.geometry.placement import Placement

LONG, SHORT = 38.0, 19.0
ENDS = (0.0, 2000.0)
RAKE = np.radians(25)


def straight(slope, angle):
    """A batten through (500, 200) at x = 1000, its long side at an angle in the transverse plane."""
    places = [(x, (500 + slope[0] * (x - 1000), 200 + slope[1] * (x - 1000))) for x in ENDS]
    sections = [making.section("port clamp", place, angle=angle, frame=f"{x:g}") for x, place in places]
    placements = [Placement(station=x, rake=0.0) for x in ENDS]
    return making.batten("port clamp", sections, placements, long=LONG, short=SHORT, arris=0.0)


def board(space, passage):
    """A board with a hole in which the batten fits."""
    drawings.rectangle(space, 100, -300, 900, 700)
    drawings.polyline(space, list(passage.exterior.coords)[:-1])
    drawings.text(space, "bulkhead", (110, -290))


def rectangle(centre, angle, size=(LONG, SHORT)):
    along = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-along[1], along[0]])
    return [
        centre + along * a * size[0] / 2 + across * b * size[1] / 2 for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]


def section_drawn(batten, placement, how, larger):
    cuts = batten.cuts([placement], [0.0])
    centre, long, short = cuts.centre[0], cuts.long[0], cuts.short[0]
    if how == "as cut":
        return [
            centre + long * a * LONG * larger / 2 + short * b * SHORT / 2
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
    if how == "true size along the cut":
        return rectangle(centre, np.arctan2(long[1], long[0]), (LONG * larger, SHORT))
    t, way, _ = (each[0] for each in batten.axes(cuts.x))
    level = np.array([-t[1], t[0], 0.0]) / np.hypot(t[0], t[1])
    return rectangle(centre, np.arctan2(way @ np.cross(t, level), way @ level), (LONG * larger, SHORT))


def found(folder, slope, angle, how, *, rake=RAKE, larger=1.0):
    batten = straight(slope, angle)
    frames = []
    for x in (0.0, 1000.0, 2000.0):
        placement = Placement(station=x, rake=rake if x == 1000.0 else 0.0)
        document = drawings.new()
        board(document.modelspace(), batten.passage(placement, 0.0, 18.0))
        outline = section_drawn(batten, placement, *((how, larger) if x == 1000.0 else ("as cut", 1.0)))
        drawings.polyline(document.modelspace(), [tuple(each) for each in outline], layer="BATTENS")
        drawings.text(document.modelspace(), "clamp", tuple(np.mean(outline, axis=0)))
        drawings.saved(folder, document, name=f"{x:g}.dxf")
        frames.append({"number": f"{x:g}", "station": x, "drawing": f"{x:g}.dxf", "origin": [0, 0], "kind": "bulkhead",
                       "rake": float(np.degrees(placement.rake)), "station_at": "aft face"})  # fmt: skip
    plan = {
        "plan": {"name": "Sedge", "units": "mm", "seen": "from forward"},
        "stock": {"ply18": {"thickness": 18}},
        "battens": {"clamp": {"section": [LONG, SHORT], "arris": 0, "sides": "port"}},
        "layers": {
            "CORE": {"makes": "part", "face": "core", "stock": "ply18"},
            "BATTENS": {"makes": "batten"},
            "LABELS": {"makes": "label"},
        },
        "frames": frames,
    }
    (folder / "plan.toml").write_text(as_toml(plan), encoding="utf-8")
    findings = check(open_plan(folder), only=("outline", "notch-foul", "notch-slack"))
    return [finding for finding in findings if finding.level != "note"]


@pytest.mark.parametrize("how", ["as cut", "true size along the cut", "true size along the batten"])
@pytest.mark.parametrize("rake", [RAKE, -RAKE])
@pytest.mark.parametrize(
    ("slope", "angle"), [((0.0, 0.0), 1.2), ((-0.2, 0.15), 1.2), ((0.15, -0.2), 2.2), ((-0.2, 0.2), 0.0)]
)
def test_a_section_in_a_raked_frame_is_read_as_it_is_drawn(tmp_path, slope, angle, how, rake):
    assert found(tmp_path, slope, angle, how, rake=rake) == []


@pytest.mark.parametrize("how", ["as cut", "true size along the cut", "true size along the batten"])
def test_a_section_of_another_size_is_told_however_it_is_drawn(tmp_path, how):
    (size,) = [f for f in found(tmp_path, (-0.2, 0.15), 1.2, how, larger=0.9) if f.check == "outline"]
    assert "the section of the port clamp is drawn" in size.message


def test_the_slope_of_the_batten_counts_in_an_upright_frame_too(tmp_path):
    assert found(tmp_path, (0.0, 0.35), 0.0, "as cut", rake=0.0) == []
