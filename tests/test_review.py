"""Findings in order, waivers, and notes on what was not judged."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import making
from test_assemble import PLAN, boat

from scrieve.model import review as reviewing
from scrieve.model.plan.plan import Waiver
from scrieve.shared.findings import Level


def fouling():
    parts = [
        making.part("floor", making.rectangle(0, 0, 400, 100)),
        making.part("side", making.rectangle(300, 20, 500, 90)),
    ]
    return making.assembly([making.frame(parts)], cutter=10.0)  # without one, a note says so


def review(boat, waivers=(), **how):
    return reviewing.review(replace(boat, waivers=tuple(waivers)), **how)


def waiver(where, check="foul", until=None):
    return Waiver(check=check, where=where, reason="pulled later", until=until)


def test_a_waived_finding_stays_and_carries_the_reason():
    for where in ("F5", "F5 floor", "F5 side"):
        (finding,) = review(fouling(), only=["foul"], waivers=[waiver(where)])
        assert (finding.check, finding.level, finding.waived) == ("foul", Level.ERROR, "pulled later")


def test_a_waiver_past_its_date_counts_no_more():
    old = waiver("F5", until=date(2026, 1, 1))
    assert review(fouling(), waivers=[old], today=date(2026, 1, 1))[0].waived
    assert not review(fouling(), waivers=[old], today=date(2026, 1, 2))[0].waived


def test_and_says_since_when():
    old = waiver("F5", until=date(2026, 1, 1))
    (last_day,) = review(fouling(), only=["foul"], waivers=[old], today=date(2026, 1, 1))
    assert last_day.waived
    (finding, note) = review(fouling(), only=["foul"], waivers=[old], today=date(2026, 1, 2))
    assert (finding.level, finding.waived) == (Level.ERROR, "")
    assert (note.check, note.level, note.source) == ("foul", Level.NOTE, fouling().source)
    assert note.message == 'the waiver of foul at "F5" ran out on 2026-01-01: its finding counts again'
    assert note.cure == "mend what it accepted, or set a later `until` in the plan and say why"
    assert review(fouling(), only=["foul"], waivers=[old]) == (last_day,)
    # the day makes no other difference: a year later the same is said
    assert review(fouling(), only=["foul"], waivers=[old], today=date(2027, 1, 2)) == (finding, note)


def test_a_waiver_past_its_date_that_another_takes_up_or_that_meets_nothing_has_nothing_to_count_again():
    old, new = waiver("F5", until=date(2026, 1, 1)), waiver("F5 floor", until=date(2026, 6, 1))
    (finding,) = review(fouling(), only=["foul"], waivers=[old, new], today=date(2026, 3, 1))
    assert finding.waived
    _, note = review(fouling(), only=["foul"], waivers=[waiver("F6", until=date(2026, 1, 1))], today=date(2026, 3, 1))
    assert note.message == 'the waiver of foul at "F6" meets no finding'


def test_a_waiver_past_its_date_tells_how_many_findings_count_again():
    boat = fouling()
    third = making.part("knee", making.rectangle(350, 30, 600, 80))
    boat = making.assembly([making.frame([*boat.frames[0].parts, third])], cutter=10.0)
    found = review(boat, only=["foul"], waivers=[waiver("F5", until=date(2026, 1, 1))], today=date(2026, 1, 2))
    count = sum(finding.level is Level.ERROR for finding in found)
    assert count > 1
    assert found[-1].message.endswith(f"its {count} findings count again")


def test_a_waiver_that_meets_nothing_is_a_note():
    finding, note = review(fouling(), only=["foul"], waivers=[waiver("F6")])
    assert not finding.waived
    assert note.level is Level.NOTE
    assert note.message == 'the waiver of foul at "F6" meets no finding'


def test_a_waiver_of_a_check_that_did_not_run_is_not_told():
    assert len(review(fouling(), only=["foul"], waivers=[waiver("F5", check="corner")])) == 1


def test_only_and_skip():
    assert {finding.check for finding in review(fouling(), only=["foul"])} == {"foul"}
    assert review(fouling(), only=["foul"], skip=["foul"]) == ()


def notes(tmp_path, **plan):
    return [defect.message for defect in boat(tmp_path, plan={**PLAN, **plan}).defects]


def test_gusseted_frames_without_screws_are_told(tmp_path):
    layers = {name: layer for name, layer in PLAN["layers"].items() if name != "SCREWS FWD"}
    said = notes(tmp_path, layers=layers, screws={})
    assert "no screws are drawn through gussets in F1, F2: nothing about them was checked there" in said
    (laid,) = (message for message in notes(tmp_path, layers=layers) if message.startswith("no screws are drawn"))
    assert laid.endswith("of No. 8 x 3/4 in were laid out there by computation, and those the checks looked at")
