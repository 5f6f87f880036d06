"""What the reader's session remembers of the walls that it worked on: undo and redo of a wall, and of a group that is
arranged by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from placements.pieces import Piece
from placements.selectors.walls import WallInHand
from studio.access import SignedRequest
from studio.models import Wall

#: Steps of one wall, and walls (or groups) of one session: so much is kept, the newest.
DEPTH, KEPT = 40, 8
State = dict[str, Any]
#: The pieces of a wall, and why a space of it stays bare, by the space.
Before = tuple[Sequence[Piece], Mapping[str, str]]


def remember(request: SignedRequest, hand: WallInHand, before: Before, *, done: str, action: str = "") -> None:
    """Keep the wall as it was before an edit. An edit can be undone, and what was undone before it can no longer be
    redone; the actions "undo" and "redo" go a step back and forth.

    `done` says what the edit did. The pieces of a group share their reasons, and most steps keep them: each text is
    kept once, in `whys`.
    """
    pieces, bares = before
    stacks = _kept(request, "wall_steps", _key(hand), {"undo": [], "redo": [], "whys": []})
    to = "redo" if action == "undo" else "undo"
    if action in ("undo", "redo"):
        done = stacks[action].pop()["then"]
    else:
        stacks["redo"] = []
    whys = stacks["whys"]
    whys += dict.fromkeys(piece.why for piece in pieces if piece.why not in whys)
    step = {
        "pieces": [piece.as_data() | {"why": whys.index(piece.why)} for piece in pieces],
        "bares": [[space, reason] for space, reason in bares.items()],
        "then": done,
    }
    stacks[to] = [*stacks[to], step][-DEPTH:]
    request.session.modified = True


def last(request: SignedRequest, hand: WallInHand, way: str) -> State | None:
    steps = earlier(request, hand, way)
    return steps[0] if steps else None


def earlier(request: SignedRequest, hand: WallInHand, way: str = "undo") -> list[State]:
    """The wall's arrangements of this session, the nearest first: what undo, or redo, would bring back step by step.

    Each holds `pieces` and `bares` as an edit of the wall takes them, and what was done `then`.
    """
    kept = request.session.get("wall_steps", {}).get(_key(hand)) if hand.revision else None
    if kept is None:
        return []
    whys = kept["whys"]
    return [
        {**one, "pieces": [{**piece, "why": whys[piece["why"]]} for piece in one["pieces"]]} for one in kept[way][::-1]
    ]


def _key(hand: WallInHand) -> str:
    return f"{hand.revision.pk if hand.revision else 0}:{hand.wall.pk}"


def _kept(request: SignedRequest, shelf: str, key: str, empty: Any) -> Any:
    """What the session keeps under a key; the one longest unused makes room."""
    kept: dict[str, Any] = request.session.setdefault(shelf, {})
    kept[key] = kept.pop(key, empty)
    for oldest in list(kept)[:-KEPT]:
        del kept[oldest]
    return kept[key]


# A group that is arranged by hand: what it is now, and the steps either way. ---------------------------------------


def group_kept(request: SignedRequest, wall: Wall, space: str) -> State | None:
    """The group of a space as this session left it: `state`, `past`, `future`."""
    kept: State | None = request.session.get("groups", {}).get(f"{wall.pk}:{space}")
    return kept


def group_begin(request: SignedRequest, wall: Wall, space: str, state: State) -> State:
    """Start from a layout; what was arranged here before is one step back, so nothing is lost."""
    before = group_kept(request, wall, space)
    if before is None:
        return _group_keep(request, wall, space, state, [], [])
    if before["state"] == state:
        return before
    return _group_keep(request, wall, space, state, [*before["past"], before["state"]], [])


def group_step(request: SignedRequest, wall: Wall, space: str, shown: State, changed: State) -> State:
    """An edit of what the page showed."""
    kept = group_kept(request, wall, space) or {"past": []}
    return _group_keep(request, wall, space, changed, [*kept["past"], shown], [])


def group_back(request: SignedRequest, wall: Wall, space: str, shown: State, way: str) -> State:
    """Undo or redo; without a step that way, what the page showed."""
    kept = group_kept(request, wall, space) or {"past": [], "future": []}
    past, future = kept["past"], kept["future"]
    if way == "undo" and past:
        return _group_keep(request, wall, space, past[-1], past[:-1], [*future, shown])
    if way == "redo" and future:
        return _group_keep(request, wall, space, future[-1], [*past, shown], future[:-1])
    return {"state": shown, "past": past, "future": future}


def group_forget(request: SignedRequest, wall: Wall, space: str) -> None:
    request.session.get("groups", {}).pop(f"{wall.pk}:{space}", None)
    request.session.modified = True


def _group_keep(
    request: SignedRequest, wall: Wall, space: str, state: State, past: list[State], future: list[State]
) -> State:
    kept: State = _kept(request, "groups", f"{wall.pk}:{space}", {})
    kept |= {"state": state, "past": past[-DEPTH:], "future": future[-DEPTH:]}
    request.session.modified = True
    return kept
