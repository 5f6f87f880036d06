"""Two chairs with a table between are hung over as one; what carries a piece of its own is not. Common practice."""

from __future__ import annotations

import pytest

from placements.engine.facade import propose
from placements.engine.house import House, Item, Room, Wall, Work
from placements.engine.rule import INCH
from placements.engine.spaces import find_spaces
from placements.engine.spaces.suites import suites


def thing(name: str, kind: str, left: float, width: float, top: float) -> Item:
    label = "Armchair" if kind == "custom" else ""
    return Item(
        name, kind, left * INCH, 0.0, width * INCH, top * INCH, label=label, custom_acts="bearer" if label else None
    )


def wall(*items: Item) -> Wall:
    return Wall("w", "r", "w", 150 * INCH, 100 * INCH, items=items)


LEFT, TABLE, RIGHT = (
    thing("a", "custom", 30, 30, 34),
    thing("t", "end_table", 64, 22, 24),
    thing("b", "custom", 90, 30, 34),
)


def house(*items: Item, works: tuple[Work, ...] = ()) -> House:
    return House((Room("r", "Room", "living", walls=(wall(*items),)),), works)


def test_chairs_and_table_make_one_space_as_wide_as_all_and_as_high_as_the_higher() -> None:
    over = [space for space in find_spaces(house(RIGHT, TABLE, LEFT)) if space.kind == "over_furniture"]
    assert len(over) == 1
    assert over[0].width_basis == pytest.approx(90 * INCH)
    assert over[0].rect.centre_x == pytest.approx(75 * INCH)
    assert over[0].rect.bottom == pytest.approx(34 * INCH)
    assert over[0].over in ("a", "b")
    assert over[0].name == "Over the armchair, end table and armchair"


def test_the_picture_hangs_over_the_middle_of_the_suite() -> None:
    told = house(LEFT, TABLE, RIGHT, works=(Work("river", "River", 56 * INCH, 30 * INCH),))
    (piece,) = [piece for one in propose(told).plan for piece in one.pieces]
    assert piece.left + 28 * INCH == pytest.approx(75 * INCH, abs=1)
    assert 6 * INCH <= piece.bottom - 34 * INCH <= 10 * INCH


@pytest.mark.parametrize(
    "items",
    [
        (LEFT, TABLE),  # one chair
        (LEFT, TABLE, thing("b", "custom", 90, 44, 34)),  # unlike
        (LEFT, thing("b", "custom", 100, 30, 34)),  # too far from each other
        (thing("a", "bed", 12, 40, 42), thing("t", "end_table", 64, 22, 24), thing("b", "bed", 98, 40, 42)),
        (thing("a", "sofa", 10, 80, 34), thing("t", "end_table", 94, 22, 24)),
        (LEFT, thing("t", "end_table", 66, 22, 24), thing("b", "custom", 112, 30, 34)),  # lopsided
    ],
)
def test_what_is_no_suite(items: tuple[Item, ...]) -> None:
    assert list(suites(wall(*items))) == []
