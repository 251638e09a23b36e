"""The standing cautions: what they are about, and where they were read."""

from __future__ import annotations

from scrieve.shared.cautions import CAUTIONS, DEFER, FIT_ONLY


def test_every_caution_says_where_it_was_read_and_all_defer():
    assert set(CAUTIONS) >= {"epoxy", "pot", "solvent", "dust", "tools", "lifting", "weights"}
    for caution in CAUTIONS.values():
        assert caution.topic and caution.text.endswith(".") and caution.origin
    assert "data sheet" in DEFER and "local codes" in DEFER and "licensed" in DEFER
    assert "strength" in FIT_ONLY and "stability" in FIT_ONLY and "seaworthiness" in FIT_ONLY
