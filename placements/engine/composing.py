"""A composed group as the wall will see it."""

from __future__ import annotations

import dataclasses

from .assess import assess_wall
from .groups.layout import GroupLayout
from .house import House
from .results import Words


def with_findings(house: House, layout: GroupLayout, words: Words) -> GroupLayout:
    """A layout with what the rules find in it once it hangs on its wall.

    Raises:
        InvalidHouse: a work that the house does not have. KeyError: a wall that it does not have.
    """
    found = assess_wall(house, layout.hangings[0].wall, layout.hangings, words=words).findings
    return dataclasses.replace(layout, findings=found)
