"""One wall of a plan: what hangs there, what the engine says of it, what could hang there."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence, Set
from functools import cached_property
from typing import Any

from placements import judged, scenes
from placements.engine.errors import InvalidHouse
from placements.engine.facade import lies_within
from placements.engine.results import Assessment, Hanging, Pairing, PlainWords, Words
from placements.models import Placement, Revision, RevisionState, RevisionWall
from placements.pieces import Piece
from placements.scenes import ProjectScene
from studio.errors import Missing
from studio.models import Artwork, Project, Wall

from .projects import walls_with_items


class WallInHand:
    """One wall of a plan with all that an edit or a page needs of it, each read once, when first asked for.

    It is passed on from the page to the service and back: `forget` drops what an edit makes old, and keeps the rest.
    Without a revision nothing hangs yet.
    """

    def __init__(
        self, project: Project, wall: Wall, revision: Revision | None, *, whole: ProjectScene | None = None
    ) -> None:
        self.project, self.wall, self.revision = project, wall, revision
        self._scene, self._whole = whole, whole is not None
        self._assessed: dict[Any, tuple[ProjectScene, Assessment]] = {}

    @cached_property
    def edited(self) -> RevisionWall | None:
        """The last edit, None where there was none yet. What it left is read after it, never before: whatever somebody
        else changes in between is then noticed under the lock."""
        if self.revision is None:
            return None
        return self.revision.walls.filter(wall=self.wall).select_related("edited_by").first()

    @cached_property
    def here(self) -> dict[int, Placement]:
        """What hangs on this wall, in hanging order, by the work's number."""
        if self.revision is None:
            return {}
        _ = self.edited
        rows = self.revision.placements.filter(wall=self.wall).select_related("artwork").order_by("order", "pk")
        return {row.artwork_id: row for row in rows}

    @cached_property
    def bares(self) -> dict[str, str]:
        """Why a space (or with "" the whole wall) stays bare, by the space."""
        if self.revision is None:
            return {}
        _ = self.edited
        return dict(self.revision.bares.filter(wall=self.wall).values_list("space", "reason"))

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """What hangs on this wall, in hanging order."""
        return tuple(Piece.of(row) for row in self.here.values())

    @cached_property
    def elsewhere(self) -> tuple[Placement, ...]:
        """What the revision hangs on its other walls, with the works."""
        if self.revision is None:
            return ()
        others = self.revision.placements.exclude(wall=self.wall)
        return tuple(others.select_related("artwork").order_by("wall", "order", "pk"))

    @property
    def version(self) -> int:
        """The version that an edit of this wall must name."""
        return self.edited.version if self.edited else 1

    @property
    def in_review(self) -> bool:
        """Whether the principal has the plan for review, so that a change takes it back first."""
        return self.revision is not None and self.revision.state == RevisionState.IN_REVIEW

    def forget(self) -> None:
        """What hangs, what stays bare and the version are read again when next asked for."""
        self._assessed.clear()
        for name in ("edited", "here", "bares", "pieces", "elsewhere"):
            self.__dict__.pop(name, None)

    def scene(self, also: Iterable[Artwork] = (), *, whole: bool = False) -> ProjectScene:
        """The project as the engine sees it, with what hangs in the plan and `also`; `whole`: with all that may hang.

        Read anew only where the one read before lacks a work.
        """
        placed = (*self.here.values(), *self.elsewhere)
        wanted = {artwork.pk: artwork for artwork in (*(each.artwork for each in placed), *also)}
        if self._scene is None or (whole and not self._whole) or not wanted.keys() <= self._scene.art.keys():
            self._whole = whole or self._whole
            every = {artwork.pk: artwork for artwork in scenes.works_for(self.project)} if self._whole else {}
            self._scene = scenes.scene_of(self.project, works=(every | wanted).values())
        return self._scene

    def hanging_by_wall(self) -> dict[int, list[Placement]]:
        """All that the revision hangs, in hanging order, by wall."""
        found: dict[int, list[Placement]] = {self.wall.pk: list(self.here.values())}
        for placement in self.elsewhere:
            found.setdefault(placement.wall_id, []).append(placement)
        return found

    def hangings(self, scene: ProjectScene) -> tuple[Hanging, ...]:
        """All that the revision hangs."""
        every = (*self.elsewhere, *self.here.values())
        return scene.hangings(sorted(every, key=lambda placement: (placement.wall_id, placement.order, placement.pk)))

    def assessed(
        self, asked: Hashable, work_out: Callable[[], tuple[ProjectScene, Assessment]]
    ) -> tuple[ProjectScene, Assessment]:
        """What the engine said when the same was asked before, of the plan as it is still; else it is asked."""
        if asked not in self._assessed:
            self._assessed[asked] = work_out()
        return self._assessed[asked]

    def placement(self, artwork: int, seen: int | None = None) -> Placement:
        """Where a work hangs on this wall; `seen`: the number of the placement that the caller saw of it.

        Raises:
            Missing: it does not hang here, or was taken down since and hung anew.
        """
        found = self.here.get(artwork)
        if found is None or seen not in (None, found.pk):
            raise Missing(f"This piece no longer hangs on {self.wall}.")
        return found

    def besides(self, works: Set[int]) -> list[Piece]:
        """The pieces of other works than these."""
        return [piece for piece in self.pieces if piece.artwork.pk not in works]

    def bares_besides(self, spaces: Set[str]) -> dict[str, str]:
        """What stays left bare, with its reason, once something hangs in `spaces`: the whole wall never does."""
        return {space: why for space, why in self.bares.items() if space and space not in spaces}

    def as_data(self) -> dict[str, Any]:
        """The wall as plain data: what the loser of a race compares with, and what undo returns to."""
        return {
            "revision": self.revision.pk if self.revision else None,
            "wall": self.wall.pk,
            "version": self.version,
            "edited_by": str(self.edited.edited_by) if self.edited and self.edited.edited_by else None,
            "edited_at": self.edited.updated_at.isoformat() if self.edited else None,
            "pieces": [
                piece.as_data() | {"placement": piece.placement, "title": piece.artwork.title} for piece in self.pieces
            ],
            "bares": [{"space": space, "reason": reason} for space, reason in self.bares.items()],
        }


def wall_in_hand(project: Project, wall_pk: int, revision: Revision | None, *, whole: bool = False) -> WallInHand:
    """The wall with its room and items; `whole`: with every work that may hang, for ranking and remedies.

    Raises:
        Missing: the project has no such wall.
    """
    if not whole:
        return WallInHand(project, wall_in(project, wall_pk), revision)
    scene = scenes.scene_of(project)
    if wall_pk not in scene.walls:
        raise Missing("There is no such wall in this project.")
    return WallInHand(project, scene.walls[wall_pk], revision, whole=scene)


def group_in(space: str) -> str:
    """What the pieces of a group in this space share as their `group`."""
    return space[-40:]


def wall_in(project: Project, wall_pk: int) -> Wall:
    """A wall with its room and items.

    Raises:
        Missing: the project has no such wall.
    """
    wall = walls_with_items(Wall.objects.filter(room__project=project, pk=wall_pk)).first()
    if wall is None:
        raise Missing("There is no such wall in this project.")
    return wall


def assess(
    hand: WallInHand,
    words: Words,
    *,
    pieces: Sequence[Piece] | None = None,
    bares: Mapping[str, str] | None = None,
    remedies: bool = False,
) -> tuple[ProjectScene, Assessment]:
    """The wall as it hangs, or as it would with `pieces` and `bares` instead, with the rest of the plan as it is.

    With `remedies` every arrangement carries its remedies, which draws on the whole inventory and takes longer.
    """
    pieces = hand.pieces if pieces is None else tuple(pieces)
    bare = tuple(sorted(hand.bares if bares is None else bares))
    return hand.assessed((pieces, bare, words, remedies), lambda: _assessed(hand, words, pieces, bare, remedies))


def _assessed(
    hand: WallInHand, words: Words, pieces: tuple[Piece, ...], bare: tuple[str, ...], remedies: bool
) -> tuple[ProjectScene, Assessment]:
    scene = hand.scene([piece.artwork for piece in pieces], whole=remedies)
    works, code = {piece.artwork.pk for piece in pieces}, scene.wall_code[hand.wall.pk]
    elsewhere = [placement for placement in hand.elsewhere if placement.artwork_id not in works]
    hangings = (*scene.hangings(elsewhere), *(scene.hanging(piece, hand.wall.pk) for piece in pieces))
    return scene, judged.assess_wall(scene.house, code, hangings, bare=bare, words=words, with_remedies=remedies)


def hanging_in(hand: WallInHand, spaces: Set[str]) -> frozenset[int]:
    """The works that hang in any of these spaces: kept as hanging there, or seen there by the engine."""
    scene, assessment = assess(hand, PlainWords())
    seen = {
        scene.work_pk[h.work]
        for arrangement in assessment.arrangements
        if arrangement.space in spaces
        for h in arrangement.pieces
    }
    return frozenset(seen | {piece.artwork.pk for piece in hand.pieces if piece.space and piece.space in spaces})


def space_of(hand: WallInHand, placement: Placement) -> str:
    """The space of a placement at its place on the wall: the one that it names where it lies within that, else where
    the engine sees it; "" on a wall without spaces.
    """
    piece = Piece.of(placement)
    hung = hand.here | {placement.artwork_id: placement}
    scene, assessment = assess(hand, PlainWords(), pieces=[Piece.of(row) for row in hung.values()])
    if any(space.id == piece.space and lies_within(piece.rect, space.rect) for space in assessment.spaces):
        return piece.space
    code = scene.work_code[piece.artwork.pk]
    return next(
        (arrangement.space for arrangement in assessment.arrangements if code in {h.work for h in arrangement.pieces}),
        "",
    )


def ranked(
    hand: WallInHand,
    space_id: str,
    words: Words,
    *,
    most: int = 12,
    only: Collection[int] | None = None,
    besides: Collection[int] = (),
) -> list[tuple[Artwork, Pairing]]:
    """The works for a space, the best first, each with its reason; those on other walls are left out.

    only, besides: the works that count, and those that do not.
    """
    if not space_id:
        return []
    scene = hand.scene(whole=True)
    counted = {code for code, pk in scene.work_pk.items() if pk not in besides and (only is None or pk in only)}
    try:
        pairings = judged.rank(scene.house, space_id, hand.hangings(scene), words, most, counted)
    except InvalidHouse as gone:
        raise Missing("That space is not on this wall any more.") from gone
    return [(scene.artwork(pairing.work), pairing) for pairing in pairings]


def why_not(hand: WallInHand, space_id: str, asked: Artwork, chosen: Artwork, words: Words) -> str:
    """One work beside the other that hangs in the space, in a sentence."""
    scene = hand.scene(whole=True)
    codes = scene.work_code[asked.pk], scene.work_code[chosen.pk]
    return judged.why_not(scene.house, codes[0], space_id, codes[1], words).text


def better(
    hand: WallInHand, first: Sequence[Piece], second: Sequence[Piece], words: Words
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What speaks for hanging the wall the first way, and what for the second, with the rest of the plan as it is."""
    scene = hand.scene(whole=True)
    ways = []
    for pieces in (first, second):
        works = {piece.artwork.pk for piece in pieces}
        elsewhere = [placement for placement in hand.elsewhere if placement.artwork_id not in works]
        here = [scene.hanging(piece, hand.wall.pk) for piece in pieces if piece.artwork.pk in scene.work_code]
        ways.append((*scene.hangings(elsewhere), *here))
    return judged.better(scene.house, scene.wall_code[hand.wall.pk], ways[0], ways[1], words)
