"""The scale of an elevation on paper, against ISO 5455:1979 and the twelfths of North American drawing practice."""

from fractions import Fraction

import pytest

from reports.contexts.scales import IMPERIAL, METRIC, fitting_scale


def test_metric_scales_hold_those_of_iso_5455():
    """ISO 5455:1979, table of recommended reduction scales (from memory)."""
    assert {5, 10, 20, 50, 100, 200, 500} <= {scale.ratio for scale in METRIC}


@pytest.mark.parametrize("scale", IMPERIAL, ids=lambda scale: scale.label)
def test_an_imperial_scale_is_what_its_label_says(scale):
    """So many inches of paper to a foot: the ratio is 12 over that, by arithmetic."""
    inches = scale.label.partition("″")[0]
    whole = {"½": "1/2", "¾": "3/4", "¼": "1/4", "⅜": "3/8", "⅛": "1/8", "1½": "3/2"}
    small = {"³⁄₁₆": "3/16", "³⁄₃₂": "3/32", "¹⁄₁₆": "1/16"}
    assert Fraction(12) / Fraction((whole | small).get(inches, inches)) == scale.ratio


@pytest.mark.parametrize("metric", [True, False])
def test_the_largest_that_fits_is_taken_and_nothing_is_cut_off(metric):
    for length, height in ((900, 2400), (4600, 3000), (6200, 3300), (11500, 2700), (30000, 4000)):
        scale = fitting_scale(length, height, 170, 90, metric=metric)
        assert max(length / 170, height / 90) <= scale.ratio
        larger = [one for one in (METRIC if metric else IMPERIAL) if one.ratio < scale.ratio]
        assert all(length / one.ratio > 170 or height / one.ratio > 90 for one in larger)
