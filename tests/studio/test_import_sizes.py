import pytest

from studio.imports.sizes import parse_size, weight_in
from studio.units import BadMeasure


def size(text, unit="in", order="height_first"):
    found = parse_size(text, unit, order)
    return round(found.width_mm, 3), round(found.height_mm, 3), found.depth_mm and round(found.depth_mm, 4)


# As museums publish them: the Minneapolis Institute of Art (object 180), a large British collection's open data
# (N01506: support 762 × 1118 mm is a landscape picture, written height first), and dealers' lists.
@pytest.mark.parametrize(
    ("text", "unit", "width", "height", "depth"),
    [
        ("69 x 23 5/8 x 24 7/16 in. (175.26 x 60.01 x 62.07 cm)", "in", 600.075, 1752.6, 620.7125),
        ("support: 762 x 1118 mm", "in", 1118.0, 762.0, None),
        ("support: 762 x 1118 mm\nframe: 1060 x 1416 x 145 mm", "in", 1416.0, 1060.0, 145.0),
        ("1075x1075x120mm\r\nweight: 28kg", "in", 1075.0, 1075.0, 120.0),
        ("29 1/4 × 36 1/4 in. (74.3 × 92.1 cm)", "cm", 920.75, 742.95, None),
        ("29¼ x 36½", "in", 927.1, 742.95, None),
        ("H 30 cm, W 40 cm", "in", 400.0, 300.0, None),
        ("W: 40 x H: 30 cm", "in", 400.0, 300.0, None),
        ("40w x 30h", "in", 1016.0, 762.0, None),
        ("30 by 40 inches", "cm", 1016.0, 762.0, None),
        ("5' 3\" x 4' 2\"", "cm", 1270.0, 1600.2, None),
        ("76,2 x 101,6", "cm", 1016.0, 762.0, None),
        ("Image: 10 x 8 in; Framed: 20 x 16 in", "in", 406.4, 508.0, None),
        ("1.2 x 0.9 m", "in", 900.0, 1200.0, None),
    ],
)
def test_sizes_are_read_height_first_unless_labelled(text, unit, width, height, depth):
    assert size(text, unit) == (width, height, depth)


def test_a_list_that_writes_width_first_is_read_so():
    assert size("40 x 30", order="width_first") == (1016.0, 762.0, None)
    assert size("H 30 x W 40", order="width_first") == (1016.0, 762.0, None)


@pytest.mark.parametrize(
    "text", ["Overall display dimensions variable", "12 min 30 s", "", "large", "30", "x", "92 kg", "30 x", "0 x 0 cm"]
)
def test_what_is_no_size_is_refused(text):
    with pytest.raises(BadMeasure):
        parse_size(text, "in", "height_first")


def test_a_weight_among_the_measures_is_not_taken_for_a_depth():
    found = parse_size("frame: 1173 x 115 mm, 92 kg, 2705 mm", "mm", "height_first")
    assert (found.height_mm, found.width_mm, found.depth_mm, found.weight_kg) == (1173.0, 115.0, None, 92.0)
    assert "eight times" in found.notes[0]


@pytest.mark.parametrize(
    ("text", "kg"),
    [("28,5kg", 28.5), ("210 kg (415kg Gross)", 210.0), ("weight: 14 lb", 6.35029318), ("30 x 40 in", None)],
)
def test_weights_are_found(text, kg):
    assert weight_in(text) == kg


def test_a_frame_smaller_than_its_picture_is_remarked_on():
    found = parse_size("support: 762 x 1118 mm\nframe: 700 x 1200 mm", "mm", "height_first")
    assert "smaller than what it holds" in found.notes[0]
