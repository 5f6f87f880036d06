"""Jobs and what hangers do: issued once, stored exactly once, in order, conflicts said."""

from __future__ import annotations

import re
import uuid
from datetime import timedelta
from functools import partial

import pytest
from django.urls import reverse
from django.utils import timezone
from rest_framework.test import APIClient

from placements.models import HouseRule, RevisionState
from reports.access import CLOSED, link_open
from reports.contexts.closing import duration
from reports.contexts.sheet import tolerance_text
from reports.models import Job, JobAction, JobLink, Report
from reports.selectors import job_board, job_for_phone, jobs_of, signed_job
from reports.services.actions import action_store
from reports.services.jobs import job_close, job_issue, link_add, link_revoke
from studio.errors import Conflict, Invalid, NotAllowed, WrongState
from studio.tokens import token_hash
from tests.factories import INCH, Placement, RevisionFactory
from tests.parallel import at_once
from tests.pictures import jpeg
from tests.reports.signing import sign, signed_house

pytestmark = pytest.mark.django_db


def test_only_the_hash_of_a_token_is_kept(issued):
    assert len(issued.token) >= 43  # 256 bits in base 64
    assert issued.link.token_sha256 == token_hash(issued.token)
    assert not [field for field in vars(issued.link).values() if issued.token in str(field)]
    assert link_open(issued.token) == issued.link


def test_issuing_moves_the_revision_and_asks_for_its_sheets(issued, house):
    house.revision.refresh_from_db()
    assert house.revision.state == RevisionState.ISSUED
    assert Report.objects.get().job == issued.job


def test_designer_does_not_issue(cast, house):
    with pytest.raises(NotAllowed):
        job_issue(by=cast.designer, revision=house.revision, hanger_name="H. Ladder")
    assert not Job.objects.exists()


def test_a_job_needs_a_name(cast, house):
    with pytest.raises(Invalid, match="Say who hangs it"):
        job_issue(by=cast.coordinator, revision=house.revision, hanger_name=" ")


def test_expired_and_withdrawn_links_open_nothing(cast, issued):
    other = link_add(by=cast.coordinator, job=issued.job)
    link_revoke(by=cast.coordinator, link=issued.link)
    assert link_open(issued.token) is None
    assert link_open(other.token) == other.link
    JobLink.objects.filter(pk=other.link.pk).update(expires_at=timezone.now() - timedelta(seconds=1))
    assert link_open(other.token) is None


def test_the_same_action_twice_is_stored_once(send, house):
    identity = uuid.uuid4()
    first = send("up", house.placements[0], identity=identity, sequence=1)
    again = send("up", house.placements[0], identity=identity, sequence=1)
    assert (first.already, again.already) == (False, True)
    assert JobAction.objects.count() == 1


def test_actions_of_a_phone_come_in_order(send, house):
    with pytest.raises(WrongState) as gap:
        send("up", house.placements[0], sequence=2)
    assert gap.value.extra["expected"] == 1
    send("up", house.placements[0], sequence=1)
    with pytest.raises(Conflict) as taken:
        send("down", house.placements[0], sequence=1)
    assert taken.value.extra["expected"] == 2


def test_two_phones_that_disagree_are_told(send, house):
    send("up", house.placements[0], device="phone-one")
    outcome = send("up", house.placements[0], device="phone-two")
    assert "Another phone had already ticked it" in outcome.action.conflict
    send("drop", house.placements[3], {"drop_mm": 60.0}, device="phone-one")
    agrees = send("drop", house.placements[3], {"drop_mm": 60.5}, device="phone-two")
    differs = send("drop", house.placements[3], {"drop_mm": 70.0}, device="phone-two")
    assert agrees.action.conflict == ""
    assert differs.action.conflict == ""  # the same phone corrects itself
    third = send("drop", house.placements[3], {"drop_mm": 60.0}, device="phone-three")
    assert "measured a drop of 2¾″" in third.action.conflict
    assert JobAction.objects.count() == 6  # nothing is lost


def test_a_measured_drop_leads_to_the_hook_points(send, house):
    # Middle at 103 + 10 in; top at 50 + 16 in, 2 1/2 in down; two hooks 8 in apart.
    outcome = send("drop", house.placements[3], {"drop_mm": 2.5 * INCH, "apart_mm": 8 * INCH})
    assert [(point["datum"], point["floor"]) for point in outcome.points] == [("9′ 1″", "5′ 3½″"), ("9′ 9″", "5′ 3½″")]


@pytest.mark.parametrize(
    ("kind", "payload", "where"),
    [
        pytest.param("drop", {"drop_mm": -1}, "payload.drop_mm", id="drop above the frame"),
        pytest.param("drop", {"drop_mm": 5000}, "payload.drop_mm", id="drop below the frame"),
        pytest.param("drop", {"drop_mm": float("nan")}, "payload.drop_mm", id="not a number"),
        pytest.param("drop", {}, "payload.drop_mm", id="no drop"),
        pytest.param("measured", {"left_mm": 1, "top_left_mm": 99999}, "payload.top_left_mm", id="above the ceiling"),
        pytest.param("problem", {"what": "ghosts"}, "payload.what", id="unknown problem"),
        pytest.param("photo", {}, "photo", id="no photo"),
        pytest.param("sing", {}, "kind", id="unknown kind"),
    ],
)
def test_nonsense_is_refused_and_says_where(send, house, kind, payload, where):
    with pytest.raises(Invalid) as refusal:
        send(kind, house.placements[3], payload)
    assert refusal.value.faults[0]["where"] == where
    assert not JobAction.objects.exists()


def test_a_photo_is_stored_without_what_the_phone_wrote_into_it(send, house):
    action = send("photo", house.placements[0], photo=jpeg()).action
    with action.photo.open("rb") as file:
        assert b"Exif" not in file.read()
    with pytest.raises(Invalid):
        send("photo", house.placements[0], photo=b"<svg onload=alert(1)>")


def test_all_up_finishes_the_job_and_taking_down_reopens_it(send, house, issued):
    for placement in house.placements:
        send("up", placement)
    issued.job.refresh_from_db()
    house.revision.refresh_from_db()
    assert issued.job.finished_at
    assert house.revision.state == RevisionState.HUNG
    send("down", house.placements[1])
    issued.job.refresh_from_db()
    house.revision.refresh_from_db()
    assert issued.job.finished_at is None
    assert house.revision.state == RevisionState.ISSUED


def test_the_list_tells_when_a_hanger_was_last_heard_and_what_was_reported(cast, client_of, send, house, issued):
    assert "not yet" in client_of(cast.coordinator).get(reverse("jobs")).content.decode()
    send("up", house.placements[0])
    send("problem", house.placements[1], {"what": "other", "note": "The wall is soft."})
    (row,) = jobs_of(cast.studio)
    assert (row.piece_count, row.problem_count) == (len(house.placements), 1)
    assert row.heard_at == JobAction.objects.latest("created_at").created_at
    assert "Under way" in client_of(cast.coordinator).get(reverse("jobs")).content.decode()


def test_closing_draws_the_record_and_takes_what_still_comes_as_late_notes(cast, client_of, send, house, issued):
    with pytest.raises(WrongState, match="Not every piece is up"):
        job_close(by=cast.coordinator, job=issued.job)
    for placement in house.placements:
        send("up", placement)
    report = job_close(by=cast.coordinator, job=issued.job)
    assert report.kind == "close_out"
    house.revision.refresh_from_db()
    assert house.revision.state == RevisionState.CLOSED
    phone = APIClient()
    phone.credentials(HTTP_AUTHORIZATION=f"Link {issued.token}")
    answer = phone.get("/api/v1/phone/job/")
    assert (answer.status_code, answer.json()["detail"]) == (403, CLOSED)
    note = send("problem", house.placements[1], {"what": "damaged", "note": "A chip, seen at noon."}).action
    down = send("down", house.placements[1]).action
    assert note.late
    assert down.late
    board = job_board(issued.job)
    assert (board.up, board.problem_count, board.late) == (len(house.placements), 0, [note, down])
    issued.job.refresh_from_db()
    assert issued.job.finished_at
    assert (
        "A chip, seen at noon."
        in client_of(cast.coordinator).get(reverse("job", args=[issued.job.pk])).content.decode()
    )
    assert cast.coordinator.notices.filter(text__contains="a late note on piece").count() == 2


def test_an_offline_day_is_told_by_what_was_done_on_a_phone_whose_clock_is_wrong(client_of, cast, send, house, issued):
    # The phone is 40 minutes fast; it hung from 9:00 to 11:00 on site, and found a signal at 15:00.
    # Los Angeles is 8 h behind UTC in December (IANA time zone database).
    project = house.revision.plan.project
    project.time_zone = "America/Los_Angeles"
    project.save()
    fast = timedelta(minutes=40)
    nine = timezone.now().replace(hour=17, minute=0, second=0, microsecond=0) - timedelta(days=2)
    for hour, placement in zip((0, 0.5, 1, 2), house.placements, strict=True):
        done = nine + timedelta(hours=hour) + fast
        action = send("up", placement, done_at=done, sent_at=timezone.now() + fast).action
        assert abs(action.at - (done - fast)) < timedelta(seconds=5)
        assert action.clock_fast_s == pytest.approx(fast.total_seconds(), abs=5)
    issued.job.refresh_from_db()
    assert abs(issued.job.started_at - nine) < timedelta(seconds=5)
    assert abs(issued.job.finished_at - nine - timedelta(hours=2)) < timedelta(seconds=5)
    assert duration(issued.job) == "2 h 00 min"
    page = client_of(cast.coordinator).get(reverse("job", args=[issued.job.pk])).content.decode()
    assert re.search(r"All up at (10:59|11:00)", page)
    assert "UTC" not in page
    other = send("up", house.placements[0], device="phone-two", done_at=timezone.now(), sent_at=timezone.now()).action
    assert re.search(r"ticked it as up at (08:59|09:00)\.", other.conflict)


def test_nothing_is_done_in_the_future(send, house):
    ahead = timezone.now() + timedelta(days=400)
    assert send("up", house.placements[0], done_at=ahead).action.at <= timezone.now()


def test_the_board_flags_what_is_beyond_tolerance(send, house, issued):
    place = house.placements[2]  # left 58 in, top 66 in
    send("measured", place, {"left_mm": 58.5 * INCH, "top_left_mm": 66 * INCH, "top_right_mm": 66 * INCH})
    board = job_board(issued.job)
    (row,) = [row for row in board.rows if row.state.measured]
    assert row.state.measured.faults == ("move left by ½″",)
    assert board.beyond == 1


def test_one_tolerance_holds_on_paper_on_the_phone_and_in_the_check(cast):
    cast.studio.unit_style = "cm"
    cast.studio.save()
    for limit, value in (("place", 3.0), ("level", 2.0)):
        HouseRule.objects.create(studio=cast.studio, rule="tolerances", limit=limit, value=value)
    house = signed_house(cast, pictures=False)
    issued = job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")
    HouseRule.objects.all().delete()  # what was signed stands
    tolerance = job_for_phone(issued.job)["tolerance"]
    assert tolerance == {"mm": 3.0, "level_mm": 2.0, "text": "0.3 cm", "level_text": "0.2 cm"}
    signed = signed_job(house.revision)
    assert tolerance_text(signed.tolerances, signed.units) == "0.3 cm, and 0.2 cm of level over the piece's width"
    left, top = 58 * INCH, 66 * INCH
    for off, tilt, faults in (
        (3, 2, ()),
        (4, 0, ("move left by 0.4 cm",)),
        (0, 3, ("level it: the right corner is 0.3 cm high",)),
    ):
        action_store(
            link=issued.link, identity=uuid.uuid4(), device="phone-one", sequence=JobAction.objects.count() + 1,
            kind="measured", placement_id=house.placements[2].pk, done_at=timezone.now(),
            payload={"left_mm": left + off, "top_left_mm": top - tilt / 2, "top_right_mm": top + tilt / 2},
        )  # fmt: skip
        (row,) = [row for row in job_board(issued.job).rows if row.state.measured]
        assert row.state.measured.faults == faults


def test_a_newer_signed_revision_makes_the_phone_say_what_changed(cast, house, issued):
    newer = RevisionFactory(plan=house.revision.plan, number=4)
    for old in house.placements[:3]:
        Placement.objects.create(
            revision=newer,
            wall=old.wall,
            artwork=old.artwork,
            left_mm=old.left_mm + (2 * INCH if old.order == 2 else 0),
            bottom_mm=old.bottom_mm,
            order=old.order,
        )
    assert job_for_phone(issued.job)["outdated"] is None
    sign(newer, cast)
    outdated = job_for_phone(issued.job)["outdated"]
    assert outdated["revision"] == 4
    (wall,) = outdated["walls"]
    assert wall["wall"] == "Sitting room, East wall"
    assert sorted(wall["changes"]) == ["Marram moves 2″ right.", "Three terraces comes down."]


def test_the_designer_is_told_of_problems_and_of_pieces_off_their_plan(cast, send, house):
    place = house.placements[2]
    send("measured", place, {"left_mm": 58 * INCH, "top_left_mm": 66 * INCH})
    assert not cast.designer.notices.exists()
    send("measured", place, {"left_mm": 58.5 * INCH, "top_left_mm": 66 * INCH})
    send("problem", house.placements[0], {"what": "pipe", "note": "warm"})
    texts = list(cast.designer.notices.order_by("pk").values_list("text", flat=True))
    assert texts == [
        "Marlow house: piece 3, Marram hangs off its plan: move left by ½″",
        "Marlow house: piece 1, Slack water: pipe or cable (warm)",
    ]
    assert cast.coordinator.notices.count() == 2  # who issued the job


@pytest.mark.django_db(transaction=True)
def test_three_phones_at_once_lose_nothing_and_store_nothing_twice(house, issued):

    def phone(device):
        identities = [uuid.uuid4() for _ in house.placements]
        for _ in range(2):  # every phone sends everything twice, as after a lost answer
            for sequence, (placement, identity) in enumerate(zip(house.placements, identities, strict=True), 1):
                action_store(
                    link=issued.link, identity=identity, device=device, sequence=sequence, kind="up",
                    placement_id=placement.pk, payload={}, done_at=timezone.now(),
                )  # fmt: skip

    names = ["phone-a", "phone-b", "phone-c"]
    assert at_once(*(partial(phone, name) for name in names)) == [None] * 3
    for name in names:
        stored = JobAction.objects.filter(device=name).order_by("pk")
        assert list(stored.values_list("sequence", flat=True)) == [1, 2, 3, 4]
    assert JobAction.objects.filter(conflict="").count() == len(house.placements)
