"""A share of what `tests/fuzz.py` tries, and what it found."""

import fuzz
import pytest

from scrieve.viewer.verbs.commands import run


@pytest.mark.parametrize("kind", sorted(fuzz.KINDS))
def test_whatever_is_spoilt_ends_in_a_report_or_in_clear_lines(kind):
    wrong = {number: fuzz.case(kind, number, 5)[1] for number in range(2)}
    assert not any(wrong.values()), wrong


def test_objects_dropped_at_random_leave_a_report():
    first = sum(1 for _ in fuzz.every_object())
    wrong = {number: fuzz.case("dropped", number, 5)[1] for number in range(first, first + 3)}
    assert not any(wrong.values()), wrong


def test_a_frame_without_core_keeps_no_batten_from_being_followed_through_the_others(tmp_path, capsys):
    folder = fuzz.boat_in(tmp_path, "pram")
    drop(folder / "frames/1.dxf", b"CORE", 99)
    drop(folder / "frames/2.dxf", b"BATTENS", 1)
    assert run(["check", str(folder)]) == 1
    assert "frame 1 has no core part" in capsys.readouterr().out


def drop(path, layer, most):
    """Takes so many objects of a layer out of a drawing."""
    content = path.read_bytes()
    on_layer = [(a, b) for a, b in fuzz.objects_of(content) if b"\n  8\n" + layer + b"\n" in content[a:b]]
    assert on_layer
    for start, end in reversed(on_layer[:most]):
        content = content[:start] + content[end:]
    path.write_bytes(content)
