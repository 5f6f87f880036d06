"""One wall of a plan: what hangs there, what the engine says of it, what could hang there."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from placements import scenes
from placements.engine import facade
from placements.engine.errors import InvalidHouse
from placements.engine.grouping import lies_within
from placements.engine.house import Rect
from placements.engine.results import Assessment, Hanging, Pairing, PlainWords, Words
from placements.models import Placement, Revision, RevisionState
from placements.scenes import ProjectScene
from studio.errors import Missing
from studio.models import Artwork, Project, Wall

from .projects import walls_with_items


@dataclass(frozen=True, slots=True)
class Hung:
    """A work on the wall, where it hangs or where the reader's hand holds it."""

    artwork: Artwork
    left_mm: float
    bottom_mm: float
    order: int = 1
    space: str = ""
    group: str = ""
    locked: bool = False
    why: str = ""

    @classmethod
    def of(cls, row: Placement) -> Hung:
        return cls(row.artwork, row.left_mm, row.bottom_mm, row.order, row.space, row.group, row.locked, row.why)

    @property
    def rect(self) -> Rect:
        return Rect(self.left_mm, self.bottom_mm, self.artwork.width_mm, self.artwork.height_mm)


@dataclass(frozen=True, slots=True)
class PlannedWall:
    """A wall with the revision that the page shows of it."""

    project: Project
    wall: Wall
    revision: Revision | None
    hung: tuple[Hung, ...]
    bares: dict[str, str]
    version: int

    def bares_besides(self, spaces: Set[str]) -> dict[str, str]:
        """What stays left bare, with its reason, once something hangs in `spaces`: the whole wall never does."""
        return {space: why for space, why in self.bares.items() if space and space not in spaces}


def planned_wall(project: Project, wall: Wall, revision: Revision | None) -> PlannedWall:
    hung: tuple[Hung, ...] = ()
    bares: dict[str, str] = {}
    version = 1
    if revision is not None:
        placed = revision.placements.filter(wall=wall).select_related("artwork").order_by("order", "pk")
        hung = tuple(Hung.of(one) for one in placed)
        bares = dict(revision.bares.filter(wall=wall).values_list("space", "reason"))
        version = revision.walls.filter(wall=wall).values_list("version", flat=True).first() or 1
    return PlannedWall(project, wall, revision, hung, bares, version)


def group_in(space: str) -> str:
    """What the pieces of a group in this space share as their `group`."""
    return space[-40:]


def in_review(planned: PlannedWall) -> bool:
    """Whether the plan lies with the principal, so that a change takes it back first."""
    return planned.revision is not None and planned.revision.state == RevisionState.IN_REVIEW


def wall_in(project: Project, wall_pk: int) -> Wall | None:
    return walls_with_items(Wall.objects.filter(room__project=project, pk=wall_pk)).first()


def assess(
    planned: PlannedWall,
    words: Words,
    *,
    hung: Sequence[Hung] | None = None,
    bares: Mapping[str, str] | None = None,
    mending: bool = False,
) -> tuple[ProjectScene, Assessment]:
    """The wall as it hangs, or as it would with `hung` and `bares` instead, judged with the rest of the plan as it is.

    With `mending` every arrangement carries what would mend it, which draws on the whole inventory and takes longer.
    """
    hung = planned.hung if hung is None else hung
    scene = scenes.scene_of(planned.project) if mending else _scene(planned, [one.artwork.pk for one in hung])
    code = scene.wall_code[planned.wall.pk]
    here = tuple(Hanging(scene.work_code[one.artwork.pk], code, one.left_mm, one.bottom_mm, one.order) for one in hung)
    elsewhere = tuple(
        one
        for one in (scenes.hangings_of(planned.revision, scene) if planned.revision else ())
        if one.wall != code and one.work not in {piece.work for piece in here}
    )
    bare = tuple(sorted(planned.bares if bares is None else bares))
    found = facade.assess_wall(scene.house, code, (*elsewhere, *here), bare=bare, words=words, with_mending=mending)
    return scene, found


def hanging_in(planned: PlannedWall, spaces: Set[str]) -> frozenset[int]:
    """The works that hang in any of these spaces: kept as hanging there, or seen there by the engine."""
    scene, assessment = assess(planned, PlainWords())
    seen = {scene.work_pk[h.work] for one in assessment.arrangements if one.space in spaces for h in one.pieces}
    return frozenset(seen | {one.artwork.pk for one in planned.hung if one.space and one.space in spaces})


def space_of(planned: PlannedWall, piece: Hung) -> str:
    """The space that a piece of the wall hangs in once it is at `piece`'s place: its own where it lies within that,
    else where the engine sees it; "" on a wall without spaces.
    """
    hung = with_moved(planned.hung, piece.artwork, piece.left_mm, piece.bottom_mm)
    scene, assessment = assess(planned, PlainWords(), hung=hung)
    if any(one.id == piece.space and lies_within(piece.rect, one.rect) for one in assessment.spaces):
        return piece.space
    code = scene.work_code[piece.artwork.pk]
    return next((one.space for one in assessment.arrangements if code in {h.work for h in one.pieces}), "")


def ranked(planned: PlannedWall, space_id: str, words: Words, *, most: int = 12) -> list[tuple[Artwork, Pairing]]:
    """The works for a space, the best first, each with its reason; those on other walls are left out."""
    if not space_id:
        return []
    scene = scenes.scene_of(planned.project)
    hangings = scenes.hangings_of(planned.revision, scene) if planned.revision else ()
    try:
        pairings = facade.rank(scene.house, space_id, hangings, words, most)
    except InvalidHouse as gone:
        raise Missing("That space is not on this wall any more.") from gone
    works = Artwork.objects.in_bulk([scene.work_pk[one.work] for one in pairings])
    return [(works[scene.work_pk[one.work]], one) for one in pairings]


def why_not(planned: PlannedWall, space_id: str, asked: Artwork, chosen: Artwork, words: Words) -> str:
    """One work beside the other that hangs in the space, in a sentence."""
    scene = scenes.scene_of(planned.project)
    codes = scene.work_code[asked.pk], scene.work_code[chosen.pk]
    return facade.why_not(scene.house, codes[0], space_id, codes[1], words).text


def _scene(planned: PlannedWall, also: Sequence[int]) -> ProjectScene:
    """The project with only what hangs in the revision or on this page: what judging needs."""
    placed = Artwork.objects.filter(pk__in=also)
    if planned.revision is not None:
        placed = placed | Artwork.objects.filter(placements__revision=planned.revision)
    return scenes.scene_of(planned.project, works=placed.distinct())


def with_moved(hung: Sequence[Hung], artwork: Artwork, left_mm: float, bottom_mm: float) -> tuple[Hung, ...]:
    """The same pieces with one at another place, or hung there anew."""
    if not any(one.artwork.pk == artwork.pk for one in hung):
        return (*hung, Hung(artwork, left_mm, bottom_mm, len(hung) + 1))
    return tuple(
        dataclasses.replace(one, left_mm=left_mm, bottom_mm=bottom_mm) if one.artwork.pk == artwork.pk else one
        for one in hung
    )
