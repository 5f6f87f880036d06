"""Rows that are worked on in the background (`ProposalRun`, `Photo`): claim, lease, outcome, and what was lost.

The row is the truth: a worker claims it by a conditional update with a short lease that `Renewal` renews; a sweep
queues again what a dead worker or broker lost. Whoever lost the lease writes nothing.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import F, Model, Q
from django.utils import timezone

from placements.models import RunState
from studio.leases import Renewal
from studio.queue import send_after_commit
from studio.turns import in_turn

LEASE = dt.timedelta(seconds=20)
MOST_ATTEMPTS = 3


def claim(model: type[Model], pk: int, owner: str) -> bool:
    """Take a queued row, or one whose worker went silent; False when somebody else has it or it is done."""
    now = timezone.now()
    free = Q(state=RunState.QUEUED) | Q(state=RunState.RUNNING, lease_until__lt=now)
    taken = model._default_manager.filter(free, pk=pk).update(
        state=RunState.RUNNING,
        lease_owner=owner,
        lease_until=now + LEASE,
        attempts=F("attempts") + 1,
        progress=0.0,
        error="",
        updated_at=now,
    )
    return bool(taken)


def due(model: type[Model]) -> Iterator[int]:
    """The rows to try to claim, the fairest first: see `in_turn`."""
    now = timezone.now()
    waiting = Q(state=RunState.QUEUED) | Q(state=RunState.RUNNING, lease_until__lt=now)
    return in_turn(model, waiting=waiting, working=Q(state=RunState.RUNNING, lease_until__gte=now))


def renew(model: type[Model], pk: int, owner: str, **fields: Any) -> bool:
    """Hold on to a row, and note progress; False when it is no longer this worker's."""
    now = timezone.now()
    mine = model._default_manager.filter(pk=pk, state=RunState.RUNNING, lease_owner=owner)
    return bool(mine.update(lease_until=now + LEASE, updated_at=now, **fields))


def renewal(row: Model, owner: str) -> Renewal:
    """Renews the row's lease while a block runs."""
    return Renewal(
        partial(renew, type(row), row.pk, owner),
        seconds=LEASE.total_seconds() / 5,
        name=f"{row._meta.model_name}-{row.pk}",
    )


def finish(row: Model, owner: str, **fields: Any) -> bool:
    """Write the outcome, if the row is still this worker's."""
    mine = type(row)._default_manager.filter(pk=row.pk, state=RunState.RUNNING, lease_owner=owner)
    done = mine.update(
        **fields, finished_at=timezone.now(), updated_at=timezone.now(), lease_owner="", lease_until=None
    )
    if done:
        row.refresh_from_db()
    return bool(done)


def requeue_lost(model: type[Model], task: str) -> int:
    """Queue again what waits without a worker: rows whose message was lost, and those with a lease that ran out."""
    now = timezone.now()
    lost = Q(state=RunState.RUNNING, lease_until__lt=now) | Q(state=RunState.QUEUED, updated_at__lt=now - LEASE)
    ids = list(model._default_manager.filter(lost).values_list("pk", flat=True)[:200])
    with transaction.atomic():
        model._default_manager.filter(pk__in=ids, state=RunState.QUEUED).update(updated_at=now)
        for pk in ids:
            send_after_commit(task, pk)
    return len(ids)
