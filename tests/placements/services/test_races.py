"""Two people at once, each in a real transaction of their own: one wins, the other is told."""

from __future__ import annotations

from typing import Any

import pytest
from django.core import mail

from placements.models import Decision, Placement, ProposalRun, Revision, SignOff, Transition
from placements.services import moves, notices, plans, proposals, review, signoff
from placements.services.walls import Edit
from placements.snapshots import signed
from studio.errors import Conflict, ServiceError, WrongState
from tests.factories import ProjectFactory
from tests.parallel import at_once
from tests.placements.hands import taken_up

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 4


def losers(answers: list[Any]) -> list[ServiceError]:
    return [answer for answer in answers if isinstance(answer, ServiceError)]


@pytest.mark.parametrize("round_", range(ROUNDS))
def test_sign_off_and_edit(make_job, cast, round_):
    job = make_job(1500.0)
    job.send()
    placement = job.placement(0)

    def edit():
        return moves.placement_move(
            edit=Edit(cast.designer, 2, take_back=True), **taken_up(placement), left_mm=1600.0, bottom_mm=1200.0
        )

    def sign():
        return signoff.sign_off(by=cast.principal, revision=job.revision)

    answers = at_once(*((sign, edit) if round_ % 2 else (edit, sign)))
    (loser,) = losers(answers)
    assert isinstance(loser, WrongState)
    revision = Revision.objects.get(pk=job.revision.pk)
    left = Placement.objects.get(pk=placement.pk).left_mm
    if revision.state == "signed":
        assert "never changes again" in loser.detail
        assert left == 1500.0
        assert [hanging.left for hanging in signed(revision).hangings] == [1500.0]
    else:
        assert "must be in review" in loser.detail
        assert (revision.state, left, SignOff.objects.count()) == ("draft", 1600.0, 0)


@pytest.mark.parametrize("round_", range(ROUNDS))
def test_two_signatures(make_job, cast, round_):
    job = make_job(1500.0)
    job.send()
    answers = at_once(*[lambda: signoff.sign_off(by=cast.principal, revision=job.revision)] * 2)
    (loser,) = losers(answers)
    assert "it must be in review" in loser.detail
    assert SignOff.objects.count() == 1
    assert Transition.objects.filter(to_state="signed").count() == 1


@pytest.mark.parametrize("round_", range(ROUNDS))
def test_two_edits_of_one_version(make_job, cast, round_):
    job = make_job(1500.0)
    placement = job.placement(0)
    answers = at_once(
        *(
            lambda left=left: moves.placement_move(
                edit=Edit(cast.designer, 2), **taken_up(placement), left_mm=left, bottom_mm=1200.0
            )
            for left in (1600.0, 1700.0)
        )
    )
    (loser,) = losers(answers)
    assert isinstance(loser, Conflict)
    winner = next(answer for answer in answers if isinstance(answer, Placement))
    assert loser.extra["current"]["pieces"][0]["left_mm"] == winner.left_mm == job.placement(0).left_mm
    assert loser.extra["current"]["version"] == 3


def test_edits_of_two_walls_both_count(make_job, cast):
    job = make_job(1500.0, 1500.0)
    answers = at_once(*(lambda index=index: job.move(index, 1600.0) for index in (0, 1)))
    assert losers(answers) == []
    assert set(Placement.objects.values_list("left_mm", flat=True)) == {1600.0}


@pytest.mark.parametrize("round_", range(ROUNDS))
def test_two_decisions_of_one_finding(make_job, cast, round_):
    job = make_job(600.0)
    job.send()
    (finding,) = job.findings()
    answers = at_once(
        lambda: review.finding_decide(by=cast.principal, finding=finding, verdict="accept"),
        lambda: review.finding_decide(by=cast.principal, finding=finding, verdict="return", reason="No."),
    )
    (loser,) = losers(answers)
    assert "decided this meanwhile" in loser.detail
    assert Decision.objects.count() == 1


def test_a_decision_and_taking_the_plan_back(make_job, cast):
    job = make_job(600.0)
    job.send()
    (finding,) = job.findings()
    at_once(
        lambda: review.finding_decide(by=cast.principal, finding=finding, verdict="accept"),
        lambda: review.review_take_back(by=cast.designer, revision=job.revision),
    )
    job.revision.refresh_from_db()
    assert job.revision.state == "draft"
    assert Decision.objects.count() in (0, 1)


def test_two_openings_give_one_revision(cast):
    project = ProjectFactory(client__studio=cast.studio)
    answers = at_once(*[lambda: plans.revision_open(by=cast.designer, project=project)] * 3)
    assert losers(answers) == []
    assert len({answer.pk for answer in answers}) == 1
    assert Transition.objects.count() == 1


def test_two_requests_give_one_proposal(make_job, cast):
    job = make_job(1500.0)
    answers = at_once(*[lambda: proposals.proposal_request(by=cast.designer, project=job.project)] * 3)
    assert len({answer.pk for answer in answers}) == ProposalRun.objects.count() == 1


def test_two_workers_one_claim(make_job, cast):
    job = make_job(1500.0)
    run = proposals.proposal_request(by=cast.designer, project=job.project)
    answers = at_once(*[proposals.PROPOSALS.claim] * 3)
    assert sum(answer is not None for answer in answers) == 1
    run.refresh_from_db()
    assert run.attempts == 1


def test_two_workers_never_mail_one_notice_twice(make_job, cast):
    make_job(600.0).send()
    at_once(*[notices.notices_deliver] * 3)
    assert len([one for one in mail.outbox if one.to == [cast.principal.email]]) == 1
