"""The pages of the checks."""

from __future__ import annotations

import pytest

from scrieve.model.checks import CHECKS
from scrieve.model.checks.check import Check, Page
from scrieve.shared.findings import Level
from scrieve.shared.limits import LIMITS
from scrieve.viewer.reports.explain_page import listing, page
from scrieve.viewer.reports.style import Style
from scrieve.viewer.verbs.commands import run

HEADINGS = ("What it looks at", "Why it matters", "Limit and where it comes from", "Cure")
EXAMPLE = Check(
    slug="proud",
    title="Parts that stand past the line",
    level=Level.ERROR,
    limits=("proud",),
    page=Page(
        looks_at="Every edge\n  of a part.", matters="The skin lies on it.", limit="By `proud`.", cure="Trim it."
    ),
    on_boat=lambda assembly: iter(()),
)


def test_a_page_reads_like_this():
    assert page(EXAMPLE, Style()) == (
        "proud: Parts that stand past the line (error at worst)\n"
        "\n"
        "What it looks at\n"
        "  Every edge of a part.\n"
        "\n"
        "Why it matters\n"
        "  The skin lies on it.\n"
        "\n"
        "Limit and where it comes from\n"
        "  By `proud`.\n"
        "\n"
        "  proud: 0.3 mm. A part stands past the frame's outer line. Origin: common practice, no source.\n"
        "\n"
        "  To change it, in plan.toml:\n"
        "\n"
        "    [limits]\n"
        "    proud = 0.3\n"
        "\n"
        "Cure\n"
        "  Trim it.\n"
    )


def test_every_check_explains_itself_under_the_four_headings_in_order(capsys):
    assert CHECKS
    for slug in CHECKS:
        assert run(["explain", slug]) == 0
        text = capsys.readouterr().out
        places = [text.index(f"\n{heading}\n") for heading in HEADINGS]
        assert places == sorted(places)


def test_every_limit_of_a_check_is_shown_with_its_default_and_origin():
    for check in CHECKS.values():
        text = page(check, Style())
        for name in check.limits:
            assert f"\n  {name}: {LIMITS[name].default:g}" in text
            assert f"Origin: {LIMITS[name].origin}.\n" in text
            assert f"\n    {name} = {LIMITS[name].default:g}\n" in text


@pytest.mark.parametrize("width", [60, 80])
def test_a_page_keeps_to_the_width(width):
    for check in CHECKS.values():
        assert max(map(len, page(check, Style(width=width)).splitlines())) <= width


def test_without_a_name_every_check_is_listed_with_its_level_and_title(capsys):
    assert run(["explain"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[:2] for line in lines] == [[slug, str(check.level)] for slug, check in CHECKS.items()]
    assert all(line.endswith(check.title) for line, check in zip(lines, CHECKS.values(), strict=True))


def test_the_list_in_colour_holds_the_same_words():
    painted = listing([EXAMPLE], Style(colour=True))
    assert painted.replace("\x1b[1;31m", "").replace("\x1b[0m", "") == listing([EXAMPLE], Style())


def test_an_unknown_check_ends_two_and_names_the_nearest(capsys):
    assert run(["explain", "screw-fool"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == 'scrieve explain: there is no such check (got "screw-fool"; did you mean "screw-foul"?)\n'
