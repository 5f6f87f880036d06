"""Celery's way in: each task only wakes a service."""

from __future__ import annotations

from celery import shared_task

from .rendering import SHEETS, draw


@shared_task(ignore_result=True)
def report_wake(pass_on: bool = False) -> None:
    """Draw one report that is due, whichever it is."""
    SHEETS.answer(draw, pass_on=pass_on)


@shared_task(ignore_result=True)
def reports_sweep() -> None:
    SHEETS.sweep()
