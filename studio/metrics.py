"""What alerts are made of, beside the library's counts of requests by view: how work, letters, care and workers stand.

Read from the database when a scraper asks, so that any web process answers for all machines. What only happens in a
request (a refused sign-in, a refused action of a phone) is counted there, by process, and summed by the library.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from django.apps import apps
from django.conf import settings
from django.contrib.auth.signals import user_login_failed
from django.db.models import Count, Min, Q
from django.utils import timezone
from django.utils.module_loading import import_string
from prometheus_client import CollectorRegistry, Counter, generate_latest
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, Metric

from .background import FAILED, QUEUED
from .models import Invitation, TaskRecord, WorkerSeen
from .models.base import Leased
from .running import DEAD_AFTER

SIGN_INS_REFUSED = Counter("overmantel_sign_ins_refused", "Sign-ins with a wrong password or while locked out.")
PHONE_REFUSED = Counter("overmantel_phone_actions_refused", "Actions of phones that were refused.", ["code"])
#: What failed, or was refused, counts as news for this long.
NEWS = timedelta(days=1)


def count_refusal(**kwargs: Any) -> None:
    SIGN_INS_REFUSED.inc()


user_login_failed.connect(count_refusal, dispatch_uid="metrics")


class Site:
    """Collects from the database; a handful of queries, however many studios there are."""

    def collect(self) -> Iterator[Metric]:
        now = timezone.now()
        yield from _work(now)
        yield from _letters(now)
        yield from _tasks()
        yield GaugeMetricFamily(
            "overmantel_workers_alive",
            "Workers that said within a minute that they live.",
            value=WorkerSeen.objects.filter(seen_at__gt=now - DEAD_AFTER).count(),
        )


def _seconds(now: datetime, since: datetime | None) -> float:
    return (now - since).total_seconds() if since else 0.0


def _work(now: datetime) -> Iterator[Metric]:
    rows = GaugeMetricFamily(
        "overmantel_work_rows", "Background work: waiting, in work, failed within a day.", labels=["kind", "state"]
    )
    oldest = GaugeMetricFamily(
        "overmantel_work_oldest_seconds",
        "For how long the oldest waits or is in work.",
        labels=["kind", "state"],
    )
    for model in apps.get_models():
        if not issubclass(model, Leased):
            continue
        kind, working = str(model._meta.model_name), model.working_state
        found = model._base_manager.aggregate(
            queued=Count("pk", filter=Q(state=QUEUED)),
            running=Count("pk", filter=Q(state=working)),
            failed=Count("pk", filter=Q(state=FAILED, finished_at__gt=now - NEWS)),
            queued_since=Min("asked_at", filter=Q(state=QUEUED)),
            running_since=Min("asked_at", filter=Q(state=working)),
        )
        for state in ("queued", "running", "failed"):
            rows.add_metric([kind, state], found[state])
        for state in ("queued", "running"):
            oldest.add_metric([kind, state], _seconds(now, found[f"{state}_since"]))
    yield rows
    yield oldest


def _letters(now: datetime) -> Iterator[Metric]:
    count, since = import_string(settings.LETTERS_WAITING)(now)
    yield GaugeMetricFamily("overmantel_letters_waiting", "Lines that wait to be mailed.", value=count)
    yield GaugeMetricFamily(
        "overmantel_letters_oldest_seconds",
        "For how long one waits that might go.",
        value=_seconds(now, since),
    )
    refused = Invitation.objects.filter(refused_at__gt=now - NEWS, accepted_at=None, revoked_at=None).count()
    yield GaugeMetricFamily("overmantel_invitations_refused", "Invitations refused within a day.", value=refused)


def _tasks() -> Iterator[Metric]:
    runs = CounterMetricFamily("overmantel_task_runs", "How often a task ran.", labels=["task"])
    failures = CounterMetricFamily("overmantel_task_failures", "How often a task failed.", labels=["task"])
    seconds = CounterMetricFamily("overmantel_task_seconds", "How long its runs took together.", labels=["task"])
    success = GaugeMetricFamily(
        "overmantel_task_last_success_timestamp_seconds", "When a task last ended well; 0: never.", labels=["task"]
    )
    failed = GaugeMetricFamily(
        "overmantel_task_last_failure_timestamp_seconds", "When a task last failed; 0: never.", labels=["task"]
    )
    records = {record.name: record for record in TaskRecord.objects.all()}
    for name in sorted(set(records) | set(settings.CARE) | set(settings.SWEEPS)):
        record = records.get(name) or TaskRecord(name=name)
        runs.add_metric([name], record.runs)
        failures.add_metric([name], record.failures)
        seconds.add_metric([name], record.seconds)
        for gauge, when in ((success, record.succeeded_at), (failed, record.failed_at)):
            gauge.add_metric([name], when.timestamp() if when else 0)
    yield from (runs, failures, seconds, success, failed)


def site_metrics() -> bytes:
    """What the database knows, in the text format of scrapers."""
    registry = CollectorRegistry()
    registry.register(Site())
    return generate_latest(registry)
