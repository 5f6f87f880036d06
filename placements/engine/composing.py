"""Composed groups for one space, as the plan takes them and as the wall will see them."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

from .assess import assess_wall
from .groups.compose import compose
from .groups.layout import GroupLayout
from .groups.setting import Site
from .house import House, Work
from .results import Hanging, Space, Words
from .rulebook import Rulebook

#: Fewest and most pieces of a group, and how many layouts the plan may choose from.
PIECES, LAYOUTS = (2, 9), 4


def compose_for(
    house: House, space: Space, pool: Sequence[Work], rulebook: Rulebook, words: Words
) -> Iterator[tuple[Hanging, ...]]:
    """The pieces of the best few groups that the works of the pool make in a space."""
    if len(pool) < 2:
        return
    site = Site.on(house.wall_by_id[space.wall], space, rulebook)
    for layout in compose(space, pool, site=site, words=words, count=PIECES, most=LAYOUTS).layouts:
        yield layout.hangings


def with_findings(house: House, layout: GroupLayout, words: Words) -> GroupLayout:
    """A layout with what the rules find in it once it hangs on its wall.

    Raises:
        InvalidHouse: a work that the house does not have. KeyError: a wall that it does not have.
    """
    found = assess_wall(house, layout.hangings[0].wall, layout.hangings, words=words).findings
    return dataclasses.replace(layout, findings=found)
