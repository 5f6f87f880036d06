"""Celery's way in: each task names a row and calls a service."""

from __future__ import annotations

from celery import shared_task

from studio.models import Project, Studio

from .services import notices, proposals, review
from .services.photos import measuring


@shared_task
def proposal_run(run_id: int) -> None:
    proposals.proposal_work_in_turn()


@shared_task(expires=30)
def proposals_sweep() -> None:
    proposals.proposals_sweep()


@shared_task(expires=300)
def notices_deliver(user_ids: list[int] | None = None) -> None:
    notices.notices_deliver(users=user_ids)


@shared_task
def reviews_refresh(studio_id: int, project_id: int | None = None) -> None:
    review.reviews_refresh(
        studio=Studio.objects.get(pk=studio_id),
        project=Project.objects.get(pk=project_id) if project_id is not None else None,
    )


@shared_task
def photo_measure(photo_id: int) -> None:
    measuring.photo_work_in_turn()


@shared_task(expires=30)
def photos_sweep() -> None:
    measuring.photos_sweep()
