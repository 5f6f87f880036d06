import csv
import io
import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from placements.models import Comment, Decision, HouseRule, Notice, ReviewFinding, Revision
from placements.selectors import queue
from placements.services import plans, review, signoff
from tests.factories import INCH

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(make_job):
    job = make_job(600.0, 700.0, 1500.0)
    job.send()
    return job


def decide(client, of, verdict="accept", **fields):
    url = reverse("finding_decide", args=[of.pk])
    return client.post(url, {"verdict": verdict, **fields}, headers={"HX-Request": "true"})


def text_of(response):
    return response.content.decode()


def test_the_queue_shows_the_first_exception_in_full(job, cast, client_of):
    page = text_of(client_of(cast.principal).get(reverse("review_queue")))
    first, second = job.findings()
    assert first.text in page
    assert "The client wants it there." in page
    assert "Move it right." in page
    assert "0 of 2 decided" in page
    assert 'class="measure-gauge"' in page
    assert f"?finding={second.pk}" in page


@pytest.mark.parametrize(
    ("window", "manners"), [("", ["screen", "hand"]), ("390x844", ["hand"]), ("1440x900", ["screen"])]
)
def test_the_wall_is_drawn_for_the_window_or_for_both(job, cast, client_of, window, manners):
    client = client_of(cast.principal)
    if window:
        client.cookies["window"] = window
    page = client.get(reverse("review_queue")).content.decode()
    assert re.findall(r'class="elevation (\w+)"', page) == manners


def test_the_designer_sees_the_queue_without_deciding(job, cast, client_of):
    page = text_of(client_of(cast.designer).get(reverse("review_queue")))
    assert "A principal decides this." in page
    assert 'data-key="a"' not in page
    assert decide(client_of(cast.designer), job.findings()[0]).status_code == 403


def test_a_stranger_sees_nothing(job, cast, client_of):
    assert "Nothing to review." in text_of(client_of(cast.stranger).get(reverse("review_queue")))
    assert decide(client_of(cast.stranger), job.findings()[0]).status_code == 404


def test_deciding_brings_the_next_and_at_last_the_signature(job, cast, client_of):
    client = client_of(cast.principal)
    first, second = job.findings()
    page = text_of(decide(client, first))
    assert second.text in page
    assert "1 of 2 decided" in page
    page = text_of(decide(client, second))
    assert reverse("sign_off", args=[job.revision.pk]) in page
    assert Decision.objects.filter(by=cast.principal, verdict="accept").count() == 2


def test_a_decision_without_scripts_leads_on_too(job, cast, client_of):
    first, second = job.findings()
    client = client_of(cast.principal)
    response = client.post(reverse("finding_decide", args=[first.pk]), {"verdict": "accept"}, follow=True)
    assert second.text in text_of(response)


def test_the_loser_of_a_race_is_told_in_place(job, cast, client_of):
    client = client_of(cast.principal)
    (first, _) = job.findings()
    decide(client, first)
    response = decide(client, first, "return", change="No.")
    assert response.status_code == 409
    assert "decided this meanwhile" in text_of(response)
    assert first.text in text_of(response)


def test_the_masthead_counts_down_with_each_decision(job, cast, client_of):
    page = text_of(decide(client_of(cast.principal), job.findings()[0]))
    assert '<span id="review-count" hx-swap-oob="true"><span class="count">1</span></span>' in page


def test_exceptions_are_decided_together_with_one_word(job, cast, client_of):
    """The second is no further out than the first: it may be ticked, and a decision for the project takes it along."""
    client = client_of(cast.principal)
    first, second = job.findings()
    page = text_of(client.get(reverse("review_queue"), {"finding": first.pk}))
    assert f'name="finding" value="{second.pk}"' in page
    assert "1 more like it, no further out" in page
    page = text_of(client.get(reverse("review_queue"), {"finding": second.pk}))
    assert "more like it" not in page
    both = [first.pk, second.pk]
    page = text_of(decide(client, first, finding=both, reason="A low sofa stands here.", change="Not sent."))
    assert "2 of 2 decided" in page
    said = Decision.objects.values_list("finding", "verdict", "reason", "wanted")
    assert set(said) == {(pk, "accept", "A low sofa stands here.", "") for pk in both}
    # Seen with the first's decision alone: the second was decided by somebody else, so neither is changed.
    seen = Decision.objects.get(finding=first).pk
    response = decide(client, first, "return", finding=both, seen=seen, change="Lower.")
    assert response.status_code == 409
    assert Decision.objects.count() == 2


def test_past_decisions_show_the_wall_and_the_word(job, cast, client_of):
    client = client_of(cast.principal)
    first, second = job.findings()
    decide(client, first, reason="A low sofa stands here.")
    page = text_of(client.get(reverse("review_queue"), {"finding": second.pk}))
    past = page[page.index("Earlier decisions") :]
    assert "A low sofa stands here." in past
    assert 'class="elevation thumbnail"' in past
    assert job.works[0].title in past


def test_a_piece_broken_in_several_ways_is_one_matter_stops_first(job, cast, client_of):
    """The heaviest comes first: a gap two feet too small costs more than a centre a foot too low."""
    first, second = job.findings()
    more = {"wall": second.wall, "level": "exception", "unit": "mm", "justification": "So wished."}
    gap = job.revision.findings.create(
        key="gap", rule="clearance", text="Too near.", measured=0, low=600, high=700, **more
    )
    stop = job.revision.findings.create(key="stop", rule="fit", text="It crosses the door.", **more | {"level": "stop"})
    for finding in (gap, stop):
        finding.artworks.set(second.artworks.all())
    (plan,) = queue.plans_in_review(cast.principal)
    assert [[one.pk for one in matter.findings] for matter in plan.matters] == [
        [stop.pk, gap.pk, second.pk],
        [first.pk],
    ]
    page = text_of(client_of(cast.principal).get(reverse("review_queue")))
    assert 'data-key="a"' not in page
    assert [page.count(f">{mark}</span>") for mark in ("1a", "1b", "1c", "2")] == [1, 1, 1, 1]


def test_a_return_without_a_word_is_asked_again(job, cast, client_of):
    response = decide(client_of(cast.principal), job.findings()[0], "return")
    assert response.status_code == 422
    assert "Say what to change." in text_of(response)


def test_a_decision_can_be_taken_back(job, cast, client_of):
    client = client_of(cast.principal)
    (first, _) = job.findings()
    decide(client, first)
    decision = Decision.objects.get()
    response = client.post(reverse("decision_withdraw", args=[decision.pk]), headers={"HX-Request": "true"})
    assert "0 of 2 decided" in text_of(response)


def test_a_house_rule_is_changed_from_the_queue_in_the_readers_units(job, cast, client_of):
    job.cast.principal.unit_style = "in"
    job.cast.principal.save()
    client = client_of(cast.principal)
    url = reverse("finding_change_rule", args=[job.findings()[0].pk])
    value = {"limit": "low", "value": '60"', "reach": "studio", "replaces": ""}
    assert client.post(url, value | {"value": "tall"}, headers={"HX-Request": "true"}).status_code == 422
    response = client.post(url, value, headers={"HX-Request": "true"})
    assert response.status_code == 200
    row = HouseRule.objects.get()
    assert (row.value, row.project) == (60 * INCH, None)
    assert job.findings() == []


def test_share_offered_by_the_queue_reads_as_it_is_printed_and_is_taken_as_typed(job, cast, client_of):
    """60 can only be per cent where no share is above 1.2."""
    client = client_of(cast.principal)
    finding = job.findings()[0]
    ReviewFinding.objects.filter(pk=finding.pk).update(
        rule="two-thirds", unit="ratio", measured=0.5512345, low=0.6, high=0.75, limit="low"
    )
    page = text_of(client.get(reverse("review_queue"), {"finding": finding.pk}))
    assert 'name="value" value="55.12345%"' in page
    assert "Now 60%; may be" in page
    url = reverse("finding_change_rule", args=[finding.pk])
    value = {"limit": "low", "value": "55", "reach": "studio", "replaces": ""}
    assert "With this number the exception would still arise" in text_of(
        client.post(url, value, headers={"HX-Request": "true"})
    )


def test_returned_plans_go_back_and_the_designer_reads_why(job, cast, client_of):
    client = client_of(cast.principal)
    for finding in job.findings():
        decide(client, finding, "return", change="Centre it.", wanted="5 to 5½ ft")
    page = client.post(reverse("plan_step", args=[job.revision.pk]), {"step": "send_back", "note": "Nearly."})
    assert page.status_code == 302
    page = text_of(client_of(cast.designer).get(reverse("plan_review", args=[job.revision.pk])))
    assert "Centre it." in page
    assert "Would be accepted: 5 to 5½ ft" in page
    assert "Nearly." in page
    assert "Send to review" in page


def test_sending_asks_why_and_keeps_what_was_typed(make_job, cast, client_of):
    job = make_job(600.0, 700.0)
    client = client_of(cast.designer)
    url = reverse("plan_send", args=[job.revision.pk])
    first, second = job.answers()
    response = client.post(url, {f"why-{first}": "It clears the lamp.", f"why-{second}": ""})
    assert response.status_code == 422
    assert "It clears the lamp." in text_of(response)
    response = client.post(url, {f"why-{first}": "It clears the lamp.", f"why-{second}": "", "common": "As agreed."})
    assert response.status_code == 302
    assert [finding.justification for finding in job.findings()] == ["It clears the lamp.", "As agreed."]


def test_a_plan_with_a_stop_is_not_sent_and_says_which_piece_where(make_job, cast, client_of):
    job = make_job(600.0, 50.0)
    client = client_of(cast.designer)
    url = reverse("plan_send", args=[job.revision.pk])
    page = text_of(client.get(url))
    assert "Correct it, then send the plan." in page
    assert f"<strong>{job.works[1].title}" in page
    assert reverse("wall", args=[job.project.pk, job.walls[1].pk]) in page
    assert "Send to review</button>" not in page
    response = client.post(url, {"common": "As agreed."})
    assert response.status_code == 422
    job.revision.refresh_from_db()
    assert (job.revision.state, job.revision.findings.count()) == ("draft", 0)


def test_signing_shows_a_verified_record_that_downloads_as_it_was_hashed(make_job, cast, client_of):
    job = make_job(1500.0)
    job.send()
    client = client_of(cast.principal)
    response = client.post(reverse("sign_off", args=[job.revision.pk]), {"statement": "Good."}, follow=True)
    revision = Revision.objects.get(pk=job.revision.pk)
    assert revision.sha256 in text_of(response)
    assert "is what was signed" in text_of(response)
    record = client.get(reverse("signed_record", args=[revision.pk]))
    assert record.content.decode() == revision.snapshot
    Revision.objects.filter(pk=revision.pk).update(snapshot=revision.snapshot.replace("1500", "1501"))
    assert "This is not what was signed." in text_of(client.get(reverse("plan_review", args=[revision.pk])))
    assert client.get(reverse("signed_record", args=[revision.pk])).status_code == 500


def test_signing_early_says_what_is_in_the_way(job, cast, client_of):
    response = client_of(cast.principal).post(reverse("sign_off", args=[job.revision.pk]))
    assert response.status_code == 409
    assert "Not decided" in text_of(response)
    assert client_of(cast.designer).get(reverse("sign_off", args=[job.revision.pk])).status_code == 403


@pytest.fixture
def two_revisions(make_job, cast):
    job = make_job(1500.0, 1500.0)
    job.send()
    signoff.sign_off(by=cast.principal, revision=job.revision)
    first = job.revision
    job.revision = plans.revision_open(by=cast.designer, project=job.project)
    job.move(0, 1500.0 + INCH)
    return job, first


def test_the_difference_shows_the_changed_wall_alone(two_revisions, cast, client_of):
    job, _ = two_revisions
    page = text_of(client_of(cast.designer).get(reverse("plan_difference", args=[job.revision.pk])))
    assert f"{job.works[0]} moves 1″ right." in page
    assert "Wall 2" not in page
    assert "1 stays as it is and needs no new sheet" in page


def test_without_another_revision_there_is_no_difference(make_job, cast, client_of):
    job = make_job(1500.0)
    assert client_of(cast.designer).get(reverse("plan_difference", args=[job.revision.pk])).status_code == 409


def test_the_trail_is_a_page_a_csv_and_a_json(job, cast, client_of):
    moves_by = job.cast.designer.name
    client = client_of(cast.principal)
    url = reverse("audit_trail", args=[job.project.pk])
    assert moves_by in text_of(client.get(url))
    rows = list(csv.DictReader(io.StringIO(text_of(client.get(url, {"as": "csv"})))))
    document = json.loads(text_of(client.get(url, {"as": "json"})))
    assert len(rows) == len(document) > 3
    assert client.get(url, {"since": "yesterday"}).status_code == 422
    assert json.loads(text_of(client.get(url, {"as": "json", "until": "2001-01-01"}))) == []


def test_a_csv_never_begins_a_cell_as_a_formula(job, cast, client_of):
    review.review_take_back(by=cast.designer, revision=job.revision, note="=HYPERLINK(1)")
    page = text_of(client_of(cast.principal).get(reverse("audit_trail", args=[job.project.pk]), {"as": "csv"}))
    assert "'=HYPERLINK(1)" in page
    assert ",=HYPERLINK" not in page


def test_comments_are_written_and_escaped(job, cast, client_of):
    client = client_of(cast.designer)
    url = reverse("comments", args=[job.project.pk])
    client.post(url, {"text": f"<b>@{cast.principal.name}</b> see", "about": f"wall-{job.walls[0].pk}"})
    comment = Comment.objects.get()
    assert (comment.wall, list(comment.mentions.all())) == (job.walls[0], [cast.principal])
    page = text_of(client.get(url))
    assert "&lt;b&gt;" in page
    assert client.post(url, {"text": " "}).status_code == 422
    assert client.get(url, {"about": "wall-1x"}).status_code == 404


def test_the_inbox_is_read_and_leads_on(job, cast, client_of):
    client = client_of(cast.principal)
    notice = Notice.objects.get(user=cast.principal)
    assert notice.text in text_of(client.get(reverse("inbox")))
    response = client.post(reverse("inbox_read"), {"notice": notice.pk})
    assert response.url == reverse("plan_review", args=[job.revision.pk])
    notice.refresh_from_db()
    assert notice.read_at is not None
    assert client_of(cast.designer).post(reverse("inbox_read"), {"notice": notice.pk}).status_code == 404


def test_quiet_hours_need_both_ends(cast, client_of):
    client = client_of(cast.designer)
    form = {"quiet_from": "22:00", "quiet_until": "", "time_zone": "Europe/Paris"}
    assert client.post(reverse("inbox"), form).status_code == 422
    assert client.post(reverse("inbox"), form | {"quiet_until": "07:00", "digest": "on"}).status_code == 302
    cast.designer.refresh_from_db()
    assert (cast.designer.quiet_until.hour, cast.designer.time_zone, cast.designer.digest) == (7, "Europe/Paris", True)


@pytest.mark.parametrize(
    ("name", "argument"),
    [
        ("review_queue", None),
        ("plan_review", "revision"),
        ("plan_send", "revision"),
        ("comments", "project"),
        ("audit_trail", "project"),
        ("inbox", None),
        ("learning", None),
    ],
)
def test_pages_take_the_same_queries_as_plans_grow(make_job, cast, client_of, name, argument):
    """A page over ten pieces and exceptions asks the database as often as one over two."""
    counts = []
    for pieces in (2, 10):
        job = make_job(*[600.0 + index for index in range(pieces)])
        if name != "plan_send":
            job.send()
        arguments = [getattr(job, argument).pk] if argument else []
        client = client_of(cast.principal if name != "plan_send" else cast.designer)
        client.get(reverse(name, args=arguments))
        with CaptureQueriesContext(connection) as queries:
            assert client.get(reverse(name, args=arguments)).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_the_trail_speaks_the_readers_units(make_job, cast, client_of):
    job = make_job(1500.0)
    job.move(0, 60 * INCH)
    cast.principal.unit_style = "in"
    cast.principal.save()
    page = text_of(client_of(cast.principal).get(reverse("audit_trail", args=[job.project.pk])))
    assert re.search(r"left edge</span>\s+(<[^>]+>[^<]*<[^>]+>\s*)*<span class=\"after\">60″<", page)
    assert "left_mm" not in page
