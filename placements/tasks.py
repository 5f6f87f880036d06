"""Celery's way in: each task calls a service."""

from __future__ import annotations

from celery import shared_task

from studio.models import Project, Studio

from .services import dates, notices, proposals, review
from .services.photos import measuring


@shared_task
def proposal_wake(pass_on: bool = False) -> None:
    """Work out one proposal that is due, whichever it is."""
    proposals.PROPOSALS.answer(proposals.propose, pass_on=pass_on)


@shared_task(expires=30)
def proposals_sweep() -> None:
    proposals.PROPOSALS.sweep()


@shared_task(expires=300)
def notices_deliver(user_ids: list[int] | None = None) -> None:
    notices.notices_deliver(users=user_ids)


@shared_task
def notices_clear() -> str:
    return notices.notices_clear()


@shared_task
def dates_remind() -> str:
    return dates.dates_remind()


@shared_task
def reviews_refresh(studio_id: int, project_id: int | None = None) -> None:
    review.reviews_refresh(
        studio=Studio.objects.get(pk=studio_id),
        project=Project.objects.get(pk=project_id) if project_id is not None else None,
    )


@shared_task
def photo_wake(pass_on: bool = False) -> None:
    """Measure one photograph that is due, whichever it is."""
    measuring.PHOTOGRAPHS.answer(measuring.measure, pass_on=pass_on)


@shared_task(expires=30)
def photos_sweep() -> None:
    measuring.PHOTOGRAPHS.sweep()
