"""What changed on the walls between two revisions: in numbers, and in words in the reader's units."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from placements.engine.results import Words
from placements.models import Bare, Placement, Revision
from placements.pieces import AtPlace, same_place, step_between, step_in_words
from studio.models import Artwork, Wall

ChangeKind = Literal["added", "removed", "moved", "came", "went"]


@dataclass(frozen=True, slots=True)
class PieceChange:
    """One piece on one wall. `came` from and `went` to another wall; `before` and `after` both where it moved here."""

    kind: ChangeKind
    artwork: Artwork
    before: AtPlace | None
    after: AtPlace | None
    other_wall: Wall | None = None

    @property
    def step(self) -> tuple[float, float]:
        """How far right and up it moved [mm]."""
        return step_between(self.before, self.after) if self.before and self.after else (0.0, 0.0)

    def text(self, words: Words) -> str:
        """The change as one would say it: "Estuary moves 2″ right and 1″ up"."""
        match self.kind:
            case "moved":
                return f"{self.artwork} moves {step_in_words(*self.step, words)}."
            case "added":
                return f"{self.artwork} is new here."
            case "removed":
                return f"{self.artwork} comes down."
            case "came":
                return f"{self.artwork} comes here from {self.other_wall}."
            case "went":
                return f"{self.artwork} goes to {self.other_wall}."


@dataclass(frozen=True, slots=True)
class BareChange:
    """A space (or a whole wall) that is now left bare, or no longer is."""

    space: str
    before: str | None
    after: str | None

    @property
    def text(self) -> str:
        where = "a space" if self.space else "the wall"
        if self.before is None:
            return f"{where.capitalize()} is now left bare: {self.after}"
        if self.after is None:
            return f"{where.capitalize()} is no longer left bare."
        return f"Why {where} stays bare: {self.after}"


@dataclass(frozen=True, slots=True)
class WallDifference:
    wall: Wall
    changes: tuple[PieceChange, ...]
    bares: tuple[BareChange, ...]
    before: tuple[Placement, ...]
    after: tuple[Placement, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """Only the walls that changed, in room order. `same` counts the others that hang something."""

    old: Revision
    new: Revision
    walls: tuple[WallDifference, ...] = field(default=())
    same: int = 0

    @property
    def changed_walls(self) -> frozenset[int]:
        """The walls that need a new sheet."""
        return frozenset(difference.wall.pk for difference in self.walls)

    def as_data(self) -> list[dict[str, object]]:
        """Per changed wall: what was added, removed and moved, as plain data."""
        return [
            {
                "wall": difference.wall.pk,
                "changes": [
                    {
                        "kind": change.kind,
                        "artwork": change.artwork.pk,
                        "dx_mm": change.step[0],
                        "dy_mm": change.step[1],
                        "other_wall": change.other_wall.pk if change.other_wall else None,
                    }
                    for change in difference.changes
                ],
                "bares": [
                    {"space": bare.space, "before": bare.before, "after": bare.after} for bare in difference.bares
                ],
            }
            for difference in self.walls
        ]


def difference(old: Revision, new: Revision) -> Difference:
    """What the step from one revision of a plan to another changes; six queries whatever its size."""
    before = {placement.artwork_id: placement for placement in _placements(old)}
    after = {placement.artwork_id: placement for placement in _placements(new)}
    changes: dict[int, list[PieceChange]] = {}
    for artwork_id in sorted(before.keys() | after.keys()):
        for wall_id, change in _changes_of(before.get(artwork_id), after.get(artwork_id)):
            changes.setdefault(wall_id, []).append(change)
    bares = _bare_changes(_bares(old), _bares(new))
    touched = changes.keys() | bares.keys()
    hanging = {placement.wall_id for placement in (*before.values(), *after.values())}
    walls = (
        Wall.objects.filter(pk__in=touched).select_related("room").order_by("room__position", "room", "position", "pk")
    )
    return Difference(
        old=old,
        new=new,
        walls=tuple(
            WallDifference(
                wall=wall,
                changes=tuple(changes.get(wall.pk, ())),
                bares=tuple(bares.get(wall.pk, ())),
                before=tuple(placement for placement in before.values() if placement.wall_id == wall.pk),
                after=tuple(placement for placement in after.values() if placement.wall_id == wall.pk),
            )
            for wall in walls
        ),
        same=len(hanging - touched),
    )


def _placements(revision: Revision) -> Iterable[Placement]:
    return revision.placements.select_related("artwork", "wall").order_by("wall", "order", "pk")


def _bares(revision: Revision) -> dict[tuple[int, str], Bare]:
    return {(bare.wall_id, bare.space): bare for bare in revision.bares.all()}


def _changes_of(before: Placement | None, after: Placement | None) -> Iterable[tuple[int, PieceChange]]:
    if before is None and after is not None:
        yield after.wall_id, PieceChange("added", after.artwork, None, after)
    elif after is None and before is not None:
        yield before.wall_id, PieceChange("removed", before.artwork, before, None)
    elif before is not None and after is not None:
        if before.wall_id != after.wall_id:
            yield before.wall_id, PieceChange("went", after.artwork, before, None, after.wall)
            yield after.wall_id, PieceChange("came", after.artwork, None, after, before.wall)
        elif not same_place(before, after):
            yield after.wall_id, PieceChange("moved", after.artwork, before, after)


def _bare_changes(
    before: dict[tuple[int, str], Bare], after: dict[tuple[int, str], Bare]
) -> dict[int, list[BareChange]]:
    found: dict[int, list[BareChange]] = {}
    for wall_id, space in sorted(before.keys() | after.keys()):
        was, now = before.get((wall_id, space)), after.get((wall_id, space))
        if (was and was.reason) != (now and now.reason):
            found.setdefault(wall_id, []).append(
                BareChange(space, was.reason if was else None, now.reason if now else None)
            )
    return found
