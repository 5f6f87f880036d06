"""Estimated weights against real framed paintings and worked panes."""

import pytest

from placements.engine.house import Work
from placements.engine.weights import estimated_weight

# Tate open data: accession number, frame height x width x depth [mm], recorded weight [kg].
TATE = [
    ("T00039", 667, 767, 73, 10.5),
    ("T00422", 800, 690, 80, 8.2),
    ("T00592", 868, 975, 89, 11.6),
    ("T01252", 1096, 1396, 75, 22),
    ("T02028", 833, 710, 57, 9),
    ("N01350", 1175, 1634, 90, 39),
    ("N01514", 1033, 1540, 160, 39),
    ("N01621", 1588, 1388, 106, 47),
    ("N03231", 980, 770, 85, 9),
    ("N04231", 1425, 913, 68, 22),
    ("N05635", 910, 1105, 95, 24),
    ("N05788", 964, 831, 95, 17),
    ("N00537", 1054, 1352, 95, 31),
]


@pytest.mark.parametrize(("height", "width", "depth", "kg"), [row[1:] for row in TATE], ids=[row[0] for row in TATE])
def test_recorded_weights_lie_within_the_estimate(height, width, depth, kg):
    weight = estimated_weight(Work("a", "a", width, height, depth, frame="gilt"))
    assert weight.estimated
    assert weight.low_kg <= kg <= weight.high_kg


def test_glass_adds_its_pane():
    # EN ISO 10456: 2,500 kg/m3; 600 x 900 mm of 2 mm glass is 2.70 kg.
    bare, glazed = (
        estimated_weight(Work("a", "a", 600, 900, 20, form="print", frame="oak", glazed=glass)).kg
        for glass in (False, True)
    )
    assert glazed - bare == pytest.approx(2.70)


def test_a_weighed_piece_keeps_its_weight():
    weight = estimated_weight(Work("a", "a", 600, 900, weight_kg=4.2))
    assert (weight.kg, weight.high_kg, weight.estimated) == (4.2, 4.2, False)
