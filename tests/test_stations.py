"""A frame at a wrong station: named with the station at which all battens run fair, and nothing told that follows."""

from __future__ import annotations

import re
import shutil
from datetime import date
from pathlib import Path

import making
import numpy as np
import pytest
from faults import HULLS
from lines_making import hull
from test_fairness import fair_curves, set_out

from scrieve.model.assemble import assemble
from scrieve.model.boat.batten import Batten
from scrieve.model.geometry.placement import Placement
from scrieve.model.geometry.spline import NaturalSpline
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.relations.battens.bending import too_tight
from scrieve.model.relations.battens.stations import Misplaced, misplaced
from scrieve.model.review import review
from scrieve.shared.findings import Level

LIMIT, BEND = 3.0, 144.0
STATIONS = (190, 800, 1450, 2100, 2700, 3150, 3450)


def stations(battens: tuple[Batten, ...]) -> list[Misplaced]:
    return [each for each in misplaced(battens, LIMIT, BEND) if each.shift is not None]


def battens(x: np.ndarray, curves: np.ndarray) -> tuple[Batten, ...]:
    """A keel, a chine and a sheer through frames at x (n,), their curves (5, n), the frames numbered from 1."""
    places = [Placement(station=float(station)) for station in x]
    return tuple(
        making.batten(
            name,
            [making.section(name, (float(y[n]), float(z[n])), frame=str(n + 1)) for n in range(len(x))],
            places,
        )
        for name, y, z in (
            ("keel", np.zeros(len(x)), curves[0]),
            ("port chine", *curves[1:3]),
            ("port sheer", *curves[3:]),
        )
    )


def boats(count: int, seed: int, *, of_formulas: bool) -> tuple[np.ndarray, np.ndarray]:
    """The stations of a fair boat's frames (n,) and its five curves there (5, n)."""
    pick = np.random.default_rng(seed)
    x = set_out(count, pick, even=bool(pick.integers(2)))
    if of_formulas:
        sorts = [fair_curves(x, pick) for _ in range(5)]
        return x, np.array([sort[str(pick.choice(list(sort)))] for sort in sorts])
    columns = hull(deadrise=float(pick.choice([3, 8, 12, 18, 25])), count=21)
    table = np.array(columns["stations"], dtype=float)
    x = 60 + x * 0.9 * table[-1] / x[-1]
    names = ("keel", "chine.half_breadth", "chine.height", "sheer.half_breadth", "sheer.height")
    return x, np.array([NaturalSpline.through(table, np.array(columns[name], dtype=float))(x) for name in names])


@pytest.mark.parametrize("of_formulas", [True, False])
@pytest.mark.parametrize("count", [4, 6, 7, 10])
def test_fair_boats_have_none(count, of_formulas):
    for seed in range(12):
        assert stations(battens(*boats(count, seed, of_formulas=of_formulas))) == []


@pytest.mark.parametrize("of_formulas", [True, False])
def test_of_frames_far_out_most_are_named_and_hardly_ever_another(of_formulas):
    named = wrong = tried = 0
    for seed in range(24):
        x, curves = boats(8, seed, of_formulas=of_formulas)
        pick = np.random.default_rng(seed)
        own, by = int(pick.integers(1, 7)), float(pick.choice([-500, -250, 250, 500]))
        drawn = np.where(np.arange(8) == own, x + by, x)
        order = np.argsort(drawn)
        if np.diff(drawn[order]).min() < 40:
            continue
        tried += 1
        for found in stations(battens(drawn[order], curves[:, order])):
            right = order[int(found.frame) - 1] == own
            named += right
            wrong += not right
            if right:
                assert found.shift == pytest.approx(-by, abs=0.25 * abs(by))
    assert wrong == 0
    assert named >= 0.7 * tried


@pytest.mark.parametrize("count", [5, 6, 7])
def test_a_section_that_alone_bends_its_batten_past_its_stock_is_named_with_how_far_it_is_off(count):
    named = right = tried = 0
    for seed in range(60):
        x, curves = boats(count, seed, of_formulas=False)
        sound = battens(x, curves)
        pick = np.random.default_rng(seed)
        row, own, by = int(pick.integers(5)), int(pick.integers(1, count - 1)), float(pick.choice([-40, 40]))
        off = curves.copy()
        off[row, own] += by
        spoilt = battens(x, off)
        batten = [spoilt[n] for n in (0, 1, 1, 2, 2)][row]
        if any(too_tight(each, BEND) for each in sound) or not too_tight(batten, BEND):
            continue
        tried += 1
        for found in misplaced(spoilt, LIMIT, BEND):
            ((told, (y, z)),) = found.offs
            named += 1
            assert found.shift is None and told is batten
            if found.frame == str(own + 1):
                assert (y, z)[row in (0, 2, 4)] == pytest.approx(by, abs=0.5 * abs(by))
            right += str(own + 1) in (found.frame, *dict(found.rivals))
    assert tried > 10
    assert named >= 0.85 * tried
    assert right >= 0.9 * named


def test_a_hull_bent_too_tightly_as_it_is_meant_has_none():
    x = np.linspace(0, 3000, 6)
    round_ = 0.4 * np.sqrt(2500.0**2 - (x - 1500) ** 2)
    tight = battens(x, np.array([0.1 * round_, round_, 300 + 0 * x, 1.1 * round_, 600 + 0 * x]))
    assert any(too_tight(each, 400.0) for each in tight)
    assert misplaced(tight, LIMIT, 400.0) == ()


@pytest.mark.parametrize(("frame", "by"), [(4, 180), (4, -500), (3, 250), (5, -200)])
def test_it_is_one_finding_with_the_station_and_nothing_of_what_follows(frame, by, tmp_path):
    folder = Path(shutil.copytree(HULLS / "skiff", tmp_path / "skiff"))
    plan = folder / "plan.toml"
    right = STATIONS[frame - 1]
    text, times = re.subn(rf"^(station +=) {right}$", rf"\1 {right + by}", plan.read_text(), flags=re.M)
    assert times == 1
    plan.write_text(text)
    found = review(assemble(read_plan(folder)), today=date(2026, 12, 1))
    (error,) = (finding for finding in found if finding.level is Level.ERROR)
    assert (error.check, error.frame) == ("fair", str(frame))
    (said,) = re.findall(r"belongs at station (\d+), not", error.cure)
    assert float(said) == pytest.approx(right, abs=0.08 * abs(by))
    assert not any(finding.level is Level.WARNING for finding in found)
