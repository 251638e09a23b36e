"""The JUnit report: what has failed, passed and been left out, in XML that any reader takes."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from reported import BOAT, FOUL, HOSTILE, ROOT, STATION, UNREAD, WAIVED, finding, report

from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.findings import Level
from scrieve.viewer.reports.junit_report import junit_report


def written(*reports, unread=None, fails_on=Level.ERROR) -> str:
    return junit_report(reports, unread=unread or {}, fails_on=fails_on, here=ROOT)


def cases(text: str) -> dict[str, ElementTree.Element]:
    return {case.get("name"): case for case in ElementTree.fromstring(text).iter("testcase")}


def test_a_report_is_this_to_the_byte():
    assert written(report(FOUL, STATION, WAIVED, BOAT)) == (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<testsuites name="scrieve" tests="5" failures="1" errors="0" skipped="1">\n'
        '  <testsuite name="hulls/burdock" tests="5" failures="1" errors="0" skipped="1">\n'
        f'    <properties><property name="scope" value="{FIT_ONLY}"/></properties>\n'
        '    <testcase classname="hulls/burdock" name="corner">\n'
        "      <skipped/>\n"
        "    </testcase>\n"
        '    <testcase classname="hulls/burdock" name="foul"/>\n'
        '    <testcase classname="hulls/burdock" name="screw-edge">\n'
        "      <system-out>\n"
        "waived error: F2 aft screw 1 stands 3.00 mm from an edge (hulls/burdock/frames/2.dxf, object 3A)\n"
        "accepted: pulled after the glue sets\n"
        "</system-out>\n"
        "    </testcase>\n"
        '    <testcase classname="hulls/burdock" name="screw-foul">\n'
        '      <failure type="error" message="F5 aft screw 2 and F5 forward screw 3 foul">\n'
        "error: F5 aft screw 2 and F5 forward screw 3 foul (hulls/burdock/frames/5.dxf, object 2F)\n"
        "cure: move one\n"
        "</failure>\n"
        "    </testcase>\n"
        '    <testcase classname="hulls/burdock" name="station">\n'
        "      <system-out>\n"
        "warning: F7 is out of order (hulls/burdock/plan.toml:41)\n"
        "cure: number it anew\n"
        "note: the plan has a strongback but no frame has legs (hulls/burdock/plan.toml)\n"
        "</system-out>\n"
        "    </testcase>\n"
        "  </testsuite>\n"
        "</testsuites>\n"
    )


@pytest.mark.parametrize(
    ("fails_on", "failed"),
    [
        (Level.ERROR, {"screw-foul"}),
        (Level.WARNING, {"screw-foul", "station"}),
        (Level.NOTE, {"screw-foul", "station"}),
        (None, set()),
    ],
)
def test_a_check_fails_at_the_failing_level_and_waived_findings_never_fail(fails_on, failed):
    text = written(report(FOUL, STATION, WAIVED, BOAT), fails_on=fails_on)
    assert {name for name, case in cases(text).items() if case.find("failure") is not None} == failed


def test_a_check_that_fails_tells_its_milder_findings_too():
    station = cases(written(report(STATION, BOAT), fails_on=Level.WARNING))["station"]
    assert "out of order" in station.find("failure").text
    assert "no frame has legs" in station.find("system-out").text


def test_several_findings_of_a_check_are_one_failure_that_tells_all():
    failure = cases(written(report(finding("one"), finding("two"), finding("three"))))["foul"].find("failure")
    assert failure.get("message") == "one (and 2 more)"
    assert [line.split(" (")[0] for line in failure.text.split("\n") if line] == ["error: one", "error: two",
                                                                                  "error: three"]  # fmt: skip


def test_the_counts_are_those_of_the_cases_in_every_suite_and_in_all():
    root = ElementTree.fromstring(written(report(FOUL, plan="a"), report(STATION, plan="b"), unread=UNREAD))
    assert len(root) == 3
    for suite in (root, *root):
        counted = {
            "tests": len([*suite.iter("testcase")]),
            "failures": len([*suite.iter("failure")]),
            "errors": len([*suite.iter("error")]),
            "skipped": len([*suite.iter("skipped")]),
        }
        assert {kind: int(suite.get(kind)) for kind in counted} == counted


def test_a_plan_that_cannot_be_read_is_a_case_in_error_with_every_mistake_at_its_place():
    (error,) = ElementTree.fromstring(written(unread=UNREAD)).iter("error")
    assert error.get("message") == "no such key (got 3)"
    assert error.text.strip().split("\n") == [
        "hulls/bad/plan.toml:2: no such key (got 3)",
        "hulls/bad/frames/1.dxf: no such file",
    ]


def test_whatever_labels_hold_it_is_xml_and_in_one_line():
    odd = finding(HOSTILE, cure=HOSTILE, parts=(HOSTILE,))
    text = written(report(odd, plan="h&<\x01"), unread={HOSTILE: UNREAD["hulls/bad"]})
    failure = cases(text)["foul"].find("failure")
    assert failure.get("message") == (
        "label \\x1b[2J\\x00 ::error::a ## [error]b <b>&\"' \\udc80\\ufffe 100% {0} new line"
    )
    assert text.encode("utf-8").decode("utf-8") == text
    assert len(failure.text.strip().split("\n")) == 2


def test_paths_are_told_from_where_the_command_was_given():
    text = written(report(FOUL, plan=str(ROOT / "hulls" / "burdock")))
    assert str(ROOT) not in text
    assert text == written(report(FOUL))
