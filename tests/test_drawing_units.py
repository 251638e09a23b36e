"""The unit of a drawing: its own, or the plan's where it has none."""

import drawings
import pytest
from drawings import laid, polyline, read, rectangle, said, text

from scrieve.shared.findings import Level

IN_MM = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 10: 914.4, 14: 100.0}


@pytest.mark.parametrize("code, mm", IN_MM.items())
@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_drawing_is_in_its_own_unit(tmp_path, code, mm, version):
    document = drawings.new(version, units=code)
    polyline(document.modelspace(), [(1, 1), (3, 1), (3, 2), (1, 2)], [0, 0.5, 0, 0])
    document.modelspace().add_circle((1.5, 1.5), 0.25, dxfattribs={"layer": "SCREWS"})
    drawing = read(tmp_path, document, plan_unit="ft")
    assert not drawing.unit_assumed
    assert drawing.defects == ()
    assert drawing.outlines[0].outline.points.max() == pytest.approx(3 * mm)
    assert drawing.outlines[0].outline.bulges[1] == 0.5
    assert (drawing.circles[0].centre[0], drawing.circles[0].radius) == pytest.approx((1.5 * mm, 0.25 * mm))


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_drawing_without_a_unit_takes_the_plans_and_says_so(tmp_path, version):
    document = drawings.new(version, units=drawings.NO_UNIT)
    rectangle(document.modelspace(), 0, 0, 4, 2)
    drawing = read(tmp_path, document, plan_unit="in")
    assert (drawing.unit, drawing.unit_assumed) == ("in", True)
    assert drawing.outlines[0].outline.points.max() == pytest.approx(101.6)
    (note,) = drawing.defects
    assert note.level is Level.NOTE
    assert note.message == "the drawing has no unit of its own; its lengths are taken as in, the plan's unit"


@pytest.mark.parametrize("code", [17, 20, 99, -4])
def test_a_drawing_in_a_unit_no_boat_is_drawn_in_takes_the_plans(tmp_path, code):
    whole = drawings.content(drawings.new(units=4)).decode()
    drawing = read(tmp_path, whole.replace("$INSUNITS\n 70\n4", f"$INSUNITS\n 70\n{code}"))
    assert said(drawing.defects) == [
        f"the drawing's unit ($INSUNITS {code}) is unknown; its lengths are taken as mm, the plan's unit"
    ]


def test_inches_and_millimetres_come_to_the_same(tmp_path):
    drawn = {}
    for name, unit, size in (("mm", drawings.MM, 25.4), ("in", drawings.INCH, 1.0)):
        document = drawings.new(units=unit)
        space = document.modelspace()
        polyline(space, [(0, 0), (20 * size, 0), (20 * size, 5 * size), (0, 5 * size)], [0, 0.4, 0, 0])
        space.add_ellipse((40 * size, 0), (10 * size, 0), 0.3, dxfattribs={"layer": "CORE"})
        space.add_circle((80 * size, 0), 3 * size, dxfattribs={"layer": "CORE"})
        for label, at in (("floor", (2, 2)), ("port light", (40, 0)), ("hoop", (80, 0))):
            text(space, label, (at[0] * size, at[1] * size))
        drawn[name] = laid(tmp_path, document)
    assert len(drawn["mm"].shapes) == 3
    for one, other in zip(drawn["mm"].shapes, drawn["in"].shapes, strict=True):
        drawings.assert_same(one.outline, other.outline, tolerance=1e-9)
