"""The JSON report, byte for byte."""

from __future__ import annotations

import json
import math
from importlib.resources import files
from pathlib import Path

import jsonschema
import making

from scrieve.model import check, open_plan
from scrieve.shared.edits import Move, SetKey, Target
from scrieve.shared.findings import Finding, Level, Measure, Source
from scrieve.shared.marks import Ghost, Prism, Span
from scrieve.viewer.reports.json_report import json_report
from scrieve.viewer.reports.report import Report

FOUL = making.finding(
    check="screw-foul",
    level=Level.ERROR,
    frame="5",
    parts=("F5 aft screw 2", "F5 forward screw 3"),
    at=(2300.0, -612.34004999, -0.00001),
    measured=2.1,
    limit=5.166,
    unit="mm",
    message="F5 aft screw 2 and F5 forward screw 3 foul",
    cure="move one",
    source=Source(file="frames/5.dxf", handle="2F"),
)
BARE = Finding(check="board", level=Level.NOTE, message="Blåhval's board")
WAIVED = Finding(check="foul", level=Level.ERROR, message="m", waived="so", source=Source(file="plan.toml", line=3))


def report(*findings: Finding, plan: str = "hulls/burdock") -> Report:
    return Report(plan=plan, boat="Burdock", findings=findings)


def test_one_plan_is_one_object_with_its_keys_in_this_order():
    assert json_report([report(FOUL, BARE, WAIVED)], several=False) == (
        "{\n"
        '  "version": 1,\n'
        '  "plan": "hulls/burdock",\n'
        '  "counts": {"error": 1, "warning": 0, "note": 1, "waived": 1, "held": 0},\n'
        '  "findings": [\n'
        '    {"check": "screw-foul", "level": "error", "frame": "5", '
        '"parts": ["F5 aft screw 2", "F5 forward screw 3"], "at": [2300.0, -612.34, 0.0], '
        '"measured": 2.1, "limit": 5.166, "unit": "mm", "message": "F5 aft screw 2 and F5 forward screw 3 foul", '
        '"cure": "move one", "source": {"file": "frames/5.dxf", "line": null, "handle": "2F"}, "waived": "", '
        '"subjects": [{"kind": "part", "name": "F5 aft screw 2", "frame": ""}, '
        '{"kind": "part", "name": "F5 forward screw 3", "frame": ""}], '
        '"measure": {"value": 2.1, "limit": 5.166, "unit": "mm", "sense": "most"}, '
        '"evidence": [], "edits": [], "because": null},\n'
        '    {"check": "board", "level": "note", "frame": "", "parts": [], "at": null, "measured": null, '
        '"limit": null, "unit": "", "message": "Bl\\u00e5hval\'s board", "cure": "", "source": null, "waived": "", '
        '"subjects": [], "measure": null, "evidence": [], "edits": [], "because": null},\n'
        '    {"check": "foul", "level": "error", "frame": "", "parts": [], "at": null, "measured": null, '
        '"limit": null, "unit": "", "message": "m", "cure": "", '
        '"source": {"file": "plan.toml", "line": 3, "handle": ""}, "waived": "so", '
        '"subjects": [], "measure": null, "evidence": [], "edits": [], "because": null}\n'
        "  ]\n"
        "}\n"
    )


def test_a_clean_plan_has_an_empty_list():
    read = json.loads(json_report([report()], several=False))
    assert read["findings"] == []
    assert read["counts"] == {"error": 0, "warning": 0, "note": 0, "waived": 0, "held": 0}


def test_several_plans_stand_under_plans_even_if_only_one_of_them_could_be_read():
    read = json.loads(json_report([report(FOUL, plan="a"), report(plan="b")], several=True))
    assert [plan["plan"] for plan in read["plans"]] == ["a", "b"]
    assert list(read) == ["plans"]
    assert read["plans"][0] == json.loads(json_report([report(FOUL, plan="a")], several=False))
    assert len(json.loads(json_report([report()], several=True))["plans"]) == 1


def test_what_is_no_number_in_json_is_null():
    odd = making.finding(at=(1.0, math.nan, 2.0), measured=math.inf, limit=-math.inf)
    (read,) = json.loads(json_report([report(odd)], several=False))["findings"]
    assert (read["at"], read["measured"], read["limit"]) == (None, None, None)


def test_whole_numbers_and_fractions_are_numbers_of_one_kind():
    (read,) = json.loads(json_report([report(making.finding(measured=1, limit=2))], several=False))["findings"]
    assert (repr(read["measured"]), repr(read["limit"])) == ("1.0", "2.0")


def test_the_text_is_ascii_whatever_the_labels_hold():
    strange = Finding(check="c", level=Level.NOTE, message='" \\ \x1b \n \udc80 ° 舟')
    text = json_report([report(strange, plan="h\udce4l")], several=False)
    assert text.isascii()
    assert json.loads(text)["findings"][0]["message"] == strange.message


def test_a_finding_a_line_keeps_differences_readable():
    lines = json_report([report(FOUL, BARE)], several=False).splitlines()
    assert [line.strip().startswith('{"check"') for line in lines].count(True) == 2


# ---- the schema that is shipped

SCHEMA = json.loads((files("scrieve.viewer.reports") / "findings.schema.json").read_text(encoding="utf-8"))
VALID = jsonschema.Draft202012Validator(SCHEMA)
HULLS = Path(__file__).parents[1] / "hulls"


def read_back(name: str) -> dict:
    boat = open_plan(HULLS / name)
    made = Report.of(boat, check(boat), plan=f"hulls/{name}", ran=(), left_out=())
    return json.loads(json_report([made], several=False))


def test_what_is_written_of_the_demonstration_boats_meets_the_schema():
    VALID.check_schema(SCHEMA)
    faulty = read_back("skiff-with-faults")
    for read in (faulty, {"plans": [faulty, read_back("pram")]}):
        assert [error.message for error in VALID.iter_errors(read)] == []
    marks = [mark for finding in faulty["findings"] for mark in finding["evidence"]]
    assert {mark["mark"] for mark in marks} == {"span", "region", "line", "arrow", "axis", "ghost"}
    assert any("triangles" in mark for mark in marks)
    edits = [edit for finding in faulty["findings"] for edit in finding["edits"]]
    assert {edit["edit"] for edit in edits} == {"move", "reshape", "remove", "add", "relabel", "set"}


def test_marks_and_measure_are_those_of_the_finding_rounded():
    span = Span(start=(0.0, 0.0, 0.00004), end=(3.0, 4.0, 0.0), frame="5")
    solid = Prism(rings=(((0, 0, 0), (9, 0, 0), (9, 9, 0)), ((1, 1, 0), (2, 1, 0), (2, 2, 0))), through=(0, 0, 1 / 3))
    measure = Measure(value=5.00001, limit=6.0, sense="least", words="{value} and {limit}")
    one = Finding(check="c", level=Level.NOTE, message="m", evidence=(span, Ghost(solid=solid)), measure=measure)
    whole = json.loads(json_report([report(one)], several=False))
    assert VALID.is_valid(whole)
    (read,) = whole["findings"]
    assert read["measure"] == {"value": 5.0, "limit": 6.0, "unit": "mm", "sense": "least"}
    drawn, ghost = read["evidence"]
    assert drawn == {"mark": "span", "points": [[0.0, 0.0, 0.0], [3.0, 4.0, 0.0]], "frame": "5", "words": ""}
    assert (len(ghost["points"]), ghost["holes"][0][2], ghost["through"]) == (3, [2.0, 2.0, 0.0], [0.0, 0.0, 0.3333])


def test_edits_say_all_that_they_hold_rounded_to_a_millionth_of_the_drawings_unit():
    on = Target(name="F5 dowel 1", frame="5", file="frames/5.dxf", layer="DOWELS", unit="m", handles=("2F", "30"))
    moved = Move(target=on, start=(0.12345649, -0.0), end=(1.0, 2.0), sure=True)
    key = SetKey(file="plan.toml", key=("frames", 0, "origin"), value="[0, 6]", start=(3, 1), end=(3, 9), text="[0, 6]")
    one = Finding(check="c", level=Level.NOTE, message="m", edits=(moved, key))
    whole = json.loads(json_report([report(one)], several=False))
    assert [error.message for error in VALID.iter_errors(whole)] == []
    first, second = whole["findings"][0]["edits"]
    assert first == {
        "edit": "move", "sure": True, "start": [0.123456, 0.0], "end": [1.0, 2.0], "along": [], "after": False,
        "target": {
            "name": "F5 dowel 1", "frame": "5", "file": "frames/5.dxf", "layer": "DOWELS", "unit": "m",
            "handles": ["2F", "30"],
        },
    }  # fmt: skip
    assert (second["edit"], second["key"], second["start"]) == ("set", ["frames", 0, "origin"], [3, 1])


def test_the_schema_refuses_what_is_wrong():
    sound = read_back("pram")
    assert VALID.is_valid(sound)
    for path, value in (
        (("version",), 2),
        (("findings", 0, "level"), "fatal"),
        (("findings", 0, "at"), [1.0, 2.0]),
        (("findings", 0, "colour"), "red"),
        (("findings", 0, "source"), {"file": "plan.toml"}),
        (("findings", 0, "subjects"), [{"kind": "mast", "name": "m", "frame": ""}]),
        (("findings", 0, "evidence"), [{"mark": "span", "points": [[0, 0, 0]], "frame": "", "words": ""}]),
        (("findings", 0, "evidence"), [{"mark": "axis", "points": [[0, 0, 0], [0, 0, 1]], "frame": "", "words": ""}]),
        (("findings", 0, "edits"), [{"edit": "move", "sure": True}]),
        (("findings", 0, "edits"), [{"edit": "relabel", "sure": True, "target": {}, "was": "a", "text": "b"}]),
    ):
        spoilt = json.loads(json.dumps(sound))
        place = spoilt
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] = value
        assert not VALID.is_valid(spoilt), path
