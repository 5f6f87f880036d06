"""Walls, rooms and houses of our own invention to judge proposals on: each with a hand's way and what is expected.

Common practice, no source. None is made from the walls hung by hand.
"""

from __future__ import annotations

from ..building import Case
from . import (
    bare_and_whole_houses,
    bays_and_long_walls,
    hearths_and_screens,
    looks_and_rooms,
    sets_and_salons,
    sofas_and_beds,
    what_a_house_tells,
)

CASES: tuple[Case, ...] = (
    *sofas_and_beds.CASES,
    *hearths_and_screens.CASES,
    *bays_and_long_walls.CASES,
    *sets_and_salons.CASES,
    *bare_and_whole_houses.CASES,
    *what_a_house_tells.CASES,
    *looks_and_rooms.CASES,
)
