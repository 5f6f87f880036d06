"""Why a work does not hang in a plan, and why a place stays bare: the wall, the largest cause and the figure."""

from __future__ import annotations

import numpy as np

from ..house import Work
from ..names import place_of, small
from ..results import Space, Unplaced
from ..scoring import pairing
from .planner import Draft, Planner


def unplaced(planner: Planner, draft: Draft) -> tuple[Unplaced, ...]:
    """Every work that the plan leaves out, in the order of the inventory, with the strongest reason."""
    hung = {piece.work for one in draft.hung for piece in one.pieces}
    return tuple(Unplaced(work.id, _why(planner, draft, work)) for work in planner.house.works if work.id not in hung)


def why_bare(planner: Planner, draft: Draft, index: int) -> str:
    """Why a space stays bare: its own reasons, or what the works lack."""
    space = planner.spaces[index]
    if space.advice == "leave_bare":
        return ". ".join(one.text for one in space.reasons) or "Better left bare"
    if not np.isfinite(planner.board.quality[:, index]).any():
        return "No work of the inventory fits here"
    text = "Nothing that fits here is worth more than the bare wall, or it hangs better elsewhere"
    return f"Optional: {small(text)}" if space.advice == "optional" else text


def _why(planner: Planner, draft: Draft, work: Work) -> str:
    if not planner.spaces:
        return "The house has no free space"
    kind = next(k for k, one in enumerate(planner.kinds) if work.id in one.members)
    stopped = _stopped(planner, work)
    if work.locked:
        return stopped or f"It is fixed to “{work.locked}”, where there is no free space that takes it"
    casts = planner.board.casts_with[kind]
    quality, value = planner.board.quality[casts].max(axis=0), planner.board.value[casts].max(axis=0)
    name = _set_of(planner, work)
    if not np.isfinite(quality).any():
        return _too_large(planner, work, name)
    best = int(np.argmax(np.where(np.isfinite(value), value, quality - 1e6)))
    place, what = _where(planner, planner.spaces[best]), f"The set “{name}” stays together; its" if name else "Its"
    if not planner.allowed[kind].any() or not np.isfinite(value).any():
        cause = stopped or _stop_text(planner, work, best)
        if cause:
            return f"{what} best place is {place}, where it must not hang: {small(cause)}"
    if planner.places[best].worth <= 0:
        reason = next((small(one.text) for one in planner.spaces[best].reasons), "it is better left bare")
        return f"{what} best place is {place}, which is better left bare: {reason}"
    rivals = [piece for one in draft.hung if one.place.index == best for piece in one.pieces]
    if rivals:
        titles = f"“{planner.house.work_by_id[rivals[0].work].title}”" + (" and others" if len(rivals) > 1 else "")
        return f"{what} best place is {place}, which serves the whole plan better with {titles}"
    return (
        f"{what} best place is {place}, and it is no better than the bare wall: {_largest_fault(planner, work, best)}"
    )


def _stopped(planner: Planner, work: Work) -> str:
    """What was tried with this work and would break a rule that stops."""
    return next((text for (works, _), text in planner.stopped.items() if work.id in works and text), "")


def _stop_text(planner: Planner, work: Work, index: int) -> str:
    told = pairing(planner.house, planner.spaces[index], work, planner.rulebook, planner.words)
    return next((one.text for one in told.findings if one.level == "stop"), "")


def _largest_fault(planner: Planner, work: Work, index: int) -> str:
    """The first exception of the work there, else how well it suits."""
    told = pairing(planner.house, planner.spaces[index], work, planner.rulebook, planner.words)
    care = [one for one in told.findings if one.level == "exception" and planner.rulebook.rule(one.rule).care]
    other = [one for one in told.findings if one.level == "exception"]
    return small((care or other)[0].text) if other else "what it adds there is too little"


def _too_large(planner: Planner, work: Work, name: str | None) -> str:
    """That nothing takes it, with the largest free space."""
    largest = max(planner.spaces, key=lambda one: (one.rect.width * one.rect.height, one.id))
    free = planner.words.size(largest.rect.width, largest.rect.height)
    where = f"the largest is {free}, {_where(planner, largest)}"
    if name:
        return f"The set “{name}” stays together, and no free space takes all of it; {where}"
    size = planner.words.size(work.width, work.height)
    if any(work.width <= one.rect.width and work.height <= one.rect.height for one in planner.spaces):
        return f"{size} fits no free space at a height where it may hang; {where}"
    return f"{size} is larger than every free space; {where}"


def _set_of(planner: Planner, work: Work) -> str | None:
    """The name of its set, where it has others beside it."""
    mates = [one for one in planner.house.works if work.set_name and one.set_name == work.set_name]
    return work.set_name if len(mates) > 1 else None


def _where(planner: Planner, space: Space) -> str:
    """Where a space is: the place, and the wall in a house of several."""
    wall, room = planner.house.wall_by_id[space.wall], planner.house.room_by_id[space.room]
    if len(planner.house.wall_by_id) == 1:
        return place_of(space.name)
    return f"{place_of(space.name)} ({room.name}, {wall.name})"
