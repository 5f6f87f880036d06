"""The wall in hand, as a page or an operation of the API takes it up."""

from __future__ import annotations

from typing import Any

from placements.models import Placement, Revision
from placements.selectors.walls import WallInHand
from studio.models import Wall


def in_hand(revision: Revision, wall: Wall) -> WallInHand:
    return WallInHand(revision.plan.project, wall, revision)


def taken_up(placement: Placement) -> dict[str, Any]:
    """A placement with its wall, as the services of one piece take them."""
    return {"hand": in_hand(placement.revision, placement.wall), "placement": placement}
