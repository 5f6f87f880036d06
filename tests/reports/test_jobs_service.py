"""Jobs and what hangers do: issued once, stored exactly once, in order, conflicts said."""

from __future__ import annotations

import uuid
from datetime import timedelta
from functools import partial

import pytest
from django.urls import reverse
from django.utils import timezone

from placements.models import RevisionState
from reports.access import link_open
from reports.models import Job, JobAction, JobLink, Report
from reports.selectors import job_board, job_for_phone, jobs_of
from reports.services.actions import action_store
from reports.services.jobs import job_close, job_issue, link_add, link_revoke
from studio.errors import Conflict, Invalid, NotAllowed, WrongState
from studio.tokens import token_hash
from tests.factories import INCH, Placement, RevisionFactory
from tests.parallel import at_once
from tests.pictures import jpeg
from tests.reports.signing import sign, signed_house

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(cast):
    return signed_house(cast, pictures=False)


@pytest.fixture
def issued(cast, house):
    return job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")


@pytest.fixture
def send(issued):
    def store(kind, placement=None, payload=None, *, device="phone-one", sequence=None, identity=None, photo=None):
        last = JobAction.objects.filter(device=device).count()
        return action_store(
            link=issued.link,
            identity=identity or uuid.uuid4(),
            device=device,
            sequence=sequence or last + 1,
            kind=kind,
            placement_id=placement.pk if placement else None,
            payload=payload or {},
            done_at=timezone.now(),
            photo=photo,
        )

    return store


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


def test_closing_ends_links_and_draws_the_record(cast, send, house, issued):
    with pytest.raises(WrongState, match="Not every piece is up"):
        job_close(by=cast.coordinator, job=issued.job)
    for placement in house.placements:
        send("up", placement)
    report = job_close(by=cast.coordinator, job=issued.job)
    assert report.kind == "close_out"
    assert link_open(issued.token) is None
    house.revision.refresh_from_db()
    assert house.revision.state == RevisionState.CLOSED


def test_the_board_flags_what_is_beyond_tolerance(send, house, issued):
    place = house.placements[2]  # left 58 in, top 66 in
    send("measured", place, {"left_mm": 58.5 * INCH, "top_left_mm": 66 * INCH, "top_right_mm": 66 * INCH})
    board = job_board(issued.job)
    (row,) = [row for row in board.rows if row.state.measured]
    assert row.state.measured.faults == ("move left by ½″",)
    assert board.beyond == 1


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
