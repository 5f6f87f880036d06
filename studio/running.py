"""Notes what tasks did and that a worker lives: Celery's signals on one side, two small tables on the other.

A note is never worth a task: what cannot be written is logged.
"""

from __future__ import annotations

import logging
import threading
import time
from datetime import timedelta
from typing import Any

from celery import signals
from django.db import DatabaseError, IntegrityError, connection
from django.db.models import F, Value
from django.utils import timezone

from . import tracing
from .logs import request_id

log = logging.getLogger(__name__)

#: How often a worker says that it lives [s], and after how long without it is taken for dead.
BEAT_S = 15
DEAD_AFTER = timedelta(seconds=4 * BEAT_S)
#: The header of a message that holds the id of the request that it comes from.
HEADER = "request_id"

_started: dict[str, float] = {}


@signals.before_task_publish.connect
def send_request_id(headers: dict[str, Any] | None = None, **kwargs: Any) -> None:
    if headers is not None and request_id.get() != "-":
        headers.setdefault(HEADER, request_id.get())


@signals.task_prerun.connect
def begin(task_id: str, task: Any, **kwargs: Any) -> None:
    request_id.set(getattr(task.request, HEADER, None) or "-")
    _started[task_id] = time.monotonic()
    _note(task.name, started_at=timezone.now())


@signals.task_postrun.connect
def end(task_id: str, task: Any, retval: Any = None, state: str | None = None, **kwargs: Any) -> None:
    """A task that says in words what it did has that noted; of one that failed the kind of the failure is."""
    seconds = time.monotonic() - _started.pop(task_id, time.monotonic())
    now, more = timezone.now(), {"runs": F("runs") + 1, "seconds": F("seconds") + Value(seconds)}
    if state == "SUCCESS":
        _note(task.name, **more, succeeded_at=now, note=retval[:250] if isinstance(retval, str) else "")
    else:
        _note(task.name, **more, failures=F("failures") + 1, failed_at=now, note=type(retval).__name__)
    request_id.set("-")


def _note(name: str, **facts: Any) -> None:
    from .models import TaskRecord

    try:
        if not TaskRecord.objects.filter(name=name).update(**facts):
            try:
                TaskRecord.objects.create(name=name)
            except IntegrityError:
                log.info("another worker noted it first", extra={"task": name})
            TaskRecord.objects.filter(name=name).update(**facts)
    except DatabaseError:
        log.warning("task not noted: the database did not answer", extra={"task": name})


@signals.worker_process_init.connect
def trace(**kwargs: Any) -> None:
    tracing.start()


@signals.worker_process_shutdown.connect
def trace_no_more(**kwargs: Any) -> None:
    tracing.stop()


@signals.worker_ready.connect
def live(sender: Any = None, **kwargs: Any) -> None:
    """Starts the thread by which a worker says that it lives, with a connection that it holds only while it writes."""
    name, stopped = str(getattr(sender, "hostname", "worker"))[:120], threading.Event()

    def beat() -> None:
        while True:
            _seen(name)
            if stopped.wait(BEAT_S):
                return

    signals.worker_shutting_down.connect(lambda **_: stopped.set(), weak=False)
    threading.Thread(target=beat, name="alive", daemon=True).start()


def _seen(name: str) -> None:
    from .models import WorkerSeen

    try:
        WorkerSeen.objects.update_or_create(name=name, defaults={"seen_at": timezone.now()})
    except DatabaseError:
        log.warning("worker not noted as alive: the database did not answer")
    finally:
        connection.close()
