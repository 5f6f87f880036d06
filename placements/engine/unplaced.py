"""Why a work does not hang in a plan, in plain words."""

from __future__ import annotations

import numpy as np

from .assignment import Solution
from .candidates import Candidates, allowed_spaces
from .names import place_of
from .results import Unplaced


def unplaced(found: Candidates, solution: Solution) -> tuple[Unplaced, ...]:
    """Every work that the plan leaves out, in the order of the inventory, with the strongest reason."""
    holder = {column.space: column.works for column in solution.columns}
    hung = {i for works in holder.values() for i in works}
    return tuple(Unplaced(work.id, _why(found, holder, i)) for i, work in enumerate(found.house.works) if i not in hung)


def _why(found: Candidates, holder: dict[int, tuple[int, ...]], i: int) -> str:
    work, scores = found.house.works[i], found.scores
    if not found.spaces:
        return "The house has no free space"
    allowed = allowed_spaces(work, found.spaces)
    if work.locked and not allowed.any():
        return f"It is fixed to “{work.locked}”, where there is no free space"
    fits = ~scores.veto[i] & allowed
    if not fits.any():
        return _fits_nowhere(found, i, allowed)
    together = [other.id for other in found.house.works if work.set_name and other.set_name == work.set_name]
    if len(together) > 1:
        return _set_why(found, holder, i, len(together))
    best = int(np.argmax(np.where(fits, scores.total[i], -np.inf)))
    space, own = found.spaces[best], float(scores.total[i, best])
    rivals = holder.get(best, ())
    if not rivals:
        if space.advice == "leave_bare":
            return f"Its best place is {place_of(space.name)}, which is better left bare"
        return f"Its best place is {place_of(space.name)} with {own:.0f} of 100, too weak to beat the bare wall"
    titles = " and ".join(f"“{found.house.works[k].title}”" for k in rivals[:2]) + (" and others" * (len(rivals) > 2))
    value = max((c for k in rivals for c in (float(scores.total[k, best]),)), default=0.0)
    if len(rivals) == 1 and abs(value - own) < 1:
        return f"Its best place is {place_of(space.name)} ({own:.0f} of 100), where {titles} suits as well and hangs"
    if len(rivals) == 1 and value > own:
        return f"Its best place is {place_of(space.name)} ({own:.0f} of 100), where {titles} suits better ({value:.0f})"
    return (
        f"Its best place is {place_of(space.name)} ({own:.0f} of 100), which serves the whole plan better with {titles}"
    )


def _fits_nowhere(found: Candidates, i: int, allowed: np.ndarray) -> str:
    work = found.house.works[i]
    room = [space for space, here in zip(found.spaces, allowed, strict=True) if here]
    size = found.words.size(work.width, work.height)
    if all(work.width > space.rect.width or work.height > space.rect.height for space in room):
        widest = max(room, key=lambda space: space.rect.width * space.rect.height)
        free = found.words.size(widest.rect.width, widest.rect.height)
        return f"{size} is larger than every free space here; the largest is {free}, {place_of(widest.name)}"
    return f"No space can take it ({size}): each would break a rule that stops"


def _set_why(found: Candidates, holder: dict[int, tuple[int, ...]], i: int, count: int) -> str:
    name = found.house.works[i].set_name
    homes = sorted({j for j, works in found.hangings if i in works})
    if not homes:
        return f"The set “{name}” of {count} stays together, and no free space takes all of it"
    taken = next((j for j in homes if holder.get(j)), homes[0])
    rivals = holder.get(taken, ())
    place = place_of(found.spaces[taken].name)
    if rivals:
        title = found.house.works[rivals[0]].title
        return f"The set “{name}” stays together; it could hang {place}, which serves the plan better with “{title}”"
    return f"The set “{name}” stays together; {place} it is not worth more than the bare wall"
