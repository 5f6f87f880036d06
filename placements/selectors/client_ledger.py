"""Clients with what the list of them shows, in a number of queries that does not grow with them."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db.models import Count, Max, Q, QuerySet

from placements.models import ClientAnswer, Placement
from studio.models import Client, Project, Studio, User

from .clients import answers_by_wall
from .projects import Standing, projects_of, standings


@dataclass(slots=True)
class ClientRow:
    """One client: how far each project is, when something last changed, and on how many walls the client wants a
    change or has approved."""

    client: Client
    changed: dt.datetime
    standings: list[Standing] = field(default_factory=list)
    wishes: int = 0
    approved: int = 0


def clients_of(studio: Studio, asked: str = "") -> QuerySet[Client]:
    """The studio's clients, or those whose name, e-mail or project says `asked`."""
    rows = studio.clients.annotate(work_count=Count("artworks", distinct=True)).order_by("name", "pk")
    if asked:
        named = Q(name__icontains=asked) | Q(email__icontains=asked)
        rows = rows.filter(named | Q(projects__in=Project.objects.filter(name__icontains=asked)))
    return rows


def client_rows(clients: Sequence[Client], user: User) -> list[ClientRow]:
    rows = {client.pk: ClientRow(client, client.updated_at) for client in clients}
    projects = list(projects_of(user).filter(client__in=rows))
    changed = _changes(projects)
    for standing in standings(projects):
        row = rows[standing.project.client_id]
        row.standings.append(standing)
        row.changed = max(row.changed, changed[standing.project.pk], *_moments(standing))
    answers = ClientAnswer.objects.filter(link__project__in=projects).select_related("link__project")
    for answer in answers_by_wall(answers).values():
        row = rows[answer.link.project.client_id]
        row.changed = max(row.changed, answer.created_at)
        row.wishes += answer.approved is False
        row.approved += answer.approved is True
    return [rows[client.pk] for client in clients]


def _moments(standing: Standing) -> Iterable[dt.datetime]:
    yield standing.project.updated_at
    if standing.revision is not None:
        yield standing.revision.updated_at


def _changes(projects: Sequence[Project]) -> dict[int, dt.datetime]:
    """When a piece last came, went or moved in each project."""
    found: dict[int, dt.datetime] = defaultdict(lambda: dt.datetime.min.replace(tzinfo=dt.UTC))
    moved = Placement.history.filter(revision__plan__project__in=projects)
    found.update(moved.values_list("revision__plan__project").annotate(Max("history_date")).order_by())
    return found
