"""The life of a report's row while a worker draws it: claim, lease, render, and what becomes of failures.

The row is the truth. A message on the queue is only a wake-up call: whoever hears one claims whichever row is due,
so a lost message delays a sheet and a doubled one does nothing.
"""

from __future__ import annotations

import errno
import hashlib
import logging
import os
import secrets
import socket
from datetime import datetime, timedelta

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import OperationalError
from django.db.models import F, Q
from django.utils import timezone

from studio.leases import Renewal
from studio.turns import in_turn

from .models import Report, ReportState
from .pdf import Pdf
from .producing import Unprintable, produce

log = logging.getLogger(__name__)

#: A row that was not claimed this long after its wake-up call gets another [s].
WAKE_AGAIN_S = 30
#: Failures that may pass are tried this often, each time after a longer pause [s].
TRIES = 3
PAUSE_S = 5
#: Workers that died while drawing one sheet, after which it is not tried again by itself.
DEATHS = 5

FULL_DISK = "The disk that keeps the sheets is full. Free some space, then try again."
NO_STORAGE = "The place that keeps the sheets did not answer ({reason}). Try again in a while."
BROKEN = "This sheet could not be drawn ({reason}). Try again; if it fails again, tell whoever runs the site."
DEADLY = "The worker stopped {count} times while drawing this sheet. Try again, or ask for one wall at a time."


def lease() -> timedelta:
    return timedelta(seconds=settings.SHEET_LEASE_SECONDS)


def due(now: datetime) -> Q:
    """Rows that a worker may take: never tried, tried and rested, or left behind by a dead worker."""
    return (
        Q(state=ReportState.QUEUED, attempts=0)
        | Q(state=ReportState.QUEUED, lease_until__lt=now)
        | Q(state=ReportState.RENDERING, lease_until__lt=now, attempts__lt=DEATHS)
    )


def report_claim() -> Report | None:
    """Take one due row by a conditional update, or None.

    Studios take turns: the one with the fewest sheets being drawn comes first, then the oldest request.
    """
    now = timezone.now()
    working = Q(state=ReportState.RENDERING, lease_until__gte=now)
    for pk in in_turn(Report, waiting=due(now), working=working):
        owner = f"{socket.gethostname()[:40]}:{os.getpid()}:{secrets.token_hex(4)}"
        taken = Report.objects.filter(due(now), pk=pk).update(
            state=ReportState.RENDERING,
            lease_owner=owner,
            lease_until=now + lease(),
            attempts=F("attempts") + 1,
            progress=0.1,
            error="",
            updated_at=now,
        )
        if taken:
            return Report.objects.select_related(
                "revision__plan__project__client__studio", "wall", "artwork", "job"
            ).get(pk=pk)
    return None


def held(report: Report) -> Renewal:
    """Holds a claimed row while it is drawn."""

    def renew() -> bool:
        return bool(_mine(report).update(lease_until=timezone.now() + lease()))

    return Renewal(renew, seconds=lease().total_seconds() / 3, name=f"report-{report.pk}")


def _mine(report: Report):  # type: ignore[no-untyped-def]
    return Report.objects.filter(pk=report.pk, state=ReportState.RENDERING, lease_owner=report.lease_owner)


def report_render(report: Report) -> bool:
    """Draw a claimed report and store it. True when it is ready.

    Drawing twice does no harm: only the worker that still holds the row stores its file there.
    """
    try:
        with held(report) as hold:
            pdf = produce(report)
            return False if hold.lost else _store(report, pdf)
    except Unprintable as refusal:
        _fail(report, str(refusal))
    except OperationalError:
        raise  # the database is away: the lease runs out, and the sweep finds the row when it is back
    except OSError as trouble:
        _rest_or_fail(report, FULL_DISK if trouble.errno == errno.ENOSPC else NO_STORAGE.format(reason=_plain(trouble)))
    except Exception as trouble:
        log.exception("sheet not drawn", extra={"report": report.pk})
        _rest_or_fail(report, BROKEN.format(reason=type(trouble).__name__))
    return False


def _plain(trouble: OSError) -> str:
    return os.strerror(trouble.errno).lower() if trouble.errno else type(trouble).__name__


def _store(report: Report, pdf: Pdf) -> bool:
    storage = report.file.storage
    claim = report.lease_owner.rpartition(":")[2]
    name = report._meta.get_field("file").generate_filename(report, f"{report.kind}-{claim}.pdf")
    try:
        name = storage.save(name, ContentFile(pdf.content))
    except OSError:
        storage.delete(name)  # nothing half-written stays
        raise
    stored = _mine(report).update(
        state=ReportState.READY,
        file=name,
        file_sha256=hashlib.sha256(pdf.content).hexdigest(),
        pages=pdf.pages,
        progress=1.0,
        lease_owner="",
        lease_until=None,
        finished_at=timezone.now(),
        updated_at=timezone.now(),
    )
    if not stored:
        storage.delete(name)
        return False
    # Files of claims that died between storing the file and noting it.
    folder, _, kept = name.rpartition("/")
    for other in storage.listdir(folder)[1]:
        if other != kept:
            storage.delete(f"{folder}/{other}")
    return True


def _fail(report: Report, error: str) -> None:
    now = timezone.now()
    _mine(report).update(
        state=ReportState.FAILED, error=error, lease_owner="", lease_until=None, finished_at=now, updated_at=now
    )


def _rest_or_fail(report: Report, error: str) -> None:
    if report.attempts >= TRIES:
        _fail(report, error)
        return
    now = timezone.now()
    pause = timedelta(seconds=PAUSE_S * report.attempts)
    _mine(report).update(state=ReportState.QUEUED, error=error, lease_owner="", lease_until=now + pause, updated_at=now)


def reports_to_wake() -> int:
    """How many wake-up calls are due for rows that a worker or a broker lost, or that have rested after a failure.

    `updated_at` of a queued row is when it last had a call.
    """
    now = timezone.now()
    Report.objects.filter(state=ReportState.RENDERING, lease_until__lt=now, attempts__gte=DEATHS).update(
        state=ReportState.FAILED, error=DEADLY.format(count=DEATHS), finished_at=now, updated_at=now
    )
    lost = Report.objects.filter(state=ReportState.RENDERING, lease_until__lt=now).update(
        state=ReportState.QUEUED, lease_owner="", lease_until=now - timedelta(seconds=1), updated_at=now
    )
    never_heard = Q(updated_at__lt=now - timedelta(seconds=WAKE_AGAIN_S))
    rested = Q(lease_until__lt=now, updated_at__lt=F("lease_until"))
    return lost + Report.objects.filter(never_heard | rested, state=ReportState.QUEUED).update(updated_at=now)
