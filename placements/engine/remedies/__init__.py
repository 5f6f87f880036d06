"""Remedies for a finding: computed, concrete, best first.

A piece in the wrong place is shifted. One that ends too low is stacked with another, leaned, or replaced. One that is
too narrow is matted out or given companions. Any may move to a better space, and any wall may stay bare.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..explain import Judged
from ..results import Hanging, Remedy, Space
from .elsewhere import anew, leave_bare, move, replace
from .single import companions, lean, mat_out, shift, stack
from .stock import Stock

__all__ = ["Stock", "remedies"]

#: Order among remedies that gain the same.
_ORDER = ("stack", "reframe", "group", "replace", "move", "lean", "leave_bare")


def remedies(stock: Stock, space: Space, pieces: Sequence[Hanging], judged: Judged) -> tuple[Remedy, ...]:
    """The remedies for an arrangement, best first; nothing where no rule is broken.

    Shifting the piece where it is comes first: it asks for nothing else. Leaning and leaving bare come last: the first
    cannot be measured by the rules of hanging, the second is always open.
    """
    if all(finding.level == "note" for finding in judged.findings):
        return ()
    found: list[Remedy] = []
    if len(pieces) == 1:
        piece = pieces[0]
        for make in (shift, stack, lean, mat_out, companions):
            found += make(stock, space, piece, judged)
    found += anew(stock, space, pieces, judged)
    found += replace(stock, space, pieces, judged)
    found += move(stock, space, pieces, judged)
    found += leave_bare(space, judged)

    def rank(remedy: Remedy) -> tuple[int, float, int, str]:
        tier = 0 if remedy.moves_to == space.id else 2 if remedy.kind in ("lean", "leave_bare") else 1
        return tier, -remedy.gain, _ORDER.index(remedy.kind), remedy.text

    return tuple(sorted(found, key=rank))
