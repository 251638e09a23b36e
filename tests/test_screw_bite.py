"""Check `screw-bite`."""

import re
from dataclasses import replace

import making
import pytest

from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level
from scrieve.shared.screw_table import INCH, inch_lengths, screw_of_diameter, screw_of_gauge

BITE = CHECKS["screw-bite"]
LIMIT = 1.0


def joint(core=18.0, gusset=9.0, face="forward", mirror=1, **more):
    left, right = sorted((mirror * 300, mirror * 700))
    board = making.rectangle(left, 0, right, 200)
    return [
        making.part("side", board, thickness=core, core=core),
        making.part("gusset", board, face=face, thickness=gusset, core=core),
    ]


def frame(size, *, core=18.0, gusset=9.0, face="forward", mirror=1, count=1, order=1, **more):
    parts = joint(core, gusset, face, mirror)
    screws = [
        making.screw(parts, (mirror * (310 + 15 * n), 100), name=f"screw {n}", driven_from=face, size=size, core=core)
        for n in range(1, count + 1)
    ]
    return making.frame(parts[::order], screws=screws[::order], core=core, **more)


def run(frame, **limits):
    return list(BITE.run(making.assembly([frame], limits=limits)))


def of_length(length, gauge=8):
    return screw_of_gauge(gauge, length)


def worse(findings):
    return [finding for finding in findings if finding.level is not Level.NOTE]


# ---- the tip


@pytest.mark.parametrize(
    ("length", "level", "measured", "limit"),
    [
        (27.0 + 3.2, Level.ERROR, 3.2, 0.0),
        (27.0 + 0.01, Level.ERROR, 0.01, 0.0),
        (27.0, Level.WARNING, 0.0, LIMIT),
        (27.0 - 0.4, Level.WARNING, 0.4, LIMIT),
        (27.0 - LIMIT + 0.01, Level.WARNING, LIMIT - 0.01, LIMIT),
    ],
)
def test_a_tip_that_comes_through_or_nearly(length, level, measured, limit):
    """Gusset 9 on core 18: 27 mm of wood."""
    (finding,) = worse(run(frame(of_length(length))))
    assert finding.check == "screw-bite"
    assert finding.level is level
    assert finding.measured == pytest.approx(measured, abs=1e-9)
    assert finding.limit == limit
    assert (finding.unit, finding.frame) == ("mm", "5")
    assert finding.parts == ("F5 forward screw 1", "F5 side")
    # the far face of the core is at w = 0; past it the tip, where there is one
    assert finding.at == pytest.approx((1000.0 - (measured if level is Level.ERROR else 0.0), 325.0, 100.0))
    assert finding.source.handle == "screw 1"


@pytest.mark.parametrize("length", [27.0 - LIMIT, 27.0 - LIMIT - 0.01, 20.0])
def test_enough_wood_beyond_the_tip(length):
    assert worse(run(frame(of_length(length)))) == []


def test_the_limit_of_the_plan_counts():
    assert worse(run(frame(of_length(26.5)), screw_bite=0.5)) == []
    assert len(worse(run(frame(of_length(25.5)), screw_bite=2.0))) == 1


# ---- the cure


def test_the_cure_is_the_longest_screw_sold_that_leaves_enough():
    """27 mm of wood: of 3/4, 7/8, 1 and 1-1/4 in (US Navy training manual 14119) 1 in = 25.4 mm leaves 1.60 mm."""
    (finding,) = worse(run(frame(of_length(1.25 * INCH))))
    assert finding.cure.startswith("take a 1 in screw, which leaves 1.60 mm, or make F5 side at least")
    assert "at least 5.8 mm thicker" in finding.cure  # 31.75 - 27 + 1 = 5.75


@pytest.mark.parametrize("length", [26.5, 28.0, 31.75, 40.0])
def test_following_the_cure_mends_it(length):
    (finding,) = worse(run(frame(of_length(length))))
    said = re.search(r"take a (\S+) in screw", finding.cure)[1]
    lengths = {text: mm for mm in inch_lengths() for text in [f"{mm / INCH:g}"]}
    assert said in lengths
    assert worse(run(frame(of_length(lengths[said])))) == []
    thicker = float(re.search(r"at least ([\d.]+) mm thicker", finding.cure)[1])
    assert worse(run(frame(of_length(length), core=18.0 + thicker))) == []


def test_a_metric_screw_is_given_a_greatest_length():
    (finding,) = worse(run(frame(screw_of_diameter(4, 30))))
    assert "take a screw no longer than 26.0 mm" in finding.cure
    assert worse(run(frame(screw_of_diameter(4, 26)))) == []


def test_where_no_screw_fits_only_a_thicker_part_helps():
    """6 mm gusset on 1 mm of skin: any screw that gets past the gusset comes through."""
    (finding,) = worse(run(frame(of_length(12.7), core=1.0, gusset=6.0)))
    assert finding.cure.startswith("no shorter screw reaches past F5 gusset: make F5 side at least")


# ---- what it holds


def test_short_screws_make_one_note_for_each_size():
    """No. 8 x 3/4 in through 9 mm holds 10.05 mm; 6 D is 24.99 mm (ANSI/AWC NDS-2018, 12.1.5.6)."""
    (note,) = run(frame(making.NO_8, count=24))
    assert note.level is Level.NOTE
    assert note.measured == pytest.approx(10.05, abs=1e-9)
    assert note.limit == pytest.approx(24.99, abs=5e-3)
    assert "24 screws (No. 8 x 3/4 in) hold 10.05 mm, less than 6 D = 24.99 mm" in note.message
    assert "clamp the glue joint and carry no rated load" in note.message
    assert len(note.parts) == 24
    assert list(note.parts) == sorted(note.parts)


def test_two_sizes_make_two_notes_and_the_least_is_given():
    parts = joint()
    sizes = [making.NO_8, replace(making.NO_8, length=21.0), screw_of_gauge(6, 15.875)]
    screws = [making.screw(parts, (400 + 30 * n, 100), name=f"{n}", size=size) for n, size in enumerate(sizes)]
    notes = run(making.frame(parts, screws=screws))
    assert [note.measured for note in notes] == pytest.approx([6.875, 10.05])
    assert "hold as little as 10.05 mm, less than" in notes[1].message
    assert "holds 6.88 mm" in notes[0].message or "holds 6.87 mm" in notes[0].message


@pytest.mark.parametrize(("held", "count"), [(24.99, 1), (25.0, 0)])
def test_penetration_just_inside_the_limit(held, count):
    """6 D of No. 8 is 24.9936 mm."""
    notes = run(frame(of_length(9 + held), core=60.0))
    assert len(notes) == count


def test_a_longer_stack_counts_in_full():
    parts = [*joint(), making.part("aft gusset", making.rectangle(300, 0, 700, 200), face="aft", thickness=9)]
    screw = making.screw(parts, (400, 100), size=of_length(30.0))
    assert screw.penetration == pytest.approx(21.0)
    (note,) = run(making.frame(parts, screws=[screw]))
    assert note.measured == pytest.approx(21.0)
    assert note.level is Level.NOTE


# ---- nothing to hold


def test_a_screw_that_meets_no_wood():
    parts = joint()
    screw = making.screw(parts, (800, 100))
    (finding,) = run(making.frame(parts, screws=[screw]))
    assert finding.level is Level.ERROR
    assert "meets no wood" in finding.message
    assert finding.measured is None
    assert finding.at == pytest.approx((1018.0, 800.0, 100.0))
    assert finding.parts == ("F5 forward screw 1",)


def bare(count, *, sizes=(making.NO_8,), beside=()):
    """A frame with `count` screws of each size off its parts, and those `beside` (size, at) wherever they are."""
    parts = joint()
    places = [(size, (800 + 20 * n, 100)) for size in sizes for n in range(count)]
    screws = [making.screw(parts, at, name=f"screw {n}", size=size)
              for n, (size, at) in enumerate([*places, *beside], start=1)]  # fmt: skip
    return making.frame(parts, screws=screws)


def test_where_no_screw_of_a_frame_meets_wood_it_is_said_once():
    for sizes in ((making.NO_8,), (making.NO_8, screw_of_gauge(6, 15.875))):
        (finding,) = run(bare(24 // len(sizes), sizes=sizes))
        assert finding.level is Level.ERROR
        assert finding.message.startswith("none of the 24 screws of F5 meets wood: ")
        assert len(finding.parts) == 24
        assert list(finding.parts) == sorted(finding.parts)
        assert "layers" in finding.cure


def test_where_no_screw_of_a_size_meets_wood_it_is_said_once():
    small = screw_of_gauge(6, 15.875)
    finding, *rest = worse(run(bare(3, sizes=(small,), beside=[(making.NO_8, (500, 100))])))
    assert finding.message.startswith("none of the 3 No. 6 x 5/8 in screws of F5 meets wood: ")
    assert rest == []


def test_some_screws_off_the_wood_are_named_one_by_one():
    findings = worse(run(bare(3, beside=[(making.NO_8, (500, 100))])))
    assert [f.parts for f in findings] == [(f"F5 forward screw {n}",) for n in (1, 2, 3)]


def on_a_butt_joint(*, gusset=True):
    parts = [
        making.part("floor", making.rectangle(100, 0, 500, 200)),
        making.part("side", making.rectangle(500, 0, 900, 200)),
    ]
    if gusset:
        parts.append(making.part("gusset", making.rectangle(300, 0, 700, 200), face="forward", thickness=9))
    return making.frame(parts, screws=[making.screw(parts, (500, 100))])


def test_wood_at_one_depth_holds_once():
    """The axis on the line between two core parts: 19.05 - 9 = 10.05 mm, not 20.10."""
    frame = on_a_butt_joint()
    (screw,) = frame.screws
    assert [ply.part.label for ply in screw.plies] == ["gusset", "floor", "side"]
    assert screw.penetration == pytest.approx(10.05)
    (note,) = run(frame)
    assert note.measured == pytest.approx(10.05)


def test_two_parts_side_by_side_are_nothing_behind_one_another():
    frame = on_a_butt_joint(gusset=False)
    assert frame.screws[0].penetration == pytest.approx(0.0)
    (through,) = run(frame)
    assert through.level is Level.ERROR
    short = making.screw(frame.parts, (500, 100), size=of_length(12.0))
    (finding,) = run(replace(frame, screws=(short,)))
    assert finding.level is Level.WARNING
    assert "passes F5 floor only" in finding.message


def test_a_screw_beside_the_gusset_passes_one_part_only():
    parts = [
        making.part("side", making.rectangle(300, 0, 700, 200)),
        making.part("gusset", making.rectangle(300, 0, 500, 200), face="forward", thickness=9),
    ]
    screw = making.screw(parts, (600, 100), size=of_length(12.0))
    (finding,) = run(making.frame(parts, screws=[screw]))
    assert finding.level is Level.WARNING
    assert "passes F5 side only" in finding.message


def test_a_gusset_with_nothing_behind_it():
    parts = [
        making.part("side", making.rectangle(300, 0, 500, 200)),
        making.part("gusset", making.rectangle(300, 0, 700, 200), face="forward", thickness=9),
    ]
    screw = making.screw(parts, (600, 100))
    (through,) = run(making.frame(parts, screws=[screw]))
    assert through.level is Level.ERROR
    assert through.measured == pytest.approx(10.05)


def test_a_short_screw_in_a_gusset_with_nothing_behind_it():
    parts = [
        making.part("side", making.rectangle(300, 0, 500, 200)),
        making.part("gusset", making.rectangle(300, 0, 700, 200), face="forward", thickness=9),
    ]
    (alone,) = run(making.frame(parts, screws=[making.screw(parts, (600, 100), size=of_length(7.0))]))
    assert alone.level is Level.WARNING
    assert "passes F5 gusset only" in alone.message


def test_a_screw_too_short_to_leave_its_first_part():
    (finding,) = run(frame(of_length(8.0), gusset=9.0))
    assert finding.level is Level.WARNING
    assert "ends inside F5 gusset" in finding.message
    assert "more than 1.0 mm longer" in finding.cure


# ---- what makes no difference


def test_mirrored_moved_raked_turned_over_and_reordered_frames_give_the_same():
    size = of_length(28.3)
    (straight,) = worse(run(frame(size)))
    for more in (
        {"mirror": -1}, {"station": -4321.0}, {"rake": 0.37, "station": 5000.0}, {"face": "aft"}, {"order": -1},
    ):  # fmt: skip
        (finding,) = worse(run(frame(size, **more)))
        assert finding.measured == pytest.approx(straight.measured, abs=1e-9), more
        assert finding.limit == straight.limit
        assert finding.message.replace("aft", "forward") == straight.message, more


@pytest.mark.parametrize("face", ["forward", "aft"])
def test_a_screw_over_a_hole_is_not_cured_by_thicker_plywood(face):
    core = making.part("side", making.rectangle(300, 0, 700, 200))
    holed = replace(core, shape=core.shape.difference(making.rectangle(550, 50, 650, 150).polygon()))
    parts = [holed, making.part("gusset", making.rectangle(300, 0, 700, 200), face=face, thickness=9)]
    (finding,) = run(making.frame(parts, screws=[making.screw(parts, (600, 100), driven_from=face)]))
    assert finding.level is Level.ERROR
    assert finding.message == (
        f"F5 {face} screw 1 (No. 8 x 3/4 in) comes 10.05 mm through the far face of F5 gusset: "
        "there is nothing behind F5 gusset there"
    )
    assert finding.cure == "move it to where two parts lie on one another, or take it out of the drawing"
    assert finding.parts == (f"F5 {face} screw 1", "F5 gusset")


def test_a_screw_that_nearly_comes_through_its_only_part_is_told_once():
    parts = [making.part("gusset", making.rectangle(300, 0, 700, 200), face="forward", thickness=9)]
    (finding,) = run(making.frame(parts, screws=[making.screw(parts, (600, 100), size=of_length(8.5))]))
    assert finding.level is Level.WARNING
    assert "passes F5 gusset only" in finding.message
    assert "thicker" not in finding.cure


# ---- what several lack alike


def half_screwed(*missing, count=2, off=0.0, length=20.0):
    """F5 and F6 of a board and a gusset with screws; F6 without what is `missing`, `off` mm of it left beside."""
    frames = []
    for number in "56":
        parts = joint()
        at = [(320.0 + 15 * n, 100.0) for n in range(count)]
        if number == "6":
            parts = [part for part in parts if part.label not in missing]
            if off:
                parts.append(making.part("gusset", making.rectangle(at[-1][0] + off, 0, 700, 200), face="forward"))
        size = of_length(length)
        screws = [
            making.screw(parts, spot, name=f"screw {n}", driven_from="forward", size=size, frame=number)
            for n, spot in enumerate(at, 1)
        ]
        frames.append(making.frame(parts, number=number, screws=screws))
    return [finding for finding in worse(BITE.run(making.assembly(frames))) if finding.frame == "6"]


def test_screws_of_a_missing_gusset_ask_for_the_gusset():
    (finding,) = half_screwed("gusset")
    assert finding.level is Level.ERROR
    assert "no gusset lies under their heads" in finding.message
    assert finding.cure.startswith("draw the gusset that they hold") and not finding.edits
    assert len(half_screwed("gusset", off=50.0)) == 1


@pytest.mark.parametrize("driven_from", ["forward", "aft"])
def test_screws_whose_mirror_images_hold_a_part_ask_for_that_and_not_for_what_is_usual(driven_from):
    """Legs are under the heads of most; these hold a cleat, driven through it or through the board."""
    board = making.part("transom", making.rectangle(-500, 0, 500, 300))
    legs = [making.part(f"{side} leg", making.rectangle(left, 0, left + 80, 300), face="forward", role="leg")
            for side, left in (("port", 100), ("starboard", -180))]  # fmt: skip
    cleat = making.part("port cleat", making.rectangle(300, 100, 360, 250), face="forward", role="plate")
    parts, size = [board, *legs, cleat], of_length(27.0)
    at = [(sign * 140.0, v) for sign in (1, -1) for v in (60.0, 120.0, 180.0, 240.0)]
    screws = [making.screw(parts, spot, name=f"leg screw {n}", size=size) for n, spot in enumerate(at)]
    screws += [
        making.screw(parts, (sign * 330.0, v), name=f"screw {sign} {v}", driven_from=driven_from, size=size)
        for sign in (1, -1) for v in (140.0, 200.0)
    ]  # fmt: skip
    (finding,) = worse(
        f for f in BITE.run(making.assembly([making.frame(parts, screws=screws)])) if "only" in f.message
    )
    assert finding.message.endswith("they hold nothing, as their mirror images hold F5 port cleat")
    assert "the mirror image of F5 port cleat" in finding.cure and "leg" not in finding.cure
    assert finding.at[1] < 0


def test_screws_with_no_core_behind_the_gusset_ask_for_the_core():
    (finding,) = half_screwed("side")
    assert "pass F5 gusset only: there is no core behind it" in finding.message
    assert finding.cure.startswith("look first whether a part of F6 is missing") and not finding.edits


def test_a_screw_alone_or_beside_its_gusset_or_too_short_is_told_for_itself():
    (alone,) = half_screwed("gusset", count=1)
    assert alone.cure.startswith("move it to where two parts lie")
    assert all(each.cure.startswith("move it to where") for each in half_screwed("gusset", off=20.0))
    short = half_screwed(length=9.0)
    assert [each.cure for each in short] == ["take a longer screw"] * 2
