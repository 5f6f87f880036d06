"""What a measured photograph has to say to its purpose: findings of today's hanging, differences from the plan."""

from __future__ import annotations

from typing import Any

from placements.engine.facade import wall_spaces
from placements.engine.rulebook import Rulebook
from placements.models import MarkState, Photo, PhotoPurpose, Revision, RevisionState
from placements.photogrammetry.errors import PhotoError
from placements.pieces import Piece
from placements.scenes import scene_of
from studio.models import Artwork
from studio.units import Units

from .. import projects as select
from .. import walls
from .measured import as_hung


def planned_for(photo: Photo) -> Revision | None:
    """The plan that this photograph is held against: the newest frozen one for what was hung, else the current one."""
    project = photo.wall.room.project
    if photo.purpose == PhotoPurpose.AS_HUNG:
        open_states = (RevisionState.DRAFT, RevisionState.IN_REVIEW)
        frozen = Revision.objects.filter(plan__project=project).exclude(state__in=open_states)
        newest = frozen.order_by("-number").first()
        if newest is not None:
            return newest
    return select.current_revision(project)


def offered(photo: Photo, units: Units) -> dict[str, Any]:
    """For the photograph's page, by its purpose."""
    if photo.camera is None:
        return {}
    found = {
        PhotoPurpose.HUNG: _today,
        PhotoPurpose.FLOOR: _spaces,
        PhotoPurpose.AS_HUNG: _differences,
        PhotoPurpose.SHOW: _planned,
    }.get(PhotoPurpose(photo.purpose))
    return found(photo, units) if found else {}


def _today(photo: Photo, units: Units) -> dict[str, Any]:
    """What the house rules say of the wall as it hangs today."""
    works = Artwork.objects.filter(hung_wall=photo.wall, hung_left_mm__isnull=False, hung_bottom_mm__isnull=False)
    hung = tuple(
        Piece(artwork, artwork.hung_left_mm, artwork.hung_bottom_mm, order)
        for order, artwork in enumerate(works.order_by("hung_left_mm", "pk"), 1)
    )
    if not hung:
        return {"today": ()}
    hand = walls.WallInHand(photo.wall.room.project, photo.wall, None)
    _, assessment = walls.assess(hand, units, pieces=hung)
    return {"today": hung, "findings": assessment.findings}


def _spaces(photo: Photo, units: Units) -> dict[str, Any]:
    """The spaces of the wall that the layout could go to, with the version of the wall that was looked at."""
    project = photo.wall.room.project
    scene = scene_of(project, wall=photo.wall, works=Artwork.objects.none())
    wall = scene.house.wall_by_id[scene.wall_code[photo.wall_id]]
    hand = walls.WallInHand(project, photo.wall, select.current_revision(project))
    spaces = [
        (space.id, f"{space.name}, {units.size(space.rect.width, space.rect.height)}")
        for space in wall_spaces(scene.house, wall, Rulebook.for_house(scene.house), units)
    ]
    return {"spaces": spaces, "version": hand.version if select.editable(hand.revision) else None}


def _differences(photo: Photo, units: Units) -> dict[str, Any]:
    revision = planned_for(photo)
    if revision is None:
        return {"plan": None}
    try:
        found = as_hung(photo, revision, units)
    except PhotoError:
        return {"plan": revision, "differences": None}
    seen = {mark.placement.pk for mark in found}
    unseen = [
        placement
        for placement in revision.placements.filter(wall=photo.wall).select_related("artwork")
        if placement.pk not in seen
    ]
    return {"plan": revision, "differences": found, "unseen": unseen}


def _planned(photo: Photo, units: Units) -> dict[str, Any]:
    revision = planned_for(photo)
    count = revision.placements.filter(wall=photo.wall).count() if revision else 0
    over = photo.marks.filter(kind="work", state=MarkState.ACCEPTED).count()
    return {"plan": revision, "planned_count": count, "over": over}
