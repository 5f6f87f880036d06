import datetime as dt
import smtplib

import pytest
from django.core import mail
from django.utils import timezone

from placements.models import Notice
from placements.services import notices
from placements.services.notices import is_due, is_quiet, notice_send, notices_deliver
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db


def at(hour, minute=0, day=10):
    return dt.datetime(2026, 3, day, hour, minute, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("start", "end", "clock", "quiet"),
    [
        pytest.param(dt.time(22), dt.time(7), at(23), True, id="before midnight"),
        pytest.param(dt.time(22), dt.time(7), at(6, 59), True, id="after midnight"),
        pytest.param(dt.time(22), dt.time(7), at(7), False, id="just over"),
        pytest.param(dt.time(12), dt.time(13), at(12, 30), True, id="at noon"),
        pytest.param(dt.time(12), dt.time(13), at(11), False, id="before noon"),
        pytest.param(None, dt.time(13), at(11), False, id="not set"),
        pytest.param(dt.time(9), dt.time(9), at(9), False, id="no length"),
    ],
)
def test_quiet_hours_may_run_over_midnight(start, end, clock, quiet):
    assert is_quiet(user=UserFactory.build(quiet_from=start, quiet_until=end), at=clock) is quiet


def test_quiet_hours_go_by_the_readers_own_clock():
    """Common knowledge: New York is five hours behind UTC in winter."""
    user = UserFactory.build(quiet_from=dt.time(22), quiet_until=dt.time(7), time_zone="America/New_York")
    assert is_quiet(user=user, at=dt.datetime(2026, 1, 10, 11, 30, tzinfo=dt.UTC))
    assert not is_quiet(user=user, at=dt.datetime(2026, 1, 10, 12, 30, tzinfo=dt.UTC))


@pytest.mark.parametrize(
    ("now", "last", "due"),
    [
        pytest.param(at(7, 59), None, False, id="too early"),
        pytest.param(at(8), None, True, id="first of the day"),
        pytest.param(at(12), at(8, 5), False, id="had today's"),
        pytest.param(at(8, 5, day=11), at(8, 5), True, id="the next day"),
        pytest.param(at(9), at(7), True, id="mailed before the hour"),
    ],
)
def test_a_digest_goes_once_a_day(now, last, due):
    assert is_due(user=UserFactory.build(digest=True), at=now, last_mailed=last) is due


def send(cast, text="A plan is signed."):
    return notice_send(studio=cast.studio, to=[cast.principal], text=text, url="/inbox/")


def test_one_mail_a_person_with_everything_that_waits(cast):
    send(cast)
    send(cast, "Another.")
    assert notices_deliver() == 1
    (letter,) = mail.outbox
    assert letter.to == [cast.principal.email]
    assert letter.subject == "2 things since we last wrote"
    assert "A plan is signed." in letter.body
    assert "http://127.0.0.1:8000/inbox/" in letter.body
    assert notices_deliver() == 0


def test_what_comes_soon_after_a_letter_is_gathered_in_the_next(cast):
    now = timezone.now()
    send(cast, "First.")
    assert notices_deliver(now=now) == 1, "the first at once"
    for minute in range(1, 10):
        send(cast, f"Remark {minute}.")
        assert notices_deliver(now=now + dt.timedelta(minutes=minute)) == 0
    assert notices_deliver(now=now + notices.MAIL_EVERY) == 1
    assert mail.outbox[1].subject == "9 things since we last wrote"


def test_a_single_notice_is_its_own_subject(cast):
    send(cast, "Ann signed\nrevision 3.")
    notices_deliver()
    assert mail.outbox[0].subject == "Ann signed revision 3."


def test_what_was_read_in_the_inbox_is_not_mailed(cast):
    (notice,) = send(cast)
    Notice.objects.filter(pk=notice.pk).update(read_at=timezone.now())
    assert notices_deliver() == 0


def test_quiet_hours_hold_mail_back_until_they_end(cast):
    now = timezone.now()
    cast.principal.quiet_from, cast.principal.quiet_until = dt.time(0), dt.time(23, 59, 59, 999999)
    cast.principal.save()
    send(cast)
    assert notices_deliver(now=now) == 0
    cast.principal.quiet_until = dt.time(0)
    cast.principal.save()
    assert notices_deliver(now=now) == 1


def test_the_one_who_did_it_is_not_told(cast):
    assert notice_send(studio=cast.studio, to=[cast.principal], by=cast.principal, text="x", url="/") == []


@pytest.fixture
def refused(monkeypatch):
    """A mail server that refuses one address; what it was asked to take."""
    taken, bad = [], set()

    def send(subject, body, sender, to):
        if to[0] in bad:
            raise smtplib.SMTPRecipientsRefused({to[0]: (550, b"no such mailbox")})
        taken.append(to[0])

    monkeypatch.setattr(notices, "send_mail", send)
    return bad, taken


def test_one_refused_mailbox_holds_up_nobody_and_doubles_nothing(cast, refused):
    bad, taken = refused
    bad.add(cast.designer.email)
    notice_send(studio=cast.studio, to=[cast.principal, cast.designer, cast.coordinator], text="Look.", url="/inbox/")
    for _ in range(3):
        notices_deliver()
    assert sorted(taken) == sorted([cast.principal.email, cast.coordinator.email])
    (line,) = cast.designer.notices.all()
    assert line.mail_tries == 1, "it rests before it is tried again"


def test_refused_letter_is_given_up_and_the_principal_told(cast, refused):
    bad, taken = refused
    bad.add(cast.designer.email)
    notice_send(studio=cast.studio, to=[cast.designer], text="Look.", url="/inbox/")
    now = timezone.now()
    for hour in range(12):
        notices_deliver(now=now + dt.timedelta(hours=hour))
    (line,) = cast.designer.notices.all()
    assert line.mail_tries == notices.MAIL_TRIES
    (told,) = cast.principal.notices.all()
    assert cast.designer.email in told.text
    assert taken == [], "what tells of it is for the inbox only"


def test_mailbox_that_answers_again_gets_its_letter_once(cast, refused):
    bad, taken = refused
    bad.add(cast.designer.email)
    notice_send(studio=cast.studio, to=[cast.designer], text="Look.", url="/inbox/")
    notices_deliver()
    bad.clear()
    later = timezone.now() + dt.timedelta(hours=1)
    assert notices_deliver(now=later) == 1
    assert notices_deliver(now=later) == 0
    assert taken == [cast.designer.email]
