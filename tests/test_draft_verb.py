"""What `scrieve draft` says of the files that it wrote."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from verbs_making import stand_in_boats  # noqa: F401  a fixture; it settles the terminal too

from scrieve.shared.cautions import FIT_ONLY
from scrieve.viewer.verbs import draft as draft_verb
from scrieve.viewer.verbs.commands import run


def test_draft_names_each_file_its_remarks_and_what_to_do_next(monkeypatch, capsys):
    @dataclass
    class StandInDraft:
        files: tuple[Path, ...] = (Path("b/plan.toml"), Path("b/frames/1.dxf"))
        remarks: tuple[str, ...] = ("Screws are left out.",)

    calls = []

    def draft(lines: Path, folder: Path, *, replace: bool) -> StandInDraft:
        calls.append((lines, folder, replace))
        return StandInDraft()

    monkeypatch.setattr(draft_verb, "draft_plan", draft)
    assert run(["draft", "lines.toml", "b", "--replace"]) == 0
    assert calls == [(Path("lines.toml"), Path("b"), True)]
    assert capsys.readouterr().out == (
        f"wrote {Path('b/plan.toml')}\n"
        f"wrote {Path('b/frames/1.dxf')}\n"
        "\n"
        "Screws are left out.\n"
        "\n"
        "To see whether it fits: scrieve check b\n"
        f"{FIT_ONLY}\n"
    )
