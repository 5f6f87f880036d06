"""Celery's way in: each task only wakes a service."""

from __future__ import annotations

from celery import shared_task

from .rendering import report_claim, report_render, reports_to_wake


@shared_task(ignore_result=True)
def report_wake() -> None:
    """Draw one report that is due, whichever it is."""
    report = report_claim()
    if report is not None:
        report_render(report)


@shared_task(ignore_result=True)
def reports_sweep() -> None:
    """Wake a worker for every report that a dead worker or broker lost."""
    for _ in range(reports_to_wake()):
        report_wake.delay()
