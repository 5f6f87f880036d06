"""Deputies: they decide in a principal's name, within days, projects, rules and distances, and never beyond."""

from __future__ import annotations

import datetime as dt
import json

import pytest
from django.urls import reverse
from django.utils import timezone

from placements.models import Decision, Delegation, HouseRule, Notice, Revision
from placements.selectors.delegations import may_review
from placements.selectors.queue import queue_count
from placements.services import review, signoff
from placements.services.delegations import delegation_end, delegation_make
from placements.snapshots import verify
from studio.errors import Conflict, Invalid, NotAllowed
from tests.factories import ProjectFactory

pytestmark = pytest.mark.django_db


def name_deputy(cast, **given):
    today = timezone.localdate()
    days = {"first_day": today, "last_day": today + dt.timedelta(days=7)}
    who = {"by": cast.principal, "studio": cast.studio, "deputy": cast.coordinator}
    return delegation_make(**who | days | given)


@pytest.fixture
def job(make_job):
    """Three exceptions: 400, 300 and 200 mm out."""
    job = make_job(600.0, 700.0, 800.0)
    job.send()
    return job


def accept(job, index, verdict="accept", **more):
    return review.finding_decide(by=job.cast.coordinator, finding=job.findings()[index], verdict=verdict, **more)


def test_a_deputy_decides_in_the_principals_name_within_the_limits(job, cast):
    with pytest.raises(NotAllowed, match="Only a principal"):
        accept(job, 0)
    name_deputy(cast, most_mm=250.0)
    assert queue_count(cast.coordinator) == 3
    decision = accept(job, 2)
    assert (decision.by, decision.in_name_of) == (cast.coordinator, cast.principal)
    with pytest.raises(NotAllowed, match="cannot accept anything so far out"):
        accept(job, 1)
    with pytest.raises(NotAllowed, match="what holds for a whole project"):
        accept(job, 2, "accept_project", replaces=decision.pk)
    with pytest.raises(NotAllowed, match="change a house rule"):
        review.finding_change_rule(by=cast.coordinator, finding=job.findings()[0], limit="low", value=1500.0)
    assert accept(job, 1, "return", reason="Lower it.").in_name_of == cast.principal
    assert not HouseRule.objects.exists()
    # The principal decides in nobody's name.
    assert review.finding_decide(by=cast.principal, finding=job.findings()[0], verdict="accept").in_name_of is None


@pytest.mark.parametrize(
    "given",
    [
        pytest.param({"first_day": timezone.localdate() + dt.timedelta(days=3)}, id="to come"),
        pytest.param({"rules": ["spacing"]}, id="another rule"),
        pytest.param({"most_share": 0.2, "most_mm": 0.0}, id="no distance at all"),
        pytest.param({"project": "another"}, id="another project"),
    ],
)
def test_no_deputy_reaches_beyond_what_was_given(job, cast, given):
    if "project" in given:
        given = {"project": ProjectFactory(client__studio=cast.studio)}
    name_deputy(cast, **given)
    with pytest.raises(NotAllowed):
        accept(job, 0)
    assert not Decision.objects.exists()


def test_it_ends_by_hand_and_with_either_persons_place(job, cast):
    made = name_deputy(cast)
    accept(job, 0)
    cast.principal.memberships.update(role="designer")
    assert not may_review(cast.coordinator, job.project)
    cast.principal.memberships.update(role="principal")
    assert may_review(cast.coordinator, job.project)
    delegation_end(by=cast.principal, delegation=made)
    with pytest.raises(NotAllowed):
        accept(job, 1)
    with pytest.raises(Conflict):
        delegation_end(by=cast.principal, delegation=made)
    assert Decision.objects.get().in_name_of == cast.principal
    assert Notice.objects.filter(user=cast.coordinator, text__contains="deputy").count() == 2


def test_bad_days_people_rules_and_projects_are_named(cast):
    yesterday = timezone.localdate() - dt.timedelta(days=1)
    with pytest.raises(Invalid) as refused:
        name_deputy(
            cast,
            deputy=cast.stranger,
            last_day=yesterday,
            project=ProjectFactory(),
            rules=["no-such-rule"],
            most_mm=-1.0,
        )
    places = [fault["where"] for fault in refused.value.faults]
    assert places == ["deputy", "last_day", "project", "rules", "most_mm"]
    with pytest.raises(NotAllowed):
        name_deputy(cast, by=cast.designer)
    assert not Delegation.objects.exists()


def test_a_signature_in_a_principals_name_is_in_the_record(make_job, cast):
    job = make_job(1500.0)
    job.send()
    name_deputy(cast)
    with pytest.raises(NotAllowed, match="a deputy who may sign"):
        signoff.sign_off(by=cast.coordinator, revision=job.revision)
    name_deputy(cast, may_sign=True)
    signature = signoff.sign_off(by=cast.coordinator, revision=job.revision, statement="Agreed by telephone.")
    revision = Revision.objects.get(pk=job.revision.pk)
    assert json.loads(revision.snapshot)["signed"]["in_name_of"] == str(cast.principal)
    assert verify(revision).holds
    # The hash goes to everybody who answers for the plan, the signer too.
    told = set(Notice.objects.filter(text__contains=signature.sha256).values_list("user", flat=True))
    assert told == {cast.principal.pk, cast.designer.pk, cast.coordinator.pk}
    signature.at += dt.timedelta(seconds=1)
    signature.save()
    assert verify(Revision.objects.get(pk=revision.pk)).faults == ("The time was changed after it was signed.",)
    signature.in_name_of = None
    signature.at -= dt.timedelta(seconds=1)
    signature.save()
    assert not verify(Revision.objects.get(pk=revision.pk)).holds


def test_the_page_names_and_ends_deputies_and_standing_decisions(job, cast, client_of):
    principal = client_of(cast.principal)
    today = timezone.localdate().isoformat()
    form = {
        "deputy": cast.coordinator.pk,
        "first_day": today,
        "last_day": today,
        "most_mm": "10 in",
        "most_share": "20",
    }
    assert principal.post(reverse("standing"), form).status_code == 302
    made = Delegation.objects.get()
    assert (made.most_mm, made.most_share, made.rules) == (254.0, 0.2, [])
    deputy = client_of(cast.coordinator)
    page = deputy.get(reverse("review_queue")).content.decode()
    assert "You decide for" in page
    assert "Change the house rule" not in page
    review.finding_decide(by=cast.principal, finding=job.findings()[0], verdict="accept_project", reason="As agreed.")
    assert "A principal signs it." in deputy.get(reverse("review_queue")).content.decode()
    page = principal.get(reverse("standing")).content.decode()
    assert f"<strong>{cast.coordinator}</strong> for {cast.principal}: all projects" in page
    assert "lengths up to" in page
    assert "3 exceptions" in page  # the one decided and two that are no further out
    assert deputy.post(reverse("standing"), form).status_code == 422
    assert deputy.post(reverse("deputy_end", args=[made.pk])).status_code == 403
    assert principal.post(reverse("deputy_end", args=[made.pk])).status_code == 302
    assert may_review(cast.coordinator, job.project) is False
