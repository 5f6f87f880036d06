"""A signed house, its job, and a phone that sends what its hanger does."""

from __future__ import annotations

import uuid

import pytest
from django.utils import timezone

from reports.models import JobAction
from reports.services.actions import action_store
from reports.services.jobs import job_issue
from tests.reports.signing import signed_house


@pytest.fixture
def house(cast):
    return signed_house(cast, pictures=False)


@pytest.fixture
def issued(cast, house):
    return job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")


@pytest.fixture
def send(issued):
    def store(
        kind, placement=None, payload=None, *, device="phone-one", sequence=None, identity=None, photo=None, **clock
    ):
        last = JobAction.objects.filter(device=device).count()
        return action_store(
            link=issued.link,
            identity=identity or uuid.uuid4(),
            device=device,
            sequence=sequence or last + 1,
            kind=kind,
            placement_id=placement.pk if placement else None,
            payload=payload or {},
            photo=photo,
            **{"done_at": timezone.now(), **clock},
        )

    return store
