"""The trade's tables of wood screws against their sources."""

import pytest

from scrieve.shared.errors import UseError
from scrieve.shared.limits import LIMITS
from scrieve.shared.screw_table import (
    INCH,
    SPACINGS,
    gauge_diameter,
    gauges,
    inch_lengths,
    inches,
    pilot_holes,
    root_diameter,
    screw_of_diameter,
    screw_of_gauge,
    tip_length,
)

# D = 0.060 + 0.013 N inch, ASME B18.6.1 series
DIAMETERS = {4: 2.845, 6: 3.505, 7: 3.835, 8: 4.166, 9: 4.496, 10: 4.826, 12: 5.486, 14: 6.147}
# least diameters of flat heads, inch, in trade tables of ASME B18.6.1: the greatest ones must be wider
LEAST_HEADS = {4: 0.195, 6: 0.244, 7: 0.268, 8: 0.292, 9: 0.316, 10: 0.340, 12: 0.389, 14: 0.452}
# head diameters of ANSI/AWC NDS-2018, Appendix L, Table L3, inch
NDS_HEADS = {6: 0.262, 7: 0.287, 8: 0.312, 9: 0.337, 10: 0.363, 12: 0.414, 14: 0.480}


@pytest.mark.parametrize(("gauge", "diameter"), DIAMETERS.items())
def test_diameters_of_gauges(gauge, diameter):
    assert gauge_diameter(gauge) == pytest.approx(diameter, abs=5e-4)
    assert screw_of_gauge(gauge, 25.4).diameter == gauge_diameter(gauge)


def test_every_gauge_is_tested():
    assert set(gauges()) == set(DIAMETERS)


@pytest.mark.parametrize("gauge", sorted(NDS_HEADS))
def test_heads_lie_where_the_two_sources_say(gauge):
    head = screw_of_gauge(gauge, 25.4).head_diameter / INCH
    assert LEAST_HEADS[gauge] < NDS_HEADS[gauge] < head


@pytest.mark.parametrize("gauge", gauges())
def test_a_cone_of_82_degrees_gives_the_head_height(gauge):
    """US flat heads are 82 degrees (from memory); the published heights follow from it within 4 %."""
    size = screw_of_gauge(gauge, 25.4)
    cone = (size.head_diameter - size.diameter) / 2 / 0.8693  # tan 41 degrees
    assert size.head_height == pytest.approx(cone, rel=0.04)


def test_a_gauge_that_is_not_sold_is_refused_with_those_that_are():
    with pytest.raises(UseError, match=r"gauge must be one of 4, 6, 7, 8, 9, 10, 12, 14 \(got 5\)"):
        screw_of_gauge(5, 25.4)
    with pytest.raises(UseError):
        root_diameter(5)


@pytest.mark.parametrize(
    ("diameter", "head", "height"), [(3, 5.6, 1.65), (3.5, 6.5, 1.93), (4, 7.5, 2.2), (5, 9.2, 2.5), (6, 11.0, 3.0)]
)
def test_metric_heads(diameter, head, height):
    """DIN 963/965 head family, as restated."""
    size = screw_of_diameter(diameter, 20)
    assert (size.head_diameter, size.head_height, size.gauge) == (head, height, None)


def test_a_metric_size_between_rows_is_scaled():
    assert screw_of_diameter(4.2, 20).head_diameter == pytest.approx(7.5 * 4.2 / 4)


def test_pilot_holes():
    """70 % and 90 % of the root, NDS Commentary (1999/2004), part XI: No. 8 takes 2.33 and 2.99 mm."""
    assert pilot_holes(8) == pytest.approx((2.33, 2.99), abs=5e-3)
    assert root_diameter(8) == pytest.approx(0.131 * 25.4)
    assert pilot_holes(4) is None
    assert root_diameter(4) is None


@pytest.mark.parametrize(("gauge", "penetration"), [(6, 21.03), (8, 24.99), (10, 28.96)])
def test_least_penetration(gauge, penetration):
    """6 D, ANSI/AWC NDS-2018, 12.1.5.6."""
    assert LIMITS["screw_penetration"].default * gauge_diameter(gauge) == pytest.approx(penetration, abs=1e-2)


def test_tips():
    """Notes to NDS-2018, Table L3: No. 8 x 1 in has 8.33 mm of tip."""
    assert tip_length(screw_of_gauge(8, 25.4)) == pytest.approx(8.33, abs=5e-3)


@pytest.mark.parametrize(
    ("distance", "number_8"),
    [
        ("edge", 10.41),
        ("end, tension along grain", 41.66),
        ("end, compression", 20.83),
        ("in a row, along grain", 41.66),
        ("in a row, across grain", 20.83),
        ("between rows, in line", 12.50),
        ("between rows, staggered", 10.41),
    ],
)
def test_spacing(distance, number_8):
    """NDS Commentary (1999/2004), Table C12.1.5.7, prebored, for No. 8."""
    assert SPACINGS[distance].prebored * gauge_diameter(8) == pytest.approx(number_8, abs=1e-2)
    assert SPACINGS[distance].plain >= SPACINGS[distance].prebored


def test_the_limits_are_those_of_the_table():
    assert LIMITS["screw_edge_warning"].default == SPACINGS["edge"].plain
    assert LIMITS["screw_foul_warning"].default == SPACINGS["between rows, staggered"].plain


def test_lengths_sold():
    """US Navy training manual 14119: by 1/8 in up to 1 in, by 1/4 to 3 in, by 1/2 to 6 in."""
    said = [inches(length) for length in inch_lengths()]
    assert said[:8] == ["1/4 in", "3/8 in", "1/2 in", "5/8 in", "3/4 in", "7/8 in", "1 in", "1-1/4 in"]
    assert said[-8:] == ["2-3/4 in", "3 in", "3-1/2 in", "4 in", "4-1/2 in", "5 in", "5-1/2 in", "6 in"]
    assert list(inch_lengths()) == sorted(set(inch_lengths()))


def test_a_length_of_no_whole_eighths_is_not_given_in_inches():
    assert inches(20.0) == ""
    assert screw_of_gauge(8, 20.0).name == "No. 8 x 20 mm"
    assert screw_of_gauge(8, 0.75 * 25.4).name == "No. 8 x 3/4 in"
