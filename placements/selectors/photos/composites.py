"""Photographs with the works set into them: which of a wall's the client sees, and whether it agrees with the plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

from placements.models import Photo, Placement
from studio.models import Project, Wall

#: What of a work's record a composite shows, besides its picture.
LOOKS = ("width_mm", "height_mm", "form", "frame", "frame_width_mm", "mat_width_mm")


@dataclass(frozen=True, slots=True)
class Composite:
    """`fresh`: it shows what the plan hangs on the wall now, each work where it hangs and as it looks."""

    photo: Photo
    fresh: bool


@dataclass(frozen=True, slots=True)
class WallComposites:
    """A wall's composites, newest first, and the one that the client sees."""

    wall: Wall
    found: tuple[Composite, ...]

    @property
    def chosen(self) -> Photo | None:
        """Somebody chose it; None where the newest is shown, or none was chosen."""
        return next((composite.photo for composite in self.found if composite.photo.for_client), None)

    @property
    def kept_back(self) -> bool:
        """None is shown, as somebody chose."""
        return self.chosen is None and any(composite.photo.for_client is False for composite in self.found)

    @property
    def shown(self) -> Photo | None:
        """What the client sees: never one that shows another plan than today's."""
        if self.kept_back:
            return None
        chosen = self.chosen
        return next(
            (
                composite.photo
                for composite in self.found
                if composite.fresh and (chosen is None or composite.photo == chosen)
            ),
            None,
        )


def facts_shown(photo: Photo, placements: Iterable[Placement]) -> dict[str, Any]:
    """What a composite of this photograph would show now: how it was measured, which works, where, how framed.

    `Photo.shown_facts` keeps what it showed when it was made: where the two differ, it no longer agrees with the plan.
    """
    return {
        "camera": photo.camera,
        "level": photo.level,
        "works": sorted(
            (
                [
                    placement.artwork_id,
                    placement.left_mm,
                    placement.bottom_mm,
                    *(getattr(placement.artwork, name) for name in LOOKS),
                    placement.artwork.picture.name or "",
                ]
                for placement in placements
            ),
            key=itemgetter(0),
        ),
    }


def composites_by_wall(walls: Sequence[Wall], hanging: Mapping[int, Sequence[Placement]]) -> dict[int, WallComposites]:
    """Of the walls that have any; `hanging` is what the plan hangs, by wall."""
    by_wall: dict[int, list[Composite]] = {}
    for photo in Photo.objects.filter(wall__in=walls).exclude(shown="").order_by("-created_at", "-pk"):
        fresh = photo.shown_facts == facts_shown(photo, hanging.get(photo.wall_id, ()))
        by_wall.setdefault(photo.wall_id, []).append(Composite(photo, fresh))
    return {wall.pk: WallComposites(wall, tuple(by_wall[wall.pk])) for wall in walls if wall.pk in by_wall}


def shown_photo(wall: Wall, placements: Sequence[Placement]) -> Photo | None:
    """The photograph with the works set into it that shows a wall as these placements hang it; None without one."""
    composites = composites_by_wall([wall], {wall.pk: placements}).get(wall.pk)
    return composites.shown if composites else None


def composites_of(project: Project, hanging: Mapping[int, Sequence[Placement]]) -> list[WallComposites]:
    """A project's walls that have composites, in room order."""
    walls = Wall.objects.filter(room__project=project).select_related("room")
    ordered = list(walls.order_by("room__position", "room", "position", "pk"))
    return list(composites_by_wall(ordered, hanging).values())
