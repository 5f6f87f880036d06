"""What is due when: met, late, and whom it waits for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Min, QuerySet
from django.utils import timezone

from placements import access
from placements.models import CalendarAddress, DateKind, DueDate, Revision, RevisionState, Transition
from studio.models import Project, Role, User
from studio.reader import zone_for

#: By which step of any of its revisions a project meets a date: the first that comes to this state, or leaves it.
MET_BY: dict[str, tuple[str, RevisionState]] = {
    DateKind.PROPOSAL: ("to_state", RevisionState.IN_REVIEW),
    DateKind.REVIEW: ("from_state", RevisionState.IN_REVIEW),
    DateKind.SIGN_OFF: ("to_state", RevisionState.SIGNED),
    DateKind.INSTALL: ("to_state", RevisionState.HUNG),
}
#: Who is to meet it; a designer only of their own projects.
WHOSE: dict[str, Role] = {
    DateKind.PROPOSAL: Role.DESIGNER,
    DateKind.REVIEW: Role.PRINCIPAL,
    DateKind.SIGN_OFF: Role.PRINCIPAL,
    DateKind.FRAMES: Role.COORDINATOR,
    DateKind.INSTALL: Role.COORDINATOR,
}


@dataclass(frozen=True, slots=True)
class Due:
    """A due date as it stands on a day: `met` when it was, `late` the days that it is overdue."""

    date: DueDate
    met: dt.datetime | None
    today: dt.date

    @property
    def late(self) -> int:
        return max((self.today - self.date.day).days, 0) if self.met is None else 0

    @property
    def left(self) -> int:
        return max((self.date.day - self.today).days, 0)

    @property
    def whose(self) -> str:
        """The designer by name, the others by their role."""
        role = WHOSE[self.date.kind]
        if role == Role.DESIGNER and self.date.project.designer is not None:
            return str(self.date.project.designer)
        return f"the {role.label.lower()}"


def dates_of(user: User) -> QuerySet[DueDate]:
    return access.visible(user, DueDate).select_related("project__client__studio", "project__designer")


def as_due(dates: Iterable[DueDate], today: dt.date) -> list[Due]:
    """Each with when it was met; two queries."""
    rows = list(dates)
    reached = _reached({row.project_id for row in rows}) if rows else {}
    return [Due(row, row.ticked_at or reached.get((row.project_id, *MET_BY.get(row.kind, ()))), today) for row in rows]


def due_of(project: Project, today: dt.date) -> list[Due]:
    return as_due(project.due_dates.select_related("project__client__studio", "project__designer"), today)


def today_of(user: User) -> dt.date:
    """By the person's own clock."""
    return timezone.localdate(timezone=zone_for(user))


def calendar_dates(address: CalendarAddress) -> list[DueDate]:
    """What a calendar shows: one project's dates; or of a person all of the studio's, of a designer their own."""
    rows = DueDate.objects.filter(project__client__studio=address.studio)
    if address.project_id is not None:
        rows = rows.filter(project=address.project_id)
    elif access.role_in(user=address.user, studio=address.studio) == Role.DESIGNER:
        rows = rows.filter(project__designer=address.user)
    return list(rows.select_related("project__client__studio", "project__designer").order_by("day", "pk"))


def _reached(projects: Iterable[int]) -> dict[tuple[int, str, str], dt.datetime]:
    """When a project's revisions first came to a state, and first left one."""
    found: dict[tuple[int, str, str], dt.datetime] = {}
    steps = Transition.objects.filter(revision__plan__project__in=projects)
    for way in ("to_state", "from_state"):
        rows = steps.values_list("revision__plan__project", way).annotate(first=Min("created_at")).order_by()
        found |= {(project, way, state): first for project, state, first in rows}
    return found


@dataclass(frozen=True, slots=True)
class Load:
    """How many dates somebody is to meet, or pieces to hang, in each of some weeks."""

    whose: str
    weeks: tuple[int, ...]


def load_by_week(open_dates: Sequence[Due], first: dt.date, weeks: int) -> list[Load]:
    """The open dates of each person from the week of `first` on, overdue ones in the first; the busiest first."""
    return _by_week(((due.whose, due.date.day, 1) for due in open_dates), first, weeks)


def hanging_by_week(open_dates: Sequence[Due], first: dt.date, weeks: int) -> list[Load]:
    """The pieces that each hanger is to hang by the open installs, of jobs that are not finished; one query.

    A job that another one follows is the other's.
    """
    days = {due.date.project_id: due.date.day for due in open_dates if due.date.kind == DateKind.INSTALL}
    jobs = (
        Revision.objects.filter(
            plan__project__in=days, jobs__isnull=False, jobs__finished_at=None, jobs__followed_by=None
        )
        .values_list("jobs__hanger_name", "plan__project")
        .annotate(pieces=Count("placements", distinct=True))
        .order_by()
    )
    return _by_week(((name, days[project], pieces) for name, project, pieces in jobs), first, weeks)


def _by_week(given: Iterable[tuple[str, dt.date, int]], first: dt.date, weeks: int) -> list[Load]:
    """Amounts (whose, by when, how many) summed up by person and week."""
    monday = first - dt.timedelta(days=first.weekday())
    table: dict[str, list[int]] = {}
    for whose, day, many in given:
        week = max((day - monday).days // 7, 0)
        if week < weeks:
            table.setdefault(whose, [0] * weeks)[week] += many
    rows = [Load(whose, tuple(counts)) for whose, counts in table.items()]
    return sorted(rows, key=lambda row: (-sum(row.weeks), row.whose))
