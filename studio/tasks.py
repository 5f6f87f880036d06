"""Celery's way in: each task calls a service."""

from __future__ import annotations

from celery import shared_task

from studio.imports import lists


@shared_task
def list_wake(pass_on: bool = False) -> None:
    """Read one list of art that is due, whichever it is."""
    lists.LISTS.answer(lists.read, pass_on=pass_on)


@shared_task(expires=30)
def lists_sweep() -> None:
    lists.LISTS.sweep()
    lists.forget_old()
