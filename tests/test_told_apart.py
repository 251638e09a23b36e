"""What was measured and its limit never read alike: every check, its limit set to just short of what it measures."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import making
import pytest
from faults import FAULTY

from scrieve.model.assemble import assemble
from scrieve.model.boat.assembly import Assembly
from scrieve.model.checks import CHECKS
from scrieve.model.plan.plan_reader import read_plan
from scrieve.shared.findings import Finding
from scrieve.shared.limits import Limits
from scrieve.shared.tolerances import ROUNDING
from scrieve.shared.wording import formatted

JUST = ROUNDING + 5e-4
"""Of the unit a limit is told in: less than two decimals show, more than the rounding of a drawing."""

SILENT = {
    *(
        "corner",
        "dowel-hold",
        "label",
        "leg-pair",
        "notch-empty",
        "notch-missing",
        "outline",
        "screw-count",
        "station",
        "way-in",
    ),
    *("bend", "board", "joint-bare", "screw-foul"),
}
"""Checks of which nothing in the faulty boat is measured against a limit that a plan may set; `bend`, `board` and
`screw-foul` are looked at by themselves."""


@pytest.fixture(scope="module")
def boat() -> Assembly:
    """The skiff with a fault for nearly every check."""
    return assemble(read_plan(FAULTY))


def just_beyond(boat: Assembly, slug: str) -> Iterator[Finding]:
    """The findings of a check that are beyond a limit by next to nothing, once that is set so for each of them."""
    check = CHECKS[slug]
    for finding in check.run(boat):
        if not finding.limit or (finding.measured or 0.0) <= 0.0:
            continue
        wanted = [finding.measured - JUST, finding.measured + JUST]
        for name in check.limits:
            now = boat.limits[name]
            for value in (
                *(now * limit / finding.limit for limit in wanted),
                *(now + w - finding.limit for w in wanted),
            ):
                for again in check.run(replace(boat, limits=Limits({**boat.limits, name: max(value, 0.0)}))):
                    if again.measured and again.limit and 0 < abs(again.measured - again.limit) < 2 * JUST:
                        yield again


@pytest.mark.parametrize("slug", sorted(set(CHECKS) - SILENT))
def test_a_finding_tells_them_apart(boat, slug):
    found = list(just_beyond(boat, slug))
    assert found
    for finding in found:
        measured, limit = finding.measured, finding.limit
        assert formatted(measured, limit) != formatted(limit, measured)
        assert any(formatted(measured, limit, least=least) in finding.message for least in (2, 1, 0)), finding.message
        assert f" {formatted(limit)} mm" not in finding.message.replace(formatted(limit, measured), ""), finding.message


@pytest.mark.parametrize("slug", sorted(CHECKS))
def test_a_sentence_rounds_what_is_measured_and_its_limit_as_a_picture_does(boat, slug):
    for finding in CHECKS[slug].run(boat):
        for value in (finding.measured, finding.limit) if finding.unit == "mm" else ():
            for number in re.findall(r"(?<![\d.])(\d+(?:\.\d)?) mm", finding.message):
                places = len(number.partition(".")[2])
                rounded = value is not None and round(abs(value), places) == float(number)
                assert not rounded or abs(float(number) - abs(value)) < 0.005, finding.message


def test_two_screws_a_hair_too_near_are_told_apart_from_what_is_wanted():
    board = making.part("floor", making.rectangle(-100, -100, 100, 100))
    apart = making.NO_8.head_diameter - JUST
    screws = [making.screw([board], at, name=f"screw {n}") for n, at in enumerate([(0, 0), (apart, 0)])]
    boat = making.assembly([making.frame([board], screws=screws)])
    (finding,) = CHECKS["screw-foul"].run(boat)
    first, second = formatted(finding.measured, finding.limit), formatted(finding.limit, finding.measured)
    assert f"axes {first} mm apart" in finding.message
    assert finding.message.endswith(f" {second} mm")
    assert 0 < float(second) - float(first) < 2 * JUST
