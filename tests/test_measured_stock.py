"""`check --measured`: the stock as the caliper has it, without a change of the plan."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import jsonschema
import pytest

from scrieve.model.assemble import assemble
from scrieve.model.plan.plan_reader import edited, read_plan, remeasured
from scrieve.shared.errors import UseError
from scrieve.viewer.verbs.commands import run
from scrieve.viewer.verbs.measured_stock import measured_stock, readings

ROOT = Path(__file__).parents[1]
PRAM = str(ROOT / "hulls" / "pram")
THIN = 8.4
"""mm, of a stock of 9: far enough off to be found."""


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict:
    run(["check", *words, "--format", "json", "--fail-on", "never"])
    return json.loads(capsys.readouterr().out)


def test_it_finds_what_it_would_if_the_plan_said_so(tmp_path, capsys):
    plan = tmp_path / "pram"
    shutil.copytree(PRAM, plan)
    text = (plan / "plan.toml").read_text(encoding="utf-8")
    stock = "ply9"
    given = told(capsys, PRAM, "--measured", f"{stock}={THIN}")
    line = f"[stock.{stock}]\n"
    assert line in text
    (plan / "plan.toml").write_text(text.replace(line, f"{line}measured = {THIN}\n"), encoding="utf-8")
    written = told(capsys, str(plan))
    assert given["measured"] == {stock: THIN} and "measured" not in written
    said = [
        [(each["check"], each["message"], each["at"]) for each in report["findings"]] for report in (given, written)
    ]
    assert said[0] == said[1]
    assert said[0] != [(each["check"], each["message"], each["at"]) for each in told(capsys, PRAM)["findings"]]
    schema = json.loads((ROOT / "viewer" / "reports" / "findings.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(given, schema)


def test_the_text_says_it_at_its_head_and_no_file_is_changed(capsys):
    before = (Path(PRAM) / "plan.toml").read_bytes()
    assert run(["check", PRAM, "--only", "station", "--measured", "ply9=8.7 mm, ply6=6"]) == 0
    assert "\nMeasured, whatever the plan says: ply6 6 mm, ply9 8.7 mm\n" in capsys.readouterr().out
    assert run(["check", PRAM, "--only", "station", "--measured", "ply12=12"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f'{PRAM}/plan.toml: --measured must name a stock of the plan (got "ply12"')
    assert (Path(PRAM) / "plan.toml").read_bytes() == before


def test_of_several_plans_it_is_said_which_has_no_such_stock_and_once_what_is_no_reading(capsys):
    skiff = str(ROOT / "hulls" / "skiff")
    assert run(["check", PRAM, skiff, "--only", "station", "--measured", "ply6=6"]) == 2
    said = capsys.readouterr()
    assert said.err.startswith(f'{skiff}/plan.toml: --measured must name a stock of the plan (got "ply6"')
    assert (said.err.count("\n"), "pram" in said.out.lower()) == (1, True)
    assert run(["check", PRAM, skiff, "--measured", "nope"]) == 2
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)


def test_what_is_tried_on_the_plan_keeps_it():
    held = remeasured(read_plan(Path(PRAM)), {"ply9": 8.7})
    boat = assemble(held)
    assert edited(held, []).stock["ply9"].real_thickness == 8.7
    for each in (boat, boat.edited([])):
        assert {round(part.thickness, 9) for part in each.parts() if part.stock == "ply9"} == {8.7}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["9"], 'must be a stock and its thickness, such as ply12=11.6 (got "9")'),
        (["ply9=9,ply9=9"], "names ply9 twice"),
        (["ply9=thin"], 'ply9: a length such as "18 mm"'),
        (["ply9=nan"], "ply9: a finite length is wanted"),
        (["ply9=-9"], "ply9: within 30% of the thickness"),
        (["ply9=90"], 'ply9: within 30% of the thickness, 9 mm, is wanted (got "90")'),
        (["ply99=9"], 'must name a stock of the plan (got "ply99"'),
    ],
)
def test_what_is_no_reading_is_refused_in_a_line(words, said):
    plan = read_plan(Path(PRAM))
    with pytest.raises(UseError) as refused:
        readings(measured_stock(words), plan)
    assert any(said in mistake.what for mistake in refused.value.mistakes)


def test_a_bare_number_is_in_the_units_of_the_plan():
    plan = read_plan(Path(PRAM))
    assert readings(measured_stock(["ply9=0.35 in", "ply6 = 5.9"]), plan) == {"ply9": pytest.approx(8.89), "ply6": 5.9}
