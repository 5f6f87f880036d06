"""What composing a group needs of a wall: the space, the works to choose from, the engine's answers."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from placements.engine.facade import AROUND, Composed, Edge, Site, compose, find_spaces, wider_spaces, with_findings
from placements.engine.groups import edit
from placements.engine.groups.layout import GroupLayout
from placements.engine.results import Hanging, Space, Words
from placements.engine.rulebook import Rulebook
from placements.pieces import Piece
from placements.scenes import ProjectScene
from studio.errors import Missing
from studio.models import Artwork
from studio.reader import units_of
from studio.units import BadMeasure, Units, parse_length

from . import walls
from .tape import Tape
from .walls import WallInHand

State = dict[str, Any]
#: What people call a layout's form.
FORMS = {
    "pair": "A pair",
    "trio": "A trio",
    "row": "One row",
    "column": "One column",
    "grid": "An even grid",
    "block": "A block between wings",
    "salon": "A centred arrangement",
    "stair": "A run along the stair",
}


@dataclass(frozen=True, slots=True)
class Ground:
    """A space to compose in: `space` is wider than that of `space_id` where the group goes around sconces.

    emptied: the spaces that the group takes up; what is said of them ("left bare") no longer holds.
    """

    scene: ProjectScene
    space: Space
    space_id: str
    site: Site
    pool: tuple[Artwork, ...]
    emptied: frozenset[str]
    hung_here: frozenset[int]
    can_go_around: bool
    goes_around: bool


def ground_for(hand: WallInHand, space_id: str, words: Words, *, around: bool = False) -> Ground:
    """The chosen space of a wall, or its best; the pool is what hangs nowhere else."""
    scene = hand.scene(whole=True)
    code = scene.wall_code[hand.wall.pk]
    rulebook = Rulebook.for_house(scene.house)
    spaces = [space for space in find_spaces(scene.house, rulebook, words) if space.wall == code]
    if not spaces:
        raise Missing("No stretch of this wall is free enough to hang a group.")
    wider_of = wider_spaces(scene.house, scene.house.wall_by_id[code], spaces, rulebook, words)
    if space_id.endswith(AROUND):
        around, space_id = True, next((own for own, space in wider_of.items() if space.id == space_id), space_id)
    space = next((space for space in spaces if space.id == space_id), None)
    if space is None and space_id:
        raise Missing("That space is not on this wall any more.")
    space = space or next((space for space in spaces if space.advice == "hang"), spaces[0])
    wider = wider_of.get(space.id)
    used = wider if around and wider else space
    here = {space.id, used.id, *(own for own, space in wider_of.items() if space is used)}
    hung_here = walls.hanging_in(hand, here)
    taken = {placement.artwork_id for placement in (*hand.elsewhere, *hand.here.values())} - hung_here
    pool = [artwork for pk, artwork in scene.art.items() if pk not in taken]
    return Ground(
        scene=scene,
        space=used,
        space_id=space.id,
        site=Site.on(scene.house.wall_by_id[code], used, rulebook),
        pool=tuple(sorted(pool, key=lambda artwork: (artwork.title, artwork.pk))),
        emptied=frozenset(here),
        hung_here=hung_here,
        can_go_around=wider is not None,
        goes_around=used is not space,
    )


def compose_for(
    ground: Ground,
    pool: Sequence[Artwork],
    *,
    hang_all: bool,
    pinned: Sequence[int],
    count: tuple[int, int],
    words: Words,
    stop: Callable[[], bool],
    edge: Edge = "rectangle",
) -> Composed:
    codes = [ground.scene.work_code[artwork.pk] for artwork in pool]
    works = [ground.scene.house.work_by_id[code] for code in codes]
    pins = [ground.scene.work_code[pk] for pk in pinned if ground.scene.work_code.get(pk) in codes]
    found = compose(
        ground.space,
        works,
        site=ground.site,
        pins_in=pins,
        hang_all=hang_all,
        count=(min(count), max(count)),
        edge=edge,
        most=6,
        stop=stop,
        words=words,
    )
    return dataclasses.replace(found, layouts=tuple(_as_hung(ground, layout, words) for layout in found.layouts))


def _as_hung(ground: Ground, layout: GroupLayout, words: Words) -> GroupLayout:
    """A layout with the findings that it will have on the wall."""
    return with_findings(ground.scene.house, layout, words)


def layout_of(ground: Ground, state: State, words: Words) -> GroupLayout:
    """The layout that a page carries, measured and judged."""
    return _as_hung(ground, _layout(ground, state, words), words)


def _layout(ground: Ground, state: State, words: Words) -> GroupLayout:
    missing = [pk for pk, _, _ in state["pieces"] if pk not in ground.scene.work_code]
    if missing or not state["pieces"]:
        raise Missing("A piece of this group is not there any more: compose again.")
    scene = _scene(ground, words)
    hangings = [
        Hanging(ground.scene.work_code[pk], ground.space.wall, left, bottom, order)
        for order, (pk, left, bottom) in enumerate(state["pieces"], 1)
    ]
    return scene.layout(hangings, state["form"], [ground.scene.work_code[pk] for pk in state["locked"]])


def state_of(ground: Ground, layout: GroupLayout) -> State:
    """A layout as a page carries it."""
    pk = ground.scene.work_pk
    return {
        "pieces": [[pk[h.work], round(h.left, 4), round(h.bottom, 4)] for h in layout.hangings],
        "locked": sorted(pk[code] for code in layout.locked),
        "form": layout.form,
    }


def hung_as(hand: WallInHand, ground: Ground, layout: GroupLayout, *, after: int) -> list[Piece]:
    """The pieces of a layout as they hang on the wall, in hanging order after so many others, on a tape's marks."""
    space, why = ground.space.id, "; ".join(reason.text for reason in layout.reasons)
    tape = Tape(ground.scene, ground.scene.hangings(hand.here.values()), units_of(hand.project))
    on_marks = tape.put(layout.hangings, ground.space)
    kept = {"space": space, "group": walls.group_in(space), "why": why}
    return [ground.scene.piece(hanging, order=after + hanging.order, **kept) for hanging in on_marks]


def state_hung(hand: WallInHand, ground: Ground) -> State:
    """What hangs in the space, as a page carries it."""
    here = [piece for piece in hand.pieces if piece.artwork.pk in ground.hung_here]
    if not here:
        raise Missing("Nothing hangs in this space any more: compose a group instead.")
    return {
        "pieces": [[piece.artwork.pk, round(piece.left_mm, 4), round(piece.bottom_mm, 4)] for piece in here],
        "locked": sorted(piece.artwork.pk for piece in here if piece.locked),
        "form": "salon",
    }


def is_there(ground: Ground, state: State) -> bool:
    """Whether every piece of a layout may still hang here."""
    pool = {artwork.pk for artwork in ground.pool}
    return all(pk in pool for pk, _, _ in state["pieces"])


def edited(ground: Ground, state: State, operation: str, given: Mapping[str, Any], units: Units) -> State:
    """The state after one edit.

    Raises:
        ValueError: an edit that cannot be, with a sentence for people.
    """
    scene, layout = _scene(ground, units), _layout(ground, state, units)
    work, other = _code(ground, given, "work"), _code(ground, given, "other")
    if operation in ("remove", "swap", "lock", "unlock", "drag") and work not in layout.works:
        raise ValueError("Choose a piece of the group first.")
    if operation == "remove":
        layout = edit.remove(layout, work, scene)
    elif operation == "swap":
        if other not in layout.works:
            raise ValueError("Choose the piece to change places with.")
        layout = edit.swap(layout, work, other, scene)
    elif operation == "add":
        new = _code(ground, given, "new")
        if not new:
            raise ValueError("Choose a work to add.")
        layout = edit.add(layout, new, scene)
    elif operation == "drag":
        if given["left_mm"] is None or given["bottom_mm"] is None:
            raise ValueError("Drag the piece to a place.")
        layout = edit.drag(layout, work, given["left_mm"], given["bottom_mm"], scene)
    elif operation == "spread":
        try:
            layout = edit.spread(layout, parse_length(given["gap"], units.unit, zero=True), scene)
        except BadMeasure as fault:
            raise ValueError(f"The gap: {fault}.") from None
    elif operation == "mirror":
        layout = edit.mirror(layout, scene)
    elif operation == "lock":
        layout = edit.lock(layout, work)
    elif operation == "unlock":
        layout = edit.unlock(layout, work)
    else:
        raise ValueError("A group cannot be edited like that.")
    return state_of(ground, layout)


def _scene(ground: Ground, words: Words) -> edit.GroupScene:
    return edit.GroupScene.of(ground.space, ground.scene.house.works, site=ground.site, words=words)


def _code(ground: Ground, given: Mapping[str, Any], name: str) -> str:
    return ground.scene.work_code.get(given[name] or 0, "")
