"""Straightening a photographed piece, against OpenCV's own solver and a picture that is known."""

import cv2
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from PIL import Image

from studio.crops import CORNERS, WHOLE, Crop, cut, from_unit_square
from studio.errors import Invalid

SQUARE = [(0, 0), (1, 0), (1, 1), (0, 1)]


def quad(*corners):
    return tuple(corners)


def test_a_rectangle_needs_no_perspective():
    # By hand: (u, v) goes to (10 + 30 u, 20 + 40 v).
    assert from_unit_square([(10, 20), (40, 20), (40, 60), (10, 60)]) == (30, 0, 10, 0, 40, 20, 0, 0)


@given(st.tuples(*[st.integers(-300, 300)] * 8))
def test_the_perspective_is_the_one_that_opencv_finds(moves):
    corners = np.float64(SQUARE) * (800, 600) + np.reshape(moves, (4, 2)) / 1000 * (800, 600)
    ours = np.append(from_unit_square([tuple(corner) for corner in corners]), 1).reshape(3, 3)
    theirs = cv2.getPerspectiveTransform(np.float32(SQUARE), np.float32(corners))
    assume(np.linalg.cond(theirs) < 1e6)
    inside = np.array([[[0.5, 0.5], [0.2, 0.9], [1, 1], [0, 0]]])
    assert cv2.perspectiveTransform(inside, ours) == pytest.approx(cv2.perspectiveTransform(inside, theirs), abs=0.1)


@pytest.fixture
def painted():
    """A picture with a soft pattern and four marks, 600 × 400."""
    ys, xs = np.mgrid[0:400, 0:600]
    waves = [128 + 90 * np.sin(xs / 40 + k) * np.cos(ys / 55 - k) for k in range(3)]
    image = np.stack(waves, axis=-1).astype(np.uint8)
    for x, y, tone in ((30, 30, 255), (550, 30, 0), (550, 350, 255), (30, 350, 0)):
        image[y : y + 20, x : x + 20] = tone
    return image


def test_what_was_photographed_askew_comes_back_square_on(painted):
    corners = np.float32([(310, 240), (1240, 330), (1180, 900), (260, 1010)])
    edge = np.float32([(0, 0), (600, 0), (600, 400), (0, 400)])
    # OpenCV counts from the middle of a pixel; our corners are the picture's outer edge.
    matrix = cv2.getPerspectiveTransform(edge - 0.5, corners - 0.5)
    photograph = cv2.warpPerspective(painted, matrix, (1500, 1200), flags=cv2.INTER_CUBIC)
    crop = Crop(tuple((float(x) / 1500, float(y) / 1200) for x, y in corners))
    kept = cut(Image.fromarray(photograph), crop, proportion=1.5, most_px=2400)
    assert kept.width / kept.height == pytest.approx(1.5, abs=0.01)
    found = np.asarray(kept.resize((600, 400), Image.Resampling.LANCZOS), float)
    off = np.abs(found - painted)[4:-4, 4:-4]
    assert np.median(off) < 2
    assert np.percentile(off, 99) < 40  # only the marks' own hard edges blur
    misplaced = np.abs(np.roll(found, 3, axis=1) - painted)[4:-4, 4:-4]
    assert np.median(misplaced) > 2 * np.median(off)  # three pixels off would be seen


def test_the_proportions_are_the_piece_s_or_the_corners_own():
    image = Image.new("RGB", (1000, 800), "white")
    half = quad((0.0, 0.0), (0.5, 0.0), (0.5, 1.0), (0.0, 1.0))
    assert cut(image, Crop(half), proportion=0.5, most_px=2400).size == (500, 1000)
    assert cut(image, Crop(half, to_piece=False), proportion=0.5, most_px=2400).size == (500, 800)
    assert cut(image, Crop(), proportion=0.5, most_px=2400).size == (1000, 800)
    assert cut(image, Crop(half), proportion=0.5, most_px=600).size == (300, 600)


@pytest.mark.parametrize(("quarters", "where"), [(0, (0, 0)), (1, (1, 0)), (2, (1, 1)), (3, (0, 1))])
def test_quarters_turn_clockwise(quarters, where):
    image = Image.new("RGB", (120, 80), "white")
    image.paste((200, 0, 0), (0, 0, 40, 40))  # upper left as taken
    kept = cut(image, Crop(quarters=quarters), proportion=1, most_px=2400)
    assert kept.size == ((120, 80) if quarters % 2 == 0 else (80, 120))
    assert kept.getpixel((where[0] * (kept.width - 1), where[1] * (kept.height - 1))) == (200, 0, 0)


@pytest.mark.parametrize(
    ("corners", "message"),
    [
        (quad((0.9, 0.1), (0.1, 0.1), (0.1, 0.9), (0.9, 0.9)), "crossed"),  # anticlockwise: a mirror image
        (quad((0.1, 0.1), (0.9, 0.9), (0.9, 0.1), (0.1, 0.9)), "crossed"),
        (quad((0.1, 0.1), (0.9, 0.1), (0.3, 0.3), (0.1, 0.9)), "crossed"),  # dented
        (quad((0.1, 0.1), (0.5, 0.11), (0.9, 0.12), (0.1, 0.9)), "in a line"),
        (quad((0.1, 0.1), (0.12, 0.1), (0.12, 0.9), (0.1, 0.9)), "too near one another: 20 pixels"),
        (quad((0.5, 0.5), (0.5, 0.5), (0.5, 0.5), (0.5, 0.5)), "too near one another: 0 pixels"),
    ],
)
def test_corners_that_enclose_nothing_to_see_are_refused(corners, message):
    with pytest.raises(Invalid, match=message) as refused:
        cut(Image.new("RGB", (1000, 1000)), Crop(corners), proportion=1, most_px=2400)
    assert refused.value.faults[0]["where"] == "corners"


@pytest.mark.parametrize("value", [-0.01, 1.01, float("nan"), float("inf")])
@pytest.mark.parametrize("index", range(4))
def test_each_corner_lies_inside_the_picture(index, value):
    corners = list(WHOLE)
    corners[index] = (0.5, value)
    with pytest.raises(Invalid) as refused:
        Crop(tuple(corners))
    assert [fault["where"] for fault in refused.value.faults] == [f"{CORNERS[index]}_down"]


def test_nonsense_is_refused():
    with pytest.raises(Invalid, match="quarters"):
        Crop(quarters=4)
    with pytest.raises(Invalid, match="Four corners"):
        Crop(WHOLE[:3])


def test_a_crop_is_stored_and_read_back():
    crop = Crop(quad((0.1, 0.2), (0.9, 0.1), (0.8, 0.9), (0.2, 0.8)), quarters=3, to_piece=False)
    assert Crop.of(crop.stored()) == crop
    assert Crop.of(None) == Crop()
