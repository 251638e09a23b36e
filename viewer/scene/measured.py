"""What a finding measures, in words: one way for the window, pictures and drawings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from scrieve.shared.findings import Finding
from scrieve.shared.wording import mm, told


def measured_words(finding: Finding) -> str:
    """What is measured beside what is allowed or wanted: "1.50 mm, 0.20 allowed"; empty where nothing is measured.

    What lies past its limit is over it, or short of it: from that one knows which of the two the limit is.
    """
    own = _OWN.get(finding.check)
    said = own(finding) if own is not None else None
    if said is not None:
        return said
    return _beside(finding, measure_alone(finding)) if measure_alone(finding) else ""


def measure_alone(finding: Finding) -> str:
    """The measure without its limit: "4.00 mm", "156 R/t"; empty where nothing is measured, or nought, or no unit."""
    if not finding.measured or not finding.unit:
        return ""
    if finding.unit == "mm":
        return mm(abs(finding.measured), finding.limit)
    return f"{told(finding.measured, finding.limit, least=0)} {finding.unit}"


def _beside(finding: Finding, words: str) -> str:
    if finding.measured is None or finding.limit is None:
        return words
    if finding.measured < finding.limit:
        return f"{words}, {_limit(finding)} wanted"
    return f"{words}, {_limit(finding) if finding.limit else 'none'} allowed"


def _limit(finding: Finding) -> str:
    assert finding.limit is not None
    least = 2 if finding.unit == "mm" else 0
    return told(finding.limit, finding.measured, least=least)


def _bent(finding: Finding) -> str | None:
    if finding.measured is None or finding.limit is None:
        return None
    measured = told(finding.measured, finding.limit, least=0)
    return f"bent to {measured} x its thickness, {_limit(finding)} wanted"


def _bare(finding: Finding) -> str | None:
    return None if finding.measured is None else f"no gusset along {finding.measured:.1f} mm"


def _between_holes(finding: Finding) -> str | None:
    if finding.measured is None or finding.limit is None or finding.measured >= finding.limit:
        return None
    if finding.measured < 0.0:
        return f"{mm(-finding.measured)} into one another, {_limit(finding)} of wood wanted"
    return f"{mm(finding.measured, finding.limit)} of wood, {_limit(finding)} wanted"


def _past_tip(finding: Finding) -> str | None:
    if finding.measured is None or not finding.unit:
        return None
    if finding.level == "note":
        return _beside(finding, f"holds {measure_alone(finding)}")
    if finding.limit == 0.0:
        return f"{mm(finding.measured)} through"
    return None if finding.limit is None else _beside(finding, f"{mm(finding.measured, finding.limit)} left")


def _counted(finding: Finding) -> str | None:
    if finding.measured is None or finding.limit is None:
        return None
    return f"{finding.measured:.0f} {'screw' if finding.measured == 1 else 'screws'}, {finding.limit:.0f} wanted"


def _cutter(finding: Finding) -> str | None:
    if finding.measured is None or finding.limit is None:
        return None
    return f"inside radius {mm(finding.measured, finding.limit)}, the cutter's is {_limit(finding)}"


def _on_sheet(finding: Finding) -> str | None:
    if finding.measured is not None and finding.unit == "times":
        return f"{finding.measured:.3g} times its size"
    return "on no cut sheet" if finding.message.endswith("is on no cut sheet") else None


def _left_open(finding: Finding) -> str | None:
    return f"open by {measure_alone(finding)}" if measure_alone(finding) else None


_OWN: Mapping[str, Callable[[Finding], str | None]] = MappingProxyType(
    {
        "bend": _bent,
        "board": _between_holes,
        "corner": _cutter,
        "cut-sheet": _on_sheet,
        "joint-bare": _bare,
        "outline": _left_open,
        "screw-bite": _past_tip,
        "screw-count": _counted,
    }
)
