"""The queue, the trail and what the studio learns, over plans made by the services."""

import datetime as dt

import pytest
from django.utils import timezone

from placements.selectors.audit import audit_trail
from placements.selectors.learning import LEAST_EVIDENCE, rule_records
from placements.selectors.queue import plan_in_review, plans_in_review, queue_count
from placements.services import house_rules, review, signoff

pytestmark = pytest.mark.django_db


def decide(job, finding, verdict="accept", reason="It is right there."):
    return review.finding_decide(by=job.cast.principal, finding=finding, verdict=verdict, reason=reason)


def test_the_queue_spans_projects_and_counts_what_waits(make_job, cast, engine):
    first, second = make_job(600.0, 700.0), make_job(550.0)
    first.send()
    second.send()
    engine.stop = 1560.0  # what came up since it was sent
    review.review_refresh(revision=second.revision)
    assert [one.revision for one in plans_in_review(cast.principal)] == [first.revision, second.revision]
    assert queue_count(cast.principal) == 3
    assert queue_count(cast.designer) == 0
    assert plans_in_review(cast.stranger) == []
    decide(first, first.findings()[0])
    plan = plan_in_review(first.revision)
    assert (len(plan.undecided), len(plan.settled), plan.can_be_signed) == (1, 1, False)
    decide(first, first.findings()[1])
    assert plan_in_review(first.revision).can_be_signed
    decide(second, second.findings()[0], "return")
    stopped = plan_in_review(second.revision)
    assert stopped.is_decided
    assert not stopped.can_be_signed


@pytest.mark.parametrize("plans", [1, 4])
def test_the_queue_takes_the_same_queries_however_many_plans(make_job, cast, plans, django_assert_num_queries):
    for _ in range(plans):
        make_job(600.0, 700.0).send()
    with django_assert_num_queries(4):
        plans_in_review(cast.principal)


def test_the_trail_says_who_changed_what_from_what_to_what(make_job, cast):
    job = make_job(600.0)
    job.move(0, 700.0)
    job.send()
    decide(job, job.findings()[0])
    signoff.sign_off(by=cast.principal, revision=job.revision)
    trail = audit_trail(job.project)
    moved = next(one for one in trail if one.what == "Piece" and one.action == "changed")
    assert (moved.who, moved.subject) == (cast.designer.name, job.works[0].title)
    assert (moved.before, moved.after) == ({"left_mm": 600.0}, {"left_mm": 700.0})
    assert [one.after["state"] for one in trail if one.what == "Plan"] == ["Signed", "In review", "Draft"]
    decision = next(one for one in trail if one.what == "Decision")
    assert (decision.who, decision.after, decision.note) == (
        cast.principal.name, {"decision": "Accept"}, "It is right there.",
    )  # fmt: skip
    assert trail == sorted(trail, key=lambda one: one.at, reverse=True)
    assert audit_trail(job.project, since=timezone.now() + dt.timedelta(hours=1)) == []


@pytest.mark.parametrize("moves", [1, 6])
def test_the_trail_takes_the_same_queries_however_long(make_job, moves, django_assert_num_queries):
    job = make_job(*[1500.0] * moves)
    for index in range(moves):
        job.move(index, 1600.0)
    with django_assert_num_queries(17):
        audit_trail(job.project)


def test_the_trail_holds_nothing_of_other_projects(make_job):
    one, other = make_job(600.0), make_job(700.0)
    assert {entry.subject for entry in audit_trail(one.project)} & {work.title for work in other.works} == set()


def test_a_rule_often_broken_and_accepted_suggests_its_own_change(make_job, cast):
    job = make_job(*[600.0 + 10 * index for index in range(LEAST_EVIDENCE + 1)])
    job.send()
    for finding in job.findings():
        decide(job, finding)
    # The stub judges against 2000 mm, the studio's own number.
    house_rules.house_rule_set(by=cast.principal, studio=cast.studio, rule="eye-line", limit="high", value=2100.0)
    house_rules.house_rule_set(by=cast.principal, studio=cast.studio, rule="eye-line", limit="low", value=2000.0)
    (record,) = rule_records(cast.studio)
    assert (record.broken, record.accepted, record.returned, record.projects) == (6, 6, 0, 1)
    suggestion = record.suggestion
    assert (suggestion.limit, suggestion.now) == ("low", 2000.0)
    assert 1600.0 <= suggestion.value <= 1620.0
    assert suggestion.spared >= 5


def test_too_few_cases_suggest_nothing(make_job, cast):
    job = make_job(600.0, 610.0)
    job.send()
    for finding in job.findings():
        decide(job, finding)
    (record,) = rule_records(cast.studio)
    assert record.suggestion is None


def test_what_is_mostly_returned_suggests_nothing(make_job, cast):
    job = make_job(*[600.0 + 10 * index for index in range(10)])
    job.send()
    for index, finding in enumerate(job.findings()):
        decide(job, finding, "return" if index % 2 else "accept")
    (record,) = rule_records(cast.studio)
    assert (record.accepted, record.returned, record.suggestion) == (5, 5, None)


def test_another_studio_learns_nothing_from_ours(make_job, cast):
    job = make_job(600.0)
    job.send()
    assert rule_records(cast.other_studio) == []
