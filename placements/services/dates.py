"""Due dates: set, ticked off, reminded of; and the addresses under which calendars read them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.db import transaction
from django.db.models import F
from django.urls import reverse
from django.utils import timezone

from placements import access
from placements.models import CalendarAddress, DateKind, DueDate
from placements.selectors.dates import WHOSE, Due, as_due
from studio.errors import Invalid, Missing
from studio.models import Project, Role, Studio, User
from studio.tokens import new_token, token_hash

from .notices import notice_send, people_with

#: So many days before a date its people hear of it, and again so many days after, while it is not met.
BEFORE_DAYS, AGAIN_DAYS = 3, 7
#: The farthest that a date may lie away [days].
FARTHEST = 3660


@transaction.atomic
def dates_set(*, by: User, project: Project, days: Mapping[str, dt.date | None]) -> list[DueDate]:
    """Set a project's dates by their kinds; a kind with None loses its date, one that is left out stays.

    A date that moves is not ticked off any more, and is reminded of anew.

    Raises:
        Invalid: no such kind, or a day ten years away.
    """
    access.require(by=by, studio=project.client.studio, roles=access.EVERYONE, to="set a project's dates")
    today = timezone.localdate()
    faults = [
        {"where": kind, "detail": "Within ten years."}
        for kind, day in days.items()
        if day is not None and abs((day - today).days) > FARTHEST
    ] + [{"where": kind, "detail": f"There is no date “{kind}”."} for kind in days if kind not in DateKind.values]
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)
    stored = {row.kind: row for row in DueDate.objects.select_for_update().filter(project=project)}
    for kind, day in days.items():
        row = stored.get(kind)
        if day is None and row is not None:
            row.delete()
        elif day is not None and row is None:
            DueDate.objects.create(project=project, kind=kind, day=day)
        elif day is not None and row is not None and row.day != day:
            row.day, row.ticked_at, row.reminded_on = day, None, None
            row.times_changed += 1
            row.save()
    return list(DueDate.objects.filter(project=project))


@transaction.atomic
def date_tick(*, by: User, due: DueDate, met: bool) -> DueDate:
    """Say by hand that a date is met, or that it is not after all."""
    access.require(by=by, studio=due.project.client.studio, roles=access.EVERYONE, to="tick off a date")
    due.ticked_at = timezone.now() if met else None
    due.save(update_fields=["ticked_at", "updated_at"])
    return due


def dates_remind(now: dt.datetime | None = None) -> str:
    """Tell those who are to meet a date: some days before it, and week by week while it is late; says how many.

    Run once a day; quiet hours and digests are the inbox's own.
    """
    today = timezone.localdate(now)
    soon = DueDate.objects.filter(day__lte=today + dt.timedelta(days=BEFORE_DAYS), ticked_at=None)
    rows = soon.select_related("project__client__studio", "project__designer")
    told = sum(_remind(due) for due in as_due(rows, today) if due.met is None and _is_time(due))
    return f"{told} dates reminded of"


def _is_time(due: Due) -> bool:
    last = due.date.reminded_on
    if last is None:
        return True
    return due.late > 0 and (last < due.date.day or (due.today - last).days >= AGAIN_DAYS)


@transaction.atomic
def _remind(due: Due) -> bool:
    """Whether it was this call that reminded: another worker may have done so just now."""
    row = DueDate.objects.filter(pk=due.date.pk, reminded_on=due.date.reminded_on)
    if not row.update(reminded_on=due.today):
        return False
    project, studio = due.date.project, due.date.project.client.studio
    role = WHOSE[due.date.kind]
    people = (
        [project.designer] if role == Role.DESIGNER and project.designer else people_with(studio=studio, roles=[role])
    )
    when = f"{due.late} days late" if due.late > 1 else "a day late" if due.late else f"due on {due.date.day:%-d %B}"
    notice_send(studio=studio, to=people, text=f"{due.date}: {when}.", url=reverse("project_dates", args=[project.pk]))
    return True


@transaction.atomic
def address_make(*, by: User, studio: Studio, project: Project | None = None) -> str:
    """The token of a new secret address of one's own dates, or of a project's; an older one of the same ends.

    It is returned once: only its SHA-256 is kept.
    """
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="read the studio's dates")
    CalendarAddress.objects.filter(user=by, studio=studio, project=project).delete()
    token = new_token()
    CalendarAddress.objects.create(user=by, studio=studio, project=project, token_sha256=token_hash(token))
    return token


def address_end(*, by: User, address: CalendarAddress) -> None:
    """End one's own address; a principal ends anybody's."""
    if address.user_id != by.pk:
        access.require(by=by, studio=address.studio, roles=access.PRINCIPAL, to="end somebody else's calendar address")
    address.delete()


def address_by_token(token: str) -> CalendarAddress:
    """The address behind a token, while its maker is in the studio.

    Raises:
        Missing: unknown or ended; the answer is the same.
    """
    rows = CalendarAddress.objects.filter(
        token_sha256=token_hash(token), user__is_active=True, user__memberships__studio=F("studio")
    )
    address = rows.select_related("user", "studio", "project").first()
    if address is None:
        raise Missing("This calendar’s address has ended. Make a new one on the dates’ page.")
    CalendarAddress.objects.filter(pk=address.pk).update(last_used_at=timezone.now())
    return address
