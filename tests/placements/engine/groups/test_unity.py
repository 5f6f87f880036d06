"""Unity of a group: common practice, no source."""

from __future__ import annotations

import pytest

from placements.engine.groups.unity import unity
from placements.engine.house import Work


def work(id, **kwargs):
    return Work(id=id, title=id, width=300, height=400, **kwargs)


def test_one_frame_colour_holds_mixed_forms_together():
    found = unity(
        [work("a", frame="Black"), work("b", frame="black ", form="print"), work("c", frame="black", form="mirror")]
    )
    assert (found.score, found.bond, found.common, found.text) == (1, "frame", "black", "all have black frames")


def test_an_odd_one_out_is_named():
    prints = [work(i, form="print", frame=f) for i, f in zip("abc", ["oak", "gilt", "white"], strict=True)]
    found = unity([*prints, work("clock", form="clock", frame="brass")])
    assert found.bond == "form"
    assert found.outsiders == ("clock",)
    assert found.score == pytest.approx(2 / 3)


def test_a_theme_shared_among_several_counts():
    found = unity([work("a", themes=("coast", "boats")), work("b", form="print", themes=("Coast",))])
    assert (found.bond, found.common) == ("theme", "coast")


def test_works_with_nothing_in_common_score_zero():
    found = unity([work("a", form="print", frame="oak"), work("b", form="mirror", frame="gilt")])
    assert found.score == 0


def test_near_palettes_hold_and_strangers_do_not():
    warm = [(60.0, 20.0, 40.0), (80.0, 5.0, 20.0)]
    cold = [(30.0, 10.0, -60.0), (20.0, -5.0, -20.0)]
    a, b = work("a", form="print", palette_lab=tuple(warm)), work("b", form="mirror", palette_lab=tuple(warm))
    c = work("c", form="relief", palette_lab=tuple(cold))
    assert unity([a, b]).bonds["palette"] == 1
    assert unity([a, c]).bonds["palette"] == 0
    assert "palette" not in unity([a, work("d")]).bonds


def test_no_works_is_an_error():
    with pytest.raises(ValueError, match="at least one work"):
        unity([])
