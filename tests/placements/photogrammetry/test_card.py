"""The reference card: its markers against the dictionary's published bits, and finding it in a picture."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from placements.photogrammetry.card import (
    CARDS_A_PAPER,
    MARKER_MM,
    PAPERS,
    Card,
    card_of_marker,
    dictionary,
    find_cards,
    marker_modules,
)
from placements.photogrammetry.errors import CardNotFound

CARDS = [Card(paper, number) for paper in PAPERS for number in range(1, CARDS_A_PAPER + 1)]


def flat(card: Card, pixels_a_mm: float = 3.0) -> np.ndarray:
    """The card seen straight on, y down."""
    width, height = card.size
    page = np.full((round(height * pixels_a_mm), round(width * pixels_a_mm), 3), 245, np.uint8)
    for marker, corners in zip(card.marker_ids, card.marker_corners(), strict=True):
        image = np.kron(marker_modules(marker), np.ones((25, 25))) * 230 + 15
        left, top = corners[0][0] * pixels_a_mm, (height - corners[0][1]) * pixels_a_mm
        side = round(MARKER_MM * pixels_a_mm)
        image = cv2.resize(image.astype(np.uint8), (side, side), interpolation=cv2.INTER_AREA)
        page[round(top) : round(top) + side, round(left) : round(left) + side] = image[..., None]
    return cv2.copyMakeBorder(page, 60, 60, 60, 60, cv2.BORDER_CONSTANT, value=(150, 150, 150))


def test_bits_are_those_of_the_published_dictionary():
    # ArUco DICT_4X4_50, marker 0, as OpenCV's objdetect module publishes it: rows 1011, 0101, 0011, 0010.
    rows = ["".join(str(int(bit)) for bit in row[1:-1]) for row in marker_modules(0)[1:-1]]
    assert rows == ["1011", "0101", "0011", "0010"]
    assert not marker_modules(0)[[0, -1]].any()  # a border of black
    assert not marker_modules(0)[:, [0, -1]].any()


def test_every_card_has_markers_of_its_own_within_the_dictionary():
    ids = [marker for card in CARDS for marker in card.marker_ids]
    assert len(set(ids)) == len(ids) == 48
    assert max(ids) < len(dictionary().bytesList) == 50
    assert all(
        card_of_marker(marker) == (card, place) for card in CARDS for place, marker in enumerate(card.marker_ids)
    )
    assert card_of_marker(48) is None
    assert card_of_marker(-1) is None


@pytest.mark.parametrize("card", CARDS[::5], ids=lambda card: f"{card.paper} {card.number}")
def test_card_fits_its_paper(card):
    # ISO 216 A4 is 210 x 297 mm; US letter 8 1/2 x 11 in is 215.9 x 279.4 mm.
    corners = card.marker_corners().reshape(-1, 2)
    assert (corners >= 12).all()  # printers leave up to half an inch of margin (common practice, no source)
    assert (corners <= np.array(card.size) - 12).all()
    assert np.allclose(np.hypot(*(corners[1] - corners[0])), 50.0)


@pytest.mark.parametrize("card", CARDS[::4], ids=lambda card: f"{card.paper} {card.number}")
@pytest.mark.parametrize("quarter_turns", [0, 1])
def test_card_is_found_in_every_position(card, quarter_turns):
    page = np.rot90(flat(card), quarter_turns).copy()
    (seen,) = find_cards(page)
    assert seen.card == card
    assert seen.places == (0, 1, 2, 3)
    sides = np.hypot(*np.moveaxis(np.roll(seen.pixels, -1, axis=1) - seen.pixels, -1, 0))
    assert sides == pytest.approx(MARKER_MM * 3, abs=0.6)


def test_two_cards_in_one_picture_are_told_apart():
    picture = np.concatenate([flat(Card("letter", 1)), flat(Card("letter", 2))], axis=1)
    assert [card.card for card in find_cards(picture)] == [Card("letter", 1), Card("letter", 2)]


def test_two_markers_are_enough_and_one_is_not():
    page = flat(Card("a4", 3))
    half = page.copy()
    half[half.shape[0] // 2 :] = 150
    assert find_cards(half)[0].places == (0, 1)
    half[:, half.shape[1] // 2 :] = 150
    with pytest.raises(CardNotFound):
        find_cards(half)


def test_no_card_says_what_to_do():
    with pytest.raises(CardNotFound, match=r"all four markers in view.*take the picture again"):
        find_cards(np.full((400, 600, 3), 128, np.uint8))


def test_markers_of_somebody_elses_page_are_no_card():
    image = cv2.aruco.generateImageMarker(dictionary(), 49, 200)
    page = cv2.copyMakeBorder(
        cv2.cvtColor(image, cv2.COLOR_GRAY2BGR), 80, 80, 80, 80, cv2.BORDER_CONSTANT, value=(255,) * 3
    )
    with pytest.raises(CardNotFound):
        find_cards(page)
