"""The ways to hang one wall that a designer compares: as it is now, earlier states, the engine's alternatives, bare."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from placements.engine import facade
from placements.engine.results import Assessment, Hanging, Words
from placements.models import Option as KeptOption
from placements.models import Placement, RevisionState
from placements.pieces import Piece, same_places
from studio.models import Artwork, Wall

from . import groups, walls
from .groups import FORMS
from .walls import WallInHand

#: Of the engine's singles and of its groups so many are offered, and so many steps of the session.
SINGLES, GROUPS, STEPS = 3, 3, 6


@dataclass(frozen=True, slots=True)
class Way:
    """One way to hang the wall. `key` finds it again; `gone` counts pieces that the inventory no longer has."""

    key: str
    name: str
    hung: tuple[Piece, ...]
    bares: Mapping[str, str]
    detail: str = ""
    gone: int = 0
    kept: int | None = None


@dataclass(frozen=True, slots=True)
class Loss:
    """Another wall that pieces leave: how it is judged with them and without."""

    wall: Wall
    works: tuple[Artwork, ...]
    before: Assessment
    after: Assessment


def ways_of(
    hand: WallInHand,
    space: str,
    words: Words,
    *,
    back: Sequence[Mapping[str, Any]] = (),
    forth: Sequence[Mapping[str, Any]] = (),
    stop: Callable[[], bool] = lambda: False,
) -> list[Way]:
    """Every way there is, each arrangement once: the first name that it goes by.

    Args:
        space: the space that the engine's alternatives and "bare" are for.
        back, forth: this session's arrangements of the wall, the nearest first: what was before, what was undone.
        stop: true when the search for groups must end.
    """
    found: list[Way] = []
    for way in _all(hand, space, words, back, forth, stop):
        if not any(same(way, other) for other in found):
            found.append(way)
    return found


def way_of(
    hand: WallInHand,
    key: str,
    space: str,
    words: Words,
    *,
    back: Sequence[Mapping[str, Any]] = (),
    forth: Sequence[Mapping[str, Any]] = (),
    stop: Callable[[], bool] = lambda: False,
) -> Way | None:
    """The way that a key names, None where there is no such way any more."""
    kind, _, which = key.partition("-")
    ways: dict[str, Callable[[], Iterable[Way]]] = {
        "now": lambda: [as_hung(hand)],
        "back": lambda: _steps(hand, "back", back),
        "forth": lambda: _steps(hand, "forth", forth),
        "kept": lambda: _kept(hand),
        "revision": lambda: _revisions(hand),
        "work": lambda: _singles(hand, space, words, only=int(which) if which.isdecimal() else 0),
        "group": lambda: _groups(hand, space, words, stop),
        "bare": lambda: _bare(hand, space),
    }
    return next((way for way in ways.get(kind, list)() if way.key == key), None)


def as_hung(hand: WallInHand) -> Way:
    return Way("now", "As it hangs now", hand.pieces, hand.bares)


def same(way: Way, other: Way) -> bool:
    """Whether two ways hang the same pieces at the same places and leave the same bare."""
    return way.bares.keys() == other.bares.keys() and same_places(way.hung, other.hung)


def state_of(way: Way) -> dict[str, Any]:
    """A way as a page carries it and as an option keeps it."""
    return {
        "pieces": [
            piece.as_data()
            | {"left_mm": round(piece.left_mm, 4), "bottom_mm": round(piece.bottom_mm, 4), "order": order}
            for order, piece in enumerate(way.hung, 1)
        ],
        "bares": [[space, reason] for space, reason in way.bares.items()],
    }


def losses_of(hand: WallInHand, way: Way, words: Words) -> list[Loss]:
    """What the rest of the plan would lose: the other walls that pieces of this way come from."""
    if hand.revision is None:
        return []
    wanted = {piece.artwork.pk for piece in way.hung}
    leaving = [placement for placement in hand.elsewhere if placement.artwork_id in wanted]
    if not leaving:
        return []
    scene = hand.scene(whole=True)
    hangings = hand.hangings(scene)
    stay = tuple(hanging for hanging in hangings if scene.work_pk[hanging.work] not in wanted)
    bare = list(hand.revision.bares.values_list("wall_id", "space"))
    by_wall: dict[int, list[Placement]] = {}
    for placement in leaving:
        by_wall.setdefault(placement.wall_id, []).append(placement)

    def judged(pk: int, hung: tuple[Hanging, ...]) -> Assessment:
        left_bare = sorted(space for wall_pk, space in bare if wall_pk == pk)
        return facade.assess_wall(scene.house, scene.wall_code[pk], hung, bare=left_bare, words=words)

    return [
        Loss(scene.walls[pk], tuple(placement.artwork for placement in found), judged(pk, hangings), judged(pk, stay))
        for pk, found in by_wall.items()
    ]


def _all(
    hand: WallInHand,
    space: str,
    words: Words,
    back: Sequence[Mapping[str, Any]],
    forth: Sequence[Mapping[str, Any]],
    stop: Callable[[], bool],
) -> Iterator[Way]:
    yield as_hung(hand)
    yield from _kept(hand)
    yield from _steps(hand, "back", back[:STEPS])
    yield from _steps(hand, "forth", forth[:STEPS])
    yield from _revisions(hand)
    yield from _singles(hand, space, words, most=SINGLES)
    yield from _groups(hand, space, words, stop)
    yield from _bare(hand, space)


def _steps(hand: WallInHand, kind: str, states: Sequence[Mapping[str, Any]]) -> Iterator[Way]:
    for number, state in enumerate(states, 1):
        then = str(state.get("then", "")).rstrip(".")
        name = "Before the last change" if number == 1 else f"{number} changes ago"
        detail = f"Before: {then}." if then else ""
        if kind == "forth":
            name = "Undone: the last" if number == 1 else f"Undone: {number} changes"
            detail = f"With: {then}." if then else ""
        yield _from_state(hand, f"{kind}-{number}", name, state, detail=detail)


def _kept(hand: WallInHand) -> Iterator[Way]:
    for option in KeptOption.objects.filter(wall=hand.wall).select_related("kept_by"):
        detail = f"Kept by {option.kept_by or 'somebody'}, {option.created_at:%-d %b}."
        yield _from_state(hand, f"kept-{option.pk}", option.name, option.arrangement, detail=detail, kept=option.pk)


def _revisions(hand: WallInHand) -> Iterator[Way]:
    if hand.revision is None:
        return
    for revision in hand.revision.plan.revisions.exclude(pk=hand.revision.pk).order_by("-number"):
        then = WallInHand(hand.project, hand.wall, revision)
        detail = f"{RevisionState(revision.state).label}, {revision.updated_at:%-d %b %Y}."
        yield Way(f"revision-{revision.number}", f"Revision {revision.number}", then.pieces, then.bares, detail=detail)


def _singles(hand: WallInHand, space: str, words: Words, *, most: int = 1, only: int | None = None) -> Iterator[Way]:
    here = {piece.artwork.pk for piece in hand.pieces}
    asked: dict[str, Any] = {"most": most, "besides": here} if only is None else {"most": 1, "only": {only}}
    stays = None
    for work, pairing in walls.ranked(hand, space, words, **asked):
        if not pairing.fits:
            continue
        stays = _outside(hand, space) if stays is None else stays
        kept = [piece for piece in stays if piece.artwork.pk != work.pk]
        new = Piece(work, pairing.left, pairing.bottom, len(kept) + 1, space=space, why=pairing.why)
        yield Way(
            f"work-{work.pk}", work.title, (*kept, new), hand.bares_besides({space}), detail="Offered by the engine."
        )


def _groups(hand: WallInHand, space: str, words: Words, stop: Callable[[], bool]) -> Iterator[Way]:
    """The best layouts that differ in form or in number of pieces."""
    if not space:
        return
    ground = groups.ground_for(hand, space, words)
    composed = groups.compose_for(ground, ground.pool, hang_all=False, pinned=(), count=(2, 9), words=words, stop=stop)
    stays = _outside(hand, space)
    seen: set[tuple[str, int]] = set()
    for layout in composed.layouts:
        kind = layout.form, len(layout.hangings)
        if kind in seen or len(seen) >= GROUPS:
            continue
        seen.add(kind)
        kept = [piece for piece in stays if ground.scene.work_code.get(piece.artwork.pk) not in layout.works]
        new = groups.hung_as(hand, ground, layout, after=len(kept))
        count = len(new)
        yield Way(
            f"group-{len(seen)}",
            f"{FORMS[layout.form]} of {count}" if layout.form not in ("pair", "trio") else FORMS[layout.form],
            (*kept, *new),
            hand.bares_besides({space}),
            detail="Composed by the engine.",
        )


def _bare(hand: WallInHand, space: str) -> Iterator[Way]:
    if "" in hand.bares or (space and space in hand.bares):
        return
    stays = tuple(_outside(hand, space)) if space else ()
    yield Way("bare", "Left bare", stays, {**hand.bares, space: ""})


def _outside(hand: WallInHand, space: str) -> list[Piece]:
    return hand.besides(walls.hanging_in(hand, {space}))


def _from_state(
    hand: WallInHand, key: str, name: str, state: Mapping[str, Any], *, detail: str, kept: int | None = None
) -> Way:
    works = hand.scene(whole=True).art
    hung = tuple(Piece.read(piece, works) for piece in state["pieces"] if piece["artwork"] in works)
    gone = len(state["pieces"]) - len(hung)
    return Way(key, name, hung, dict(state["bares"]), detail=detail, gone=gone, kept=kept)
