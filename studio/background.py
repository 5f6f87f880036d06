"""The life of background work, for every kind of it alike: proposals, photographs, sheets.

The row (a `Leased` model's) is the truth. A message on the queue only wakes a worker, which takes whichever row is due
(studios take turns, see `turns`), so a lost message delays a row and a doubled one does nothing.

1. `queue` stores the request and wakes a worker.
2. `claim` takes a due row by a conditional update, for the length of a lease that `Hold` renews from a thread.
3. The work stores its outcome with `Hold.finish`, raises `Impossible`, or fails. What fails is tried again after a
   pause that doubles; after `WORK_TRIES` tries it is given up, in words.
4. `sweep` gives back what a dead worker left behind, wakes a worker for what has rested, and gives up what kills its
   workers. It never wakes twice for one row that waits its turn.

Whoever lost a row writes nothing. What people read comes from `Failures`; what an exception says goes to the log.
"""

from __future__ import annotations

import errno
import logging
import os
import secrets
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from types import TracebackType
from typing import Any, Generic, NamedTuple, Self, TypeVar, cast

from celery.exceptions import SoftTimeLimitExceeded
from django.conf import settings
from django.db import InterfaceError, OperationalError, close_old_connections, connection
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from .logs import request_id
from .models.base import Leased
from .queue import send_after_commit
from .tracing import span
from .turns import in_turn

log = logging.getLogger(__name__)

QUEUED, READY, FAILED = "queued", "ready", "failed"
#: However often something was tried, it does not rest longer than this [s].
LONGEST_PAUSE_S = 300

Row = TypeVar("Row", bound=Leased)


class Impossible(Exception):
    """This can never be done as asked, so it is not tried again. The message says why, and what to do."""


class Lost(Exception):
    """The row is no longer this worker's: somebody cancelled it, or another worker has it. Stop, and write nothing."""


class Failure(NamedTuple):
    """A failure in words. While it is tried again people read the cause alone; `advice` is for when it is given up."""

    cause: str
    advice: str

    def __str__(self) -> str:
        return f"{self.cause} {self.advice}"


@dataclass(frozen=True, slots=True)
class Failures:
    """What people read when one kind of work fails. `died` may name the `{count}` of workers that stopped."""

    full_disk: Failure
    no_storage: Failure
    broken: Failure
    slow: Failure
    died: Failure


@dataclass(frozen=True, slots=True)
class WorkKind(Generic[Row]):
    """One kind of background work.

    Parameters
    ----------
    model : its rows.
    wake : name of the task that wakes a worker for it.
    lease : name of the setting that says how long a worker may be silent [s].
    failures : what people read of its failures.
    related : what a claimed row is loaded with.
    begun : progress that a claimed row shows at once, 0 to 1.
    """

    model: type[Row]
    wake: str
    lease: str
    failures: Failures
    related: tuple[str, ...] = ()
    begun: float = 0.0

    def queue(self, row: Row) -> None:
        """Store a row as one that waits, for the first time or again, and wake a worker after the transaction."""
        row.state = QUEUED
        row.attempts, row.progress, row.error = 0, 0.0, ""
        row.lease_owner, row.lease_until, row.finished_at = "", None, None
        row.asked_at = timezone.now()
        row.request_id = request_id.get().strip("-")
        log.info("background work asked for", extra={"work": self.name})
        row.save()
        send_after_commit(self.wake)

    def claim(self, pk: int | None = None) -> Row | None:
        """Take the row that is due next, or the one named; None when nothing is due or others were faster."""
        now = timezone.now()
        offered = in_turn(self.model, waiting=self._due(now), working=self._held(now)) if pk is None else iter([pk])
        for one in offered:
            taken = self._rows(self._due(now), pk=one).update(
                state=self.model.working_state,
                lease_owner=f"{socket.gethostname()[:40]}:{os.getpid()}:{secrets.token_hex(4)}",
                lease_until=now + self._lease,
                attempts=F("attempts") + 1,
                progress=self.begun,
                error="",
                updated_at=now,
            )
            if taken:
                return self._rows().select_related(*self.related).get(pk=one)
        return None

    def carry_out(self, row: Row, do: Callable[[Row, Hold[Row]], None]) -> bool:
        """Work on a claimed row, and write what became of it. True when its outcome is stored.

        `do` ends with `Hold.finish`. A database that does not answer is raised: the lease runs out, and the sweep
        finds the row when it is back.
        """
        return self._outcome(row, do) == READY

    def _outcome(self, row: Row, do: Callable[[Row, Hold[Row]], None]) -> str:
        """The state that was written; empty where the row was lost. Log lines have the id of who asked for the work."""
        token, started = request_id.set(row.request_id or "-"), time.monotonic()
        try:
            with span(self.name, row=str(row.pk), attempt=row.attempts) as tell:
                state = self._tried(row, do)
                tell(state=state or "lost")
            return state
        finally:
            facts = {"work": self.name, "row": row.pk, "seconds": round(time.monotonic() - started, 2)}
            log.info("background work let go", extra=facts)
            request_id.reset(token)

    def _tried(self, row: Row, do: Callable[[Row, Hold[Row]], None]) -> str:
        hold = Hold(self, row)
        try:
            with hold:
                do(row, hold)
        except Lost:
            log.info("background work lost", extra={"work": self.name, "row": row.pk})
        except (OperationalError, InterfaceError):
            raise
        except Impossible as refusal:
            hold.fail(str(refusal))
        except SoftTimeLimitExceeded:
            log.exception("background work took too long", extra={"work": self.name, "row": row.pk})
            hold.fail(str(self.failures.slow))
        except Exception as trouble:
            log.exception("background work failed", extra={"work": self.name, "row": row.pk})
            hold.rest(self._failure_of(trouble))
        return hold.written

    def work(self, do: Callable[[Row, Hold[Row]], None], pk: int | None = None) -> Row | None:
        """Claim a row and work on it; gives it back as it then is, or None when nothing was due or it was lost."""
        row = self.claim(pk)
        if row is None:
            return None
        if not self._outcome(row, do):
            return None
        row.refresh_from_db()
        return row

    def answer(self, do: Callable[[Row, Hold[Row]], None], *, pass_on: bool) -> None:
        """What a woken worker does: one row. With `pass_on` it first wakes the next free worker, if more is due."""
        row = self.claim()
        if row is None:
            return
        if pass_on and self._rows(self._due(timezone.now())).exists():
            self._call_on()
        self.carry_out(row, do)

    def sweep(self) -> int:
        """Give up what kills its workers, give back what was left behind, wake workers. How many were woken.

        A worker is woken for each row that became due. Messages may be lost, too: when rows wait and nobody took one
        for `WORK_CALL_AGAIN_SECONDS`, one worker is woken, who wakes the next. `updated_at` of a queued row is when a
        worker was last woken for it.
        """
        now = timezone.now()
        left = Q(state=self.model.working_state, lease_until__lt=now)
        died = str(self.failures.died).format(count=settings.WORK_DEATHS)
        self._rows(left, attempts__gte=settings.WORK_DEATHS).update(
            state=FAILED, error=died, lease_owner="", lease_until=None, finished_at=now, updated_at=now
        )
        due = self._rows(left).update(state=QUEUED, lease_owner="", lease_until=None, updated_at=now)
        due += self._rows(state=QUEUED, lease_until__lt=now, updated_at__lt=F("lease_until")).update(updated_at=now)
        for _ in range(due):
            send_after_commit(self.wake)
        return due + self._call_again(now)

    def _call_again(self, now: datetime) -> int:
        before = now - timedelta(seconds=settings.WORK_CALL_AGAIN_SECONDS)
        waiting = self._rows(self._due(now), state=QUEUED, updated_at__lt=before)
        if not waiting.exists() or self._rows(self._held(now), updated_at__gte=before).exists():
            return 0
        waiting.update(updated_at=now)
        self._call_on()
        return 1

    def _call_on(self) -> None:
        """Wake one worker, who wakes the next. Where none is free it is forgotten, not kept: the sweep calls anew."""
        send_after_commit(self.wake, True, expires=settings.WORK_CALL_AGAIN_SECONDS)

    @property
    def name(self) -> str:
        return str(self.model._meta.model_name)

    @property
    def _lease(self) -> timedelta:
        return timedelta(seconds=getattr(settings, self.lease))

    def _rows(self, *conditions: Q, **more: Any) -> QuerySet[Row]:
        return cast("QuerySet[Row]", self.model._default_manager.filter(*conditions, **more))

    def _due(self, now: datetime) -> Q:
        """Rows that a worker may take: waiting and rested, or left behind by a worker that died."""
        rested = Q(lease_until=None) | Q(lease_until__lt=now)
        left = Q(state=self.model.working_state, lease_until__lt=now, attempts__lt=settings.WORK_DEATHS)
        return (Q(state=QUEUED) & rested) | left

    def _held(self, now: datetime) -> Q:
        return Q(state=self.model.working_state, lease_until__gte=now)

    def _failure_of(self, trouble: Exception) -> Failure:
        if not isinstance(trouble, OSError):
            return self.failures.broken
        return self.failures.full_disk if trouble.errno == errno.ENOSPC else self.failures.no_storage


class Hold(Generic[Row]):
    """A claimed row in a worker's hands: its lease is renewed from a thread, with a connection of its own, while the
    block runs.

    Once the row is somebody else's nothing more is renewed. A database that does not answer is tried again at the next
    turn.
    """

    def __init__(self, work: WorkKind[Row], row: Row) -> None:
        #: The state that was written when the row was let go; empty before, and where it was lost.
        self.written = ""
        self._work, self._row, self._owner = work, row, row.lease_owner
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._renew, name=f"lease-{work.name}-{row.pk}", daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._done.set()
        self._thread.join()

    def progress(self, share: float) -> None:
        """Note how far the work is, 0 to 1.

        Raises:
            Lost: the row is somebody else's now.
        """
        until = timezone.now() + self._work._lease
        if not self._mine().update(progress=min(max(share, 0.0), 1.0), lease_until=until):
            raise Lost

    def finish(self, **outcome: Any) -> None:
        """Store the outcome.

        Raises:
            Lost: the row is somebody else's now.
        """
        if not self._write(state=READY, progress=1.0, finished_at=timezone.now(), **outcome):
            raise Lost

    def fail(self, error: str) -> None:
        """Give up, with the reason in words."""
        self._write(state=FAILED, error=error, finished_at=timezone.now())

    def rest(self, failure: Failure) -> None:
        """Have it tried again after a pause, or give up where it was tried often enough."""
        if self._row.attempts >= settings.WORK_TRIES:
            return self.fail(str(failure))
        pause = min(settings.WORK_PAUSE_SECONDS * 2 ** (self._row.attempts - 1), LONGEST_PAUSE_S)
        self._write(state=QUEUED, error=failure.cause, lease_until=timezone.now() + timedelta(seconds=pause))
        return None

    def _write(self, **fields: Any) -> bool:
        released = {"lease_owner": "", "lease_until": None, "updated_at": timezone.now()}
        found = self._mine().update(**released | fields)
        self.written = fields["state"] if found else ""
        return bool(found)

    def _mine(self) -> QuerySet[Row]:
        work = self._work
        return work._rows(pk=self._row.pk, state=work.model.working_state, lease_owner=self._owner)

    def _renew(self) -> None:
        lease = self._work._lease
        try:
            while not self._done.wait(lease.total_seconds() / 4):
                try:
                    close_old_connections()
                    if not self._mine().update(lease_until=timezone.now() + lease):
                        return
                except OperationalError:
                    log.warning("lease not renewed: the database did not answer")
        finally:
            connection.close()
