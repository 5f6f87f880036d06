"""The inbox: one line a person, and an e-mail when the person wants one."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Iterable

from django.conf import settings
from django.core.mail import send_mail
from django.db import transaction
from django.db.models import Min, Q, QuerySet
from django.template.loader import render_to_string
from django.utils import timezone

from placements.models import Notice
from studio.models import Membership, Role, Studio, User
from studio.queue import send_after_commit
from studio.reader import zone_for

log = logging.getLogger(__name__)

#: When a day's digest goes out, by the reader's own clock, unless quiet hours end later.
DIGEST_AT = dt.time(8, 0)
#: Between two letters to one person at least this: what comes meanwhile is gathered in the next.
MAIL_EVERY = dt.timedelta(minutes=10)
#: A notice that could not be mailed for so long is left to the inbox.
STALE_AFTER = dt.timedelta(days=3)
#: How long a notice that was read is kept.
KEPT = dt.timedelta(days=180)
#: A refused letter is tried this often, the second time after this pause, which then doubles.
MAIL_TRIES = 6
MAIL_PAUSE = dt.timedelta(minutes=5)


def notice_send(
    *, studio: Studio, to: Iterable[User | None], text: str, url: str, by: User | None = None
) -> list[Notice]:
    """Put a line in each person's inbox, except the one who caused it, and mail it when their hours allow.

    None among the people is a part that nobody has.
    """
    people = {user.pk: user for user in to if user is not None and (by is None or user.pk != by.pk)}
    notices = Notice.objects.bulk_create(
        Notice(studio=studio, user=user, text=text[:300], url=url) for user in people.values()
    )
    if notices:
        send_after_commit("placements.tasks.notices_deliver", [notice.user_id for notice in notices])
    return notices


def people_with(*, studio: Studio, roles: Iterable[Role]) -> list[User]:
    return [
        row.user
        for row in Membership.objects.filter(studio=studio, role__in=list(roles), user__is_active=True).select_related(
            "user"
        )
    ]


@transaction.atomic
def notices_read(*, user: User, notices: Iterable[int] | None = None) -> int:
    """Mark the user's notices as read: those named, or all."""
    unread = user.notices.filter(read_at=None)
    if notices is not None:
        unread = unread.filter(pk__in=list(notices))
    return unread.update(read_at=timezone.now())


def notices_clear() -> str:
    """Delete lines that were read long ago; says how many."""
    gone, _ = Notice.objects.filter(read_at__lt=timezone.now() - KEPT).delete()
    return f"{gone} notices that were read long ago"


def is_quiet(*, user: User, at: dt.datetime) -> bool:
    """Whether `at` falls in the user's quiet hours, by their own clock; the hours may run over midnight."""
    start, end = user.quiet_from, user.quiet_until
    if start is None or end is None or start == end:
        return False
    clock = at.astimezone(zone_for(user)).time()
    return start <= clock < end if start < end else clock >= start or clock < end


def is_due(*, user: User, at: dt.datetime, last_mailed: dt.datetime | None) -> bool:
    """Whether the user may be mailed now: never in quiet hours, nor soon after the last letter; with a digest,
    once a day from the digest's hour on.
    """
    if is_quiet(user=user, at=at) or (last_mailed is not None and at < last_mailed + MAIL_EVERY):
        return False
    if not user.digest:
        return True
    zone = zone_for(user)
    local = at.astimezone(zone)
    opens = dt.datetime.combine(local.date(), DIGEST_AT, zone)
    return local >= opens and (last_mailed is None or last_mailed < opens)


def notices_deliver(*, users: Iterable[int] | None = None, now: dt.datetime | None = None) -> int:
    """Mail what waits, to whom it may be mailed now; one e-mail a person. Returns how many e-mails went out.

    Each letter has a transaction and one try of its own: a mailbox that refuses holds up nobody else, and no letter
    that went out is sent again. A refused one rests, each time twice as long; after `MAIL_TRIES` it is given up, and
    the studio's principals find that in their inbox.
    """
    now = now or timezone.now()
    people = _waiting(now) if users is None else _waiting(now).filter(user__in=list(users))
    return sum(_deliver(pk, now) for pk in people.order_by("user_id").values_list("user_id", flat=True).distinct())


def _waiting(now: dt.datetime) -> QuerySet[Notice]:
    return Notice.objects.filter(
        Q(mail_after=None) | Q(mail_after__lte=now),
        emailed_at=None,
        read_at=None,
        mail_tries__lt=MAIL_TRIES,
        created_at__gt=now - STALE_AFTER,
        user__is_active=True,
    )


def letters_waiting(now: dt.datetime) -> tuple[int, dt.datetime | None]:
    """How many lines wait to be mailed, and since when the oldest does that no digest and no quiet hours hold back."""
    waiting = _waiting(now)
    first = waiting.filter(user__digest=False, user__quiet_from=None).aggregate(first=Min("created_at"))["first"]
    return waiting.count(), first


@transaction.atomic
def _deliver(user: int, now: dt.datetime) -> bool:
    """One try at one person's letter. Its lines are locked, so that two workers never mail the same line twice."""
    lines = list(
        _waiting(now)
        .filter(user=user)
        .select_for_update(skip_locked=True, of=("self",))
        .select_related("user", "studio")
        .order_by("created_at", "pk")
    )
    if not lines:
        return False
    person = lines[0].user
    last = person.notices.exclude(emailed_at=None).order_by("-emailed_at").values_list("emailed_at", flat=True).first()
    if not is_due(user=person, at=now, last_mailed=last):
        return False
    try:
        _mail(person, lines)
    except OSError as refusal:  # every error of a mail server is one
        log.warning("letter refused: %s", type(refusal).__name__)
        _rest(person, lines, now)
        return False
    Notice.objects.filter(pk__in=[line.pk for line in lines]).update(emailed_at=now)
    return True


def _rest(person: User, lines: list[Notice], now: dt.datetime) -> None:
    """Put the lines off together, or give them up together."""
    tries = max(line.mail_tries for line in lines) + 1
    Notice.objects.filter(pk__in=[line.pk for line in lines]).update(
        mail_tries=tries, mail_after=now + MAIL_PAUSE * 2 ** (tries - 1)
    )
    if tries < MAIL_TRIES:
        return
    for studio in {line.studio_id: line.studio for line in lines}.values():
        # For the inbox only: a letter about a letter could be refused for ever.
        Notice.objects.bulk_create(
            Notice(
                studio=studio,
                user=principal,
                mail_tries=MAIL_TRIES,
                text=f"Letters to {person.email} are refused. Check the address; what was written is in their inbox."[
                    :300
                ],
            )
            for principal in people_with(studio=studio, roles=[Role.PRINCIPAL])
            if principal.pk != person.pk
        )


def _mail(user: User, lines: list[Notice]) -> None:
    subject = lines[0].text if len(lines) == 1 else f"{len(lines)} things since we last wrote"
    body = render_to_string(
        "placements/mail/notices.txt", {"user": user, "lines": lines, "base_url": settings.BASE_URL}
    )
    send_mail(" ".join(subject.split())[:150], body, None, [user.email])
