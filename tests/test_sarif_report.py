"""The SARIF report, held against the published schema of SARIF 2.1.0."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from carrying_out import replaced
from reported import BOAT, FOUL, HOSTILE, ROOT, STATION, UNREAD, WAIVED, finding, report

from scrieve.model import check, open_plan
from scrieve.model.checks import CHECKS
from scrieve.shared.cautions import FIT_ONLY
from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Level, Measure, Source, Subject
from scrieve.viewer.reports.report import Report
from scrieve.viewer.reports.sarif_report import sarif_report

SCHEMA = json.loads((Path(__file__).parent / "reference" / "sarif-2.1.0.json").read_text(encoding="utf-8"))
FAULTY = Path(__file__).parents[1] / "hulls" / "skiff-with-faults"
VALID = jsonschema.Draft4Validator(SCHEMA)


def written(*reports, unread=None) -> dict:
    """The log, after it has met the schema."""
    text = sarif_report(reports, unread=unread or {}, here=ROOT)
    log = json.loads(text)
    assert [error.message for error in VALID.iter_errors(log)] == []
    assert text.isascii() and text.endswith("}\n")
    return log


def results(*findings, **more) -> list[dict]:
    return written(report(*findings, **more))["runs"][0]["results"]


def test_the_schema_is_one_that_refuses_what_is_wrong():
    log = written(report(FOUL))
    assert VALID.is_valid(log)
    for path, value in (
        (("version",), "2.0.0"),
        (("runs", 0, "results", 0, "level"), "fatal"),
        (("runs", 0, "results", 0, "line"), 3),
        (("runs", 0, "results", 0, "suppressions"), [{"justification": "no kind"}]),
        (("runs", 0, "results", 0, "locations", 0, "physicalLocation", "region"), {"startLine": 0}),
    ):
        spoilt = json.loads(json.dumps(log))
        place = spoilt
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] = value
        assert not VALID.is_valid(spoilt), path


def test_a_result_is_all_of_this():
    (result,) = results(FOUL)
    assert result == {
        "ruleId": "screw-foul",
        "ruleIndex": 2,
        "level": "error",
        "message": {"text": "F5 aft screw 2 and F5 forward screw 3 foul. Cure: move one."},
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": "hulls/burdock/frames/5.dxf", "uriBaseId": "%SRCROOT%"}
                },
                "logicalLocations": [
                    {"name": "F5", "kind": "frame"},
                    {"name": "F5 aft screw 2", "kind": "part"},
                    {"name": "F5 forward screw 3", "kind": "part"},
                ],
            }
        ],
        "relatedLocations": [],
        "partialFingerprints": result["partialFingerprints"],
        "suppressions": [],
        "fixes": [],
        "properties": {"at": [2300.0, -612.34, 0.0], "measured": 2.1, "limit": 5.166, "unit": "mm", "handle": "2F"},
    }


def test_a_region_stands_only_where_there_is_a_line():
    station, boat = results(STATION, BOAT)
    assert station["locations"][0]["physicalLocation"]["region"] == {"startLine": 41}
    physical = boat["locations"][0]["physicalLocation"]
    assert physical == {"artifactLocation": {"uri": "hulls/burdock/plan.toml", "uriBaseId": "%SRCROOT%"}}
    assert "logicalLocations" not in boat["locations"][0]


def test_what_else_it_is_about_is_a_related_location_each_in_its_own_file():
    screw, part, board = (
        Subject(kind="screw", name="F5 aft screw 2", frame="5"),
        Subject(kind="part", name="F6 {floor}", frame="6"),
        Subject(kind="board", name="assembly board"),
    )
    files = {screw: FOUL.source, part: Source(file="frames/6.dxf", handle="A"), board: Source(file="plan.toml", line=9)}
    (result,) = results(replace(FOUL, subjects=(screw, part, board)), sources=files)
    floor, plan = result["relatedLocations"]
    assert floor["physicalLocation"]["artifactLocation"]["uri"] == "hulls/burdock/frames/6.dxf"
    assert floor["logicalLocations"] == [{"name": "F6 {floor}", "kind": "part"}]
    assert floor["message"]["text"] == "F6 {{floor}}"
    assert plan["physicalLocation"]["region"] == {"startLine": 9}


def test_of_a_real_boat_everything_it_is_about_has_its_file():
    boat = open_plan(ROOT / "hulls" / "skiff-with-faults")
    made = Report.of(boat, check(boat), plan="hulls/skiff-with-faults", ran=(), left_out=())
    for one, result in zip(made.findings, written(made)["runs"][0]["results"], strict=True):
        assert len(result["relatedLocations"]) == max(0, len(one.subjects) - 1)
        for place in result["relatedLocations"]:
            uri = place["physicalLocation"]["artifactLocation"]["uri"]
            assert (ROOT / uri).is_file()


def test_levels_are_the_standards_own():
    alike = [finding(str(level), level=level) for level in Level]
    assert [result["level"] for result in results(*alike)] == ["error", "warning", "note"]


def test_a_waived_finding_is_a_suppressed_result_with_its_reason_and_all_results_say_whether():
    waived, foul = results(WAIVED, FOUL)
    assert waived["suppressions"] == [{"kind": "external", "justification": "pulled after the glue sets"}]
    assert waived["level"] == "error"
    assert foul["suppressions"] == []  # 3.27.23: of one run either all results have them, or none


def test_every_check_that_ran_is_a_rule_with_its_page_as_help():
    log = written(report(FOUL, ran=tuple(CHECKS)))
    driver = log["runs"][0]["tool"]["driver"]
    assert [rule["id"] for rule in driver["rules"]] == sorted(CHECKS)
    for rule in driver["rules"]:
        check = CHECKS[rule["id"]]
        assert rule["shortDescription"]["text"] == check.title
        assert rule["defaultConfiguration"]["level"] == str(check.level)
        for words in (check.page.looks_at, check.page.matters, check.page.limit, check.page.cure):
            assert " ".join(words.split()).replace("{", "{{").replace("}", "}}") in rule["help"]["text"]
    (result,) = log["runs"][0]["results"]
    assert driver["rules"][result["ruleIndex"]]["id"] == result["ruleId"]
    assert driver["fullDescription"]["text"] == FIT_ONLY


def test_a_note_on_a_check_that_is_to_come_has_a_rule_too():
    (result,) = results(replace(BOAT, check="to-come"))
    log = written(report(replace(BOAT, check="to-come")))
    assert log["runs"][0]["tool"]["driver"]["rules"][result["ruleIndex"]] == {"id": "to-come"}


# ---- fingerprints


def marks(*findings, **more) -> list[str]:
    return [result["partialFingerprints"]["about/v1"] for result in results(*findings, **more)]


def test_a_fingerprint_survives_moved_lines_numbers_levels_words_and_waiving():
    moved = replace(
        FOUL,
        at=(2301.0, 3.0, 4.0),
        measure=Measure(value=3.3, limit=4.0),
        level=Level.WARNING,
        message="said in other words",
        cure="",
        source=Source(file="frames/all.dxf", line=12),
        waived="so",
    )
    assert marks(moved) == marks(FOUL)
    assert marks(STATION, FOUL)[1] == marks(FOUL)[0]


@pytest.mark.parametrize(
    "other",
    [
        {"check": "foul"},
        {"frame": "6"},
        {"subjects": FOUL.subjects[:1]},
        {"subjects": FOUL.subjects + STATION.subjects},
    ],
)
def test_a_fingerprint_tells_what_findings_are_about(other):
    assert marks(replace(FOUL, **other)) != marks(FOUL)


def test_findings_alike_are_told_apart_by_their_order_and_plans_by_their_path():
    first, second = marks(FOUL, FOUL)
    assert first != second
    assert marks(FOUL) == [first]
    assert marks(FOUL, plan="hulls/other") != [first]


def test_the_name_that_a_host_goes_by_holds_the_same():
    (result,) = results(FOUL)
    assert set(result["partialFingerprints"].values()) == set(marks(FOUL))


# ---- several plans, unread plans, paths


def test_several_plans_are_one_run():
    log = written(report(FOUL, plan="a"), report(STATION, plan="b"))
    (run,) = log["runs"]
    uris = [r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in run["results"]]
    assert uris == ["a/frames/5.dxf", "b/plan.toml"]


def test_a_plan_that_cannot_be_read_is_told_as_the_tools_own_failure():
    (run,) = written(report(FOUL), unread=UNREAD)["runs"]
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False
    first, second = invocation["toolExecutionNotifications"]
    assert (first["level"], first["message"]["text"]) == ("error", "no such key (got 3)")
    assert first["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "hulls/bad/plan.toml", "uriBaseId": "%SRCROOT%"},
        "region": {"startLine": 2},
    }
    assert "region" not in second["locations"][0]["physicalLocation"]
    assert written(report())["runs"][0]["invocations"][0]["executionSuccessful"] is True


def test_paths_are_relative_and_spelled_as_uris():
    (result,) = results(FOUL, plan=str(ROOT / "my boats" / "Blåhval"))
    uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == "my%20boats/Bl%C3%A5hval/frames/5.dxf"


def test_what_labels_hold_stays_text():
    odd = finding(HOSTILE, cure=HOSTILE, parts=(HOSTILE,), measured=float("nan"), limit=float("inf"), at=(0, 1, 2e400))
    (result,) = results(odd)
    assert "\\x1b[2J\\x00" in result["message"]["text"] and "{{0}}" in result["message"]["text"]
    assert result["properties"] == {}


def test_a_clean_boat_has_an_empty_list_of_results():
    assert written(report())["runs"][0]["results"] == []


def test_fixes_are_replacements_of_the_plans_text_and_give_a_plan_that_reads():
    """A drawing is no text: its edits are among the properties, and no part of a cure is offered for all of it."""
    boat = open_plan(FAULTY)
    found = check(boat)
    one = Report.of(boat, found, plan=str(FAULTY), ran=(), left_out=())
    log = json.loads(sarif_report([one], unread={}, here=FAULTY.parent))
    assert [error.message for error in VALID.iter_errors(log)] == []
    text = (FAULTY / "plan.toml").read_text(encoding="utf-8")
    offered = 0
    for each, result in zip(found, log["runs"][0]["results"], strict=True):
        assert len(result["properties"].get("edits", ())) == len(each.edits)
        if not each.edits or not all(isinstance(edit, SetKey) for edit in each.edits):
            assert result["fixes"] == []
            continue
        offered += 1
        (fix,) = result["fixes"]
        (change,) = fix["artifactChanges"]
        assert change["artifactLocation"]["uri"] == "skiff-with-faults/plan.toml"
        (edit,), (new,) = each.edits, change["replacements"]
        region = new["deletedRegion"]
        lines = text.splitlines(keepends=True)
        at = [sum(map(len, lines[: region[f"{end}Line"] - 1])) + region[f"{end}Column"] - 1 for end in ("start", "end")]
        fixed = text[: at[0]] + new["insertedContent"]["text"] + text[at[1] :]
        assert fixed == replaced(text, edit)
        value = tomllib.loads(fixed)
        for key in edit.key:
            value = value[key]
    assert offered > 3
