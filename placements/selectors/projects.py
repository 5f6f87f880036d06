"""Projects with what a page of them shows, in a number of queries that does not grow with them."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypedDict

from django.db.models import Count, Exists, Max, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.utils import timezone

from placements import access, scenes
from placements.models import EDITABLE_STATES, DueDate, Placement, ReviewFinding, Revision, Transition, Verdict
from studio.models import Artwork, Project, Room, User, Wall, WallItem

from .dates import Due, as_due

#: What a project without any plan is asked for by.
NO_PLAN = "none"


@dataclass(slots=True)
class Standing:
    """How far a project is: its newest revision, since when it is there, what hangs in it, what the principal has to
    decide, and the first date that is not met."""

    project: Project
    revision: Revision | None
    since: dt.datetime | None = None
    due: Due | None = None
    placed: int = 0
    works: int = 0
    exceptions: int = 0
    undecided: int = 0

    @property
    def unplaced(self) -> int:
        return max(self.works - self.placed, 0)


def projects_of(user: User) -> QuerySet[Project]:
    return access.visible(user, Project).select_related("client__studio", "designer").order_by("client__name", "name")


def current_revision(project: Project) -> Revision | None:
    """The open revision where there is one, else the newest."""
    return Revision.objects.filter(plan__project=project).select_related("plan").order_by("number").last()


def newest_revisions(project_pks: Sequence[int]) -> Mapping[int, Revision]:
    revisions = Revision.objects.filter(plan__project__in=project_pks).select_related("plan").order_by("number")
    return {revision.plan.project_id: revision for revision in revisions}


def editable(revision: Revision | None) -> bool:
    return revision is None or revision.state in EDITABLE_STATES


def standings(projects: Sequence[Project]) -> list[Standing]:
    """How far each of these projects is."""
    revisions = newest_revisions([project.pk for project in projects])
    table = {project.pk: Standing(project, revisions.get(project.pk)) for project in projects}
    _count(table, revisions)
    return [table[project.pk] for project in projects]


def _count(table: Mapping[int, Standing], revisions: Mapping[int, Revision]) -> None:
    for project_pk, count in _works([row.project for row in table.values()]).items():
        table[project_pk].works = count
    owner = {revision.pk: pk for pk, revision in revisions.items()}
    steps = Transition.objects.filter(revision__in=owner).values_list("revision").annotate(Max("created_at"))
    for revision_pk, since in steps.order_by():
        table[owner[revision_pk]].since = since
    dates = DueDate.objects.filter(project__in=table).select_related("project__designer").order_by("-day", "-pk")
    for due in as_due(dates, timezone.localdate()):
        if due.met is None:  # the earliest comes last
            table[due.date.project_id].due = due
    hung = Placement.objects.filter(revision__in=owner).values_list("revision").annotate(Count("pk"))
    for revision_pk, count in hung.order_by("revision"):
        table[owner[revision_pk]].placed = count
    for found in _exceptions(revisions.values()):
        entry = table[found["revision__plan__project"]]
        entry.exceptions, entry.undecided = found["found"], found["found"] - found["settled"]


def walls_with_items(walls: QuerySet[Wall]) -> QuerySet[Wall]:
    """Walls in room order with their rooms and items."""
    return (
        walls.select_related("room")
        .order_by("room__position", "room", "position", "pk")
        .prefetch_related(Prefetch("items", queryset=WallItem.objects.order_by("left_mm", "pk")))
    )


def rooms_with_walls(project: Project) -> list[tuple[Room, list[Wall]]]:
    rooms: dict[int, tuple[Room, list[Wall]]] = {
        room.pk: (room, []) for room in project.rooms.order_by("position", "pk")
    }
    for wall in walls_with_items(Wall.objects.filter(room__project=project)):
        rooms[wall.room_id][1].append(wall)
    return list(rooms.values())


def first_walls(project: Project, most: int) -> tuple[list[Wall], int]:
    """The first walls of a project in room order, with their items, and how many more it has."""
    walls = walls_with_items(Wall.objects.filter(room__project=project))
    found = list(walls[:most])
    return found, walls.count() - len(found)


def hanging_by_wall(revision: Revision | None, walls: Collection[Wall] | None = None) -> dict[int, list[Placement]]:
    """What a revision hangs, with the works, by wall; with `walls`, on those."""
    found: dict[int, list[Placement]] = defaultdict(list)
    if revision is not None:
        placements = revision.placements.select_related("artwork").order_by("wall", "order", "pk")
        for placement in placements if walls is None else placements.filter(wall__in=walls):
            found[placement.wall_id].append(placement)
    return found


def unplaced_works(project: Project, revision: Revision | None) -> QuerySet[Artwork]:
    """What may hang in the project and hangs nowhere in the revision."""
    works = scenes.works_for(project)
    if revision is not None:
        works = works.exclude(Exists(Placement.objects.filter(revision=revision, artwork=OuterRef("pk"))))
    return works.order_by("title", "pk")


def _works(projects: Sequence[Project]) -> dict[int, int]:
    """How many works may hang in each project: its own and its client's that belong to no project."""
    clients = [project.client_id for project in projects]
    own = dict(
        Artwork.objects.filter(project__in=projects).values_list("project").annotate(Count("pk")).order_by("project")
    )
    shared = dict(
        Artwork.objects.filter(client__in=clients, project=None)
        .values_list("client")
        .annotate(Count("pk"))
        .order_by("client")
    )
    return {project.pk: own.get(project.pk, 0) + shared.get(project.client_id, 0) for project in projects}


class _Asking(TypedDict):
    """How many exceptions and stops a project's plan has, and how many of them are settled."""

    revision__plan__project: int
    found: int
    settled: int


def _exceptions(revisions: Iterable[Revision]) -> Iterable[_Asking]:
    settled = Q(decisions__verdict__in=[value for value in Verdict.values if value != Verdict.RETURN])
    return (
        ReviewFinding.objects.filter(revision__in=list(revisions), level__in=("exception", "stop"))
        .values("revision__plan__project")
        .annotate(found=Count("pk", distinct=True), settled=Count("pk", distinct=True, filter=settled))
        .order_by("revision__plan__project")
    )


def with_state(projects: QuerySet[Project], state: str) -> QuerySet[Project]:
    """Projects whose newest revision is in a state; "none" for those that have no plan yet."""
    newest = Revision.objects.filter(plan__project=OuterRef("pk")).order_by("-number").values("state")[:1]
    found = projects.annotate(newest_state=Subquery(newest))
    return found.filter(newest_state=None) if state == NO_PLAN else found.filter(newest_state=state)


def matching(projects: QuerySet[Project], asked: str) -> QuerySet[Project]:
    """Projects whose name, client or address says `asked`."""
    return projects.filter(
        Q(name__icontains=asked) | Q(client__name__icontains=asked) | Q(address_note__icontains=asked)
    )


def asking_by_wall(revision: Revision | None) -> dict[int, int]:
    """How many exceptions and stops each wall had when the revision was last sent, those corrected since left out."""
    if revision is None:
        return {}
    rows = revision.findings.filter(level__in=("exception", "stop"), corrected_at=None)
    return dict(rows.values_list("wall").annotate(Count("pk")).order_by("wall"))


def bare_walls(revision: Revision | None) -> frozenset[int]:
    """Walls that are wholly left bare on purpose."""
    return frozenset(revision.bares.filter(space="").values_list("wall_id", flat=True)) if revision else frozenset()
