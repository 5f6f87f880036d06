"""Hands work to Celery after the transaction, by the task's name, so that services need not import tasks."""

from __future__ import annotations

from typing import Any

from celery import signature
from django.db import transaction


def send_after_commit(task: str, *args: Any, **options: Any) -> None:
    """Queue `task` once the transaction commits.

    A broker that is down is logged, not raised: the row that the task would read is already stored, and its sweep
    finds it. `options` are Celery's own, such as `priority` or `countdown`.
    """

    def send() -> None:  # a `partial` has no name, which Django's log of a robust hook needs
        _send(task, args, options)

    transaction.on_commit(send, robust=True)


def _send(task: str, args: tuple[Any, ...], options: dict[str, Any]) -> None:
    signature(task, args=args).apply_async(**options)
