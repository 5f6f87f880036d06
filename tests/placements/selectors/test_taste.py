"""The studio's habits as its signed plans show them."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from placements.models import Plan, Revision, RevisionState
from placements.selectors.taste import taste_of_studio
from tests.factories import ItemFactory, PlacementFactory, ProjectFactory

pytestmark = pytest.mark.django_db


def signed(studio, count: int, *, state: str = RevisionState.SIGNED) -> None:
    """So many projects whose plan hangs one print over the sofa."""
    for _ in range(count):
        row = PlacementFactory(
            revision__plan__project__client__studio=studio,
            revision__state=state,
            revision__sha256="0" * 64 if state != RevisionState.DRAFT else "",
            artwork__form="print",
        )
        ItemFactory(wall=row.wall)


def test_what_was_signed_elsewhere_counts_at_one_number_of_queries(cast, django_assert_num_queries):
    here = ProjectFactory(client__studio=cast.studio)
    signed(cast.studio, 2)
    with CaptureQueriesContext(connection) as few:
        assert taste_of_studio(here).habits == ()
    signed(cast.studio, 4)
    with django_assert_num_queries(len(few)):
        taste = taste_of_studio(here)
    assert {(habit.trait, habit.times, habit.of) for habit in taste.habits} == {
        ("one", 6, 6),
        ("form", 6, 6),
        ("width", 6, 6),
    }
    assert len(few) == 5


def test_drafts_the_projects_own_plan_and_other_studios_do_not_count(cast):
    here = ProjectFactory(client__studio=cast.studio)
    signed(cast.studio, 6, state=RevisionState.DRAFT)
    signed(cast.other_studio, 6)
    signed(cast.studio, 4)
    own = PlacementFactory(
        revision__plan__project=here, revision__state=RevisionState.SIGNED, revision__sha256="0" * 64
    )
    ItemFactory(wall=own.wall)
    assert taste_of_studio(here).habits == ()


def test_only_the_newest_signed_revision_of_a_plan_counts(cast):
    signed(cast.studio, 6)
    before = taste_of_studio(ProjectFactory(client__studio=cast.studio))
    for plan in Plan.objects.filter(project__client__studio=cast.studio):
        newer = plan.revisions.get().number + 1
        Revision.objects.create(plan=plan, number=newer, state=RevisionState.SIGNED, sha256="1" * 64)
    assert before.habits
    assert taste_of_studio(ProjectFactory(client__studio=cast.studio)).habits == ()
