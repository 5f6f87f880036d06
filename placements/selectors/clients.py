"""What a client's link shows, and what clients answered."""

from __future__ import annotations

from django.db.models import QuerySet

from placements.models import ClientAnswer, ClientLink, Photo, Placement
from studio.models import Artwork, Project, Wall

from .photos.composites import WallComposites, composites_by_wall, composites_of
from .projects import current_revision, hanging_by_wall, walls_with_items


def links_of(project: Project) -> QuerySet[ClientLink]:
    return ClientLink.objects.filter(project=project).prefetch_related("rooms").select_related("created_by")


def shown_walls(link: ClientLink) -> list[Wall]:
    """The walls of the link's rooms, in room order."""
    return list(walls_with_items(Wall.objects.filter(room__in=link.rooms.all())))


def shown_hanging(link: ClientLink) -> dict[int, list[Placement]]:
    return hanging_by_wall(current_revision(link.project))


def shown_bares(link: ClientLink) -> dict[int, list[str]]:
    return bares_of(link.project)


def bares_of(project: Project) -> dict[int, list[str]]:
    """Why walls or spaces are left bare in the plan, by wall."""
    revision = current_revision(project)
    found: dict[int, list[str]] = {}
    for wall, reason in revision.bares.values_list("wall", "reason") if revision else ():
        found.setdefault(wall, []).append(reason)
    return found


def shown_work(link: ClientLink, pk: int) -> Artwork | None:
    """A work that hangs in one of the link's rooms: the only pictures that the link opens."""
    revision = current_revision(link.project)
    if revision is None:
        return None
    return Artwork.objects.filter(
        pk=pk, placements__revision=revision, placements__wall__room__in=link.rooms.all()
    ).first()


def shown_photos(link: ClientLink) -> dict[int, Photo]:
    """The photographs with works set into them that the link opens, by wall."""
    walls = Wall.objects.filter(room__in=link.rooms.all())
    found = composites_by_wall(list(walls), shown_hanging(link))
    return {pk: composites.shown for pk, composites in found.items() if composites.shown is not None}


def composites_now(project: Project) -> list[WallComposites]:
    """Every wall's photographs with works set into them, against the plan as it is."""
    return composites_of(project, hanging_by_wall(current_revision(project)))


def said_by_wall(link: ClientLink) -> dict[int, list[ClientAnswer]]:
    """Everything that was said through a link, the newest first."""
    found: dict[int, list[ClientAnswer]] = {}
    for answer in link.answers.order_by("-created_at", "-pk"):
        found.setdefault(answer.wall_id, []).append(answer)
    return found


def answers_by_wall(answers: QuerySet[ClientAnswer]) -> dict[int, ClientAnswer]:
    """The newest answer to each wall."""
    return {answer.wall_id: answer for answer in answers.order_by("created_at", "pk")}


def newest_answer(wall: Wall) -> ClientAnswer | None:
    """What the client said last to a wall."""
    return ClientAnswer.objects.filter(wall=wall).order_by("-created_at", "-pk").first()
