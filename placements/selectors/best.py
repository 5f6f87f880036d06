"""Where a work would look best: over all walls of its client, or of every project for the studio's own stock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from placements import scenes
from placements.engine import facade
from placements.engine.results import Pairing, Words
from placements.models import Placement
from studio.models import Artwork, Project, Wall

from .projects import hanging_by_wall, newest_revisions, walls_with_items

#: Projects that are looked through for one work.
MOST_PROJECTS = 12


@dataclass(frozen=True, slots=True)
class BestPlace:
    """One space for the work, with the wall as it hangs now."""

    project: Project
    wall: Wall
    pairing: Pairing
    space_name: str
    hanging: tuple[Placement, ...]
    taken_by: tuple[str, ...]


def projects_for(work: Artwork) -> list[Project]:
    """The projects where a work may hang, the newest first."""
    projects = Project.objects.filter(client__studio=work.studio).select_related("client__studio")
    if work.project_id:
        projects = projects.filter(pk=work.project_id)
    elif work.client_id:
        projects = projects.filter(client=work.client_id)
    return list(projects.order_by("-created_at", "-pk")[:MOST_PROJECTS])


def best_places(work: Artwork, words: Words, *, most: int = 12) -> list[BestPlace]:
    """The best spaces for a work, the best first; those where it cannot hang are left out."""
    projects = projects_for(work)
    revisions = newest_revisions([project.pk for project in projects])
    found: list[BestPlace] = []
    for project in projects:
        found += _in_project(work, project, hanging_by_wall(revisions.get(project.pk)), words, most)
    return sorted(found, key=lambda place: -facade.worth_of(place.pairing))[:most]


def _in_project(
    work: Artwork, project: Project, hanging: dict[int, list[Placement]], words: Words, most: int
) -> list[BestPlace]:
    scene = scenes.scene_of(project, works=Artwork.objects.filter(pk=work.pk))
    code = scene.work_code[work.pk]
    names = {space.id: space.name for space in facade.find_spaces(scene.house, words=words)}
    pairings = [pairing for pairing in facade.rank_spaces(scene.house, code, words, most) if pairing.fits]
    # A space's id begins with its wall's.
    pks = {pairing.space: scene.wall_pk[pairing.space.split(":", 1)[0]] for pairing in pairings}
    walls = {wall.pk: wall for wall in walls_with_items(Wall.objects.filter(pk__in=pks.values()))}
    return [
        BestPlace(
            project=project,
            wall=walls[pks[pairing.space]],
            pairing=pairing,
            space_name=names.get(pairing.space, ""),
            hanging=tuple(hanging.get(pks[pairing.space], ())),
            taken_by=_titles(hanging.get(pks[pairing.space], ()), pairing.space, work),
        )
        for pairing in pairings
    ]


def _titles(hung: Sequence[Placement], space: str, work: Artwork) -> tuple[str, ...]:
    return tuple(
        placement.artwork.title for placement in hung if placement.space == space and placement.artwork_id != work.pk
    )
