import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from placements.models import Decision, HouseRule, Notice, Transition
from placements.selectors.decisions import similar_decisions, standing_decisions, unsettled
from placements.services import house_rules, plans, review, signoff
from studio.errors import Conflict, Invalid, NotAllowed, WrongState

pytestmark = pytest.mark.django_db


def decide(job, finding, verdict="accept", **fields):
    return review.finding_decide(by=job.cast.principal, finding=finding, verdict=verdict, **fields)


def test_sending_asks_for_a_reason_for_each_exception(make_job):
    job = make_job(600.0, 1500.0, 700.0)
    with pytest.raises(Invalid) as refused:
        review.review_submit(by=job.cast.designer, revision=job.revision)
    assert len(refused.value.faults) == 2
    job.revision.refresh_from_db()
    assert job.revision.state == "draft"
    assert not job.revision.findings.exists()


def test_sending_stores_findings_with_reasons_and_tells_the_principal(make_job):
    job = make_job(600.0, 1500.0)
    job.send()
    (finding,) = job.findings()
    assert (finding.level, finding.measured, finding.low, finding.unit) == ("exception", 1600.0, 2000.0, "mm")
    assert finding.justification == "The client wants it there."
    assert list(finding.artworks.all()) == [job.works[0]]
    assert finding.remedies[0]["kind"] == "move"
    assert Notice.objects.get(user=job.cast.principal).text.endswith("1 exception to decide.")
    assert Transition.objects.filter(to_state="in_review", by=job.cast.designer, note="Please look.").exists()


def test_coordinators_do_not_send(make_job):
    job = make_job(1500.0)
    with pytest.raises(NotAllowed):
        review.review_submit(by=job.cast.coordinator, revision=job.revision)


def test_a_plan_is_sent_once(make_job):
    job = make_job(1500.0)
    job.send()
    with pytest.raises(WrongState):
        job.send()


def test_only_the_principal_decides(make_job):
    job = make_job(600.0)
    job.send()
    with pytest.raises(NotAllowed):
        review.finding_decide(by=job.cast.designer, finding=job.findings()[0], verdict="accept")


def test_a_stop_is_not_sent(make_job):
    job = make_job(600.0, 50.0)
    with pytest.raises(Invalid, match="1 stop in this plan") as refused:
        job.send()
    assert [fault["detail"].startswith("Correct it first: ") for fault in refused.value.faults] == [True]
    assert not job.revision.findings.exists()


def test_a_stop_that_arises_in_review_is_never_accepted(make_job, engine):
    job = make_job(600.0)
    job.send()
    engine.stop = 1700.0
    review.review_refresh(revision=job.revision)
    (stop,) = job.findings()
    assert stop.level == "stop"
    with pytest.raises(Invalid, match="cannot be accepted"):
        decide(job, stop)
    decide(job, stop, "return", reason="It overlaps the door.")
    with pytest.raises(WrongState):
        signoff.sign_off(by=job.cast.principal, revision=job.revision)


def test_a_return_says_what_to_change(make_job):
    job = make_job(600.0)
    job.send()
    with pytest.raises(Invalid, match="what to change"):
        decide(job, job.findings()[0], "return")


def test_two_principals_one_finding_one_decision(make_job):
    job = make_job(600.0)
    job.send()
    (finding,) = job.findings()
    first = decide(job, finding)
    with pytest.raises(Conflict) as refused:
        decide(job, finding, "return", reason="No.")
    assert refused.value.extra["decision"] == first.pk
    later = decide(job, finding, "return", reason="On reflection, no.", replaces=first.pk)
    assert job.findings()[0].decision_id == later.pk
    assert Decision.objects.count() == 2


def test_accepting_for_the_project_settles_what_is_no_worse(make_job):
    job = make_job(500.0, 700.0, 300.0)
    job.send()
    far, near, furthest = job.findings()
    standing = decide(job, far, "accept_project", reason="The client is tall.")
    far, near, furthest = job.findings()
    assert (far.verdict, near.verdict, furthest.verdict) == ("accept_project", "accept", None)
    assert Decision.objects.get(finding=near).basis == standing
    assert standing_decisions(job.project) == [standing]


def test_withdrawing_a_project_decision_takes_its_followers_along(make_job):
    job = make_job(500.0, 700.0)
    job.send()
    standing = decide(job, job.findings()[0], "accept_project")
    review.decision_withdraw(by=job.cast.principal, decision=standing)
    assert [finding.verdict for finding in job.findings()] == [None, None]
    assert standing_decisions(job.project) == []
    assert Decision.objects.count() == 2
    review.review_refresh(revision=job.revision)
    assert [finding.verdict for finding in job.findings()] == [None, None]


def test_returned_plan_goes_back_with_what_was_decided_kept(make_job):
    job = make_job(600.0, 700.0)
    job.send()
    kept, moved = job.findings()
    decide(job, kept)
    decide(job, moved, "return", reason="Centre it.")
    review.review_send_back(by=job.cast.principal, revision=job.revision, note="Nearly.")
    assert Notice.objects.filter(user=job.cast.designer, text__contains="1 finding to correct").exists()
    job.move(1, 1500.0)
    job.send()
    (finding,) = job.findings()
    assert (finding.pk, finding.verdict) == (kept.pk, "accept")
    moved.refresh_from_db()
    assert moved.corrected_at is not None
    assert unsettled(job.findings()) == []


def test_a_piece_moved_again_is_asked_again_with_its_old_reason_at_hand(make_job):
    job = make_job(600.0)
    job.send()
    decide(job, job.findings()[0])
    review.review_take_back(by=job.cast.designer, revision=job.revision)
    job.move(0, 400.0)
    (asked,) = review.review_questions(revision=job.revision)
    assert asked.justification == "The client wants it there."
    job.send()
    assert [finding.verdict for finding in job.findings()] == [None]


def test_a_look_that_finds_nothing_new_writes_nothing(make_job):
    job = make_job(600.0, 700.0)
    job.send()
    before = list(job.revision.findings.order_by("pk").values())
    with CaptureQueriesContext(connection) as queries:
        review.review_refresh(revision=job.revision)
    assert not [query["sql"] for query in queries if query["sql"].startswith(("UPDATE", "INSERT", "DELETE"))]
    assert list(job.revision.findings.order_by("pk").values()) == before


def test_what_changed_is_written_at_once_however_much(make_job):
    job = make_job(300.0, 400.0, 500.0, 600.0)
    job.send()
    house_rules.house_rule_set(
        by=job.cast.principal, studio=job.cast.studio, rule="eye-line", limit="low", value=1650.0, project=job.project
    )
    with CaptureQueriesContext(connection) as queries:
        review.review_refresh(revision=job.revision)
    assert len([query for query in queries if query["sql"].startswith("UPDATE")]) == 1
    assert {row.low for row in job.findings()} == {1650.0}


def test_the_reason_given_last_comes_back_whatever_a_later_look_touched(make_job):
    job = make_job(600.0)
    for left, why in ((600.0, "First."), (700.0, "Second.")):
        job.move(0, left)
        (asked,) = review.review_questions(revision=job.revision)
        review.review_submit(by=job.cast.designer, revision=job.revision, justifications={asked.found.key: why})
        job.revision.refresh_from_db()
        review.review_take_back(by=job.cast.designer, revision=job.revision)
    # A later write of the older finding is no newer reason.
    job.revision.findings.get(justification="First.").save()
    job.move(0, 800.0)
    (asked,) = review.review_questions(revision=job.revision)
    assert asked.justification == "Second."


def test_changing_the_house_rule_settles_what_no_longer_arises(make_job):
    job = make_job(600.0, 900.0, 200.0)
    job.send()
    row = review.finding_change_rule(
        by=job.cast.principal, finding=job.findings()[0], limit="low", value=1500.0, reason="We hang lower here."
    )
    assert (row.project, row.value) == (job.project, 1500.0)
    left = job.findings()
    assert [one.measured for one in left] == [1200.0]
    assert left[0].verdict is None
    assert Decision.objects.filter(verdict="rule_changed").count() == 2


def test_a_rule_change_that_would_not_help_changes_nothing(make_job):
    job = make_job(600.0)
    job.send()
    with pytest.raises(Invalid, match="still arise"):
        review.finding_change_rule(by=job.cast.principal, finding=job.findings()[0], limit="low", value=1650.0)
    assert not HouseRule.objects.exists()
    assert not Decision.objects.exists()


def test_house_rule_outside_its_range_is_refused(make_job):
    job = make_job(600.0)
    with pytest.raises(Invalid, match="must be a number"):
        house_rules.house_rule_set(
            by=job.cast.principal, studio=job.cast.studio, rule="eye-line", limit="low", value=-5.0
        )


def test_preview_of_a_house_rule_stores_nothing(make_job):
    job = make_job(600.0, 900.0)
    (effect,) = house_rules.house_rules_preview(studio=job.cast.studio, changes={("eye-line", "low"): 1650.0})
    assert (len(effect.before), len(effect.after), effect.fewer) == (2, 1, 1)
    assert not HouseRule.objects.exists()


def test_decisions_carry_over_to_the_next_revision(make_job):
    job = make_job(600.0, 700.0)
    job.send()
    for finding in job.findings():
        decide(job, finding)
    signoff.sign_off(by=job.cast.principal, revision=job.revision)
    job.revision = plans.revision_open(by=job.cast.designer, project=job.project)
    job.move(1, 750.0)
    job.send()
    same, changed = job.findings()
    assert (same.verdict, changed.verdict) == ("accept", None)
    assert Decision.objects.get(finding=same).reason == "Accepted in revision 1."


def test_similar_decisions_are_the_studios_own_nearest_first(make_job):
    earlier = make_job(600.0, 900.0)
    earlier.send()
    for finding in earlier.findings():
        decide(earlier, finding)
    job = make_job(880.0)
    job.send()
    (finding,) = job.findings()
    found = similar_decisions(finding=finding, studio=job.cast.studio)
    assert [one.finding.measured for one in found] == [1900.0, 1600.0]
    assert similar_decisions(finding=finding, studio=job.cast.other_studio) == []
