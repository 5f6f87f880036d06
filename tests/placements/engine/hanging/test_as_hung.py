"""As hung against plan: the tolerances are 1/4 in, and 1/8 in of level (common practice, no source)."""

import pytest

from placements.engine.hanging.as_hung import compare
from placements.engine.house import Rect

IN = 25.4
PLAN = Rect(40 * IN, 50 * IN, 20 * IN, 16 * IN)


@pytest.mark.parametrize(
    ("left", "top_left", "top_right", "faults"),
    [
        pytest.param(40, 66, 66, (), id="as planned"),
        pytest.param(40.25, 66.25, 66.25, (), id="at the tolerance"),
        pytest.param(40.3125, 66, 66, ("move left by 8 mm",), id="a sixteenth over to the right"),
        pytest.param(39.5, 66, None, ("move right by 13 mm",), id="too far left"),
        pytest.param(40, 66.5, 66.5, ("lower by 13 mm",), id="too high"),
        pytest.param(40, 65.5, 65.5, ("raise by 13 mm",), id="too low"),
        pytest.param(40, 66, 66.125, (), id="level to an eighth"),
        pytest.param(40, 66, 66.1875, ("level it: the right corner is 5 mm high",), id="out of level"),
    ],
)
def test_differences_beyond_tolerance_are_said(left, top_left, top_right, faults):
    found = compare(PLAN, left * IN, top_left * IN, top_right and top_right * IN)
    assert found.faults == faults
    assert found.within == (not faults)
