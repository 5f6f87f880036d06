"""Hanging a group that was composed for a space."""

from __future__ import annotations

from placements import access
from placements.engine.results import Words
from placements.selectors import groups as select
from placements.selectors.walls import WallInHand

from .moves import arrangement_replace
from .walls import Edit


def group_hang(
    *,
    edit: Edit,
    hand: WallInHand,
    space: str,
    state: select.State,
    words: Words,
    around: bool = False,
) -> None:
    """Hang a group in a space of the wall in hand; what hung in that space comes down, the wall's other pieces stay.

    `state` is the layout as `selectors.groups.state_of` gives it [mm]; `around`: the group goes around the sconces.

    Raises:
        Missing: the space or a piece is not there any more.
        Conflict, WrongState: as `wall_edit`.
    """
    access.require(by=edit.by, studio=hand.project.client.studio, roles=access.DESIGN, to="hang a group")
    ground = select.ground_for(hand, space, words, around=around)
    layout = select.layout_of(ground, state, words)
    stays = hand.besides({*ground.hung_here, *(artwork for artwork, _, _ in state["pieces"])})
    arrangement_replace(
        edit=edit,
        hand=hand,
        pieces=[*stays, *select.hung_as(hand, ground, layout, after=len(stays))],
        bares=hand.bares_besides(ground.emptied).items(),
    )
