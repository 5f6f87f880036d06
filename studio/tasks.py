"""Celery's way in: each task calls a service."""

from __future__ import annotations

from celery import shared_task

from studio.imports import lists

from . import care

#: The longest that a backup may take [s].
LONGEST_BACKUP_S = 4 * 3600


@shared_task
def list_wake(pass_on: bool = False) -> None:
    """Read one list of art that is due, whichever it is."""
    lists.LISTS.answer(lists.read, pass_on=pass_on)


@shared_task(expires=30)
def lists_sweep() -> None:
    lists.LISTS.sweep()
    lists.forget_old()


# Taken off the queue at once: a broker that hands a message out again after its time would start a second backup.
@shared_task(acks_late=False, reject_on_worker_lost=False, time_limit=LONGEST_BACKUP_S)
def backup() -> str:
    return care.backup_store()


@shared_task
def sign_ins_clear() -> str:
    return care.sign_ins_clear()


@shared_task
def links_clear() -> str:
    return care.links_clear()


@shared_task
def files_clear() -> str:
    return care.files_clear()
