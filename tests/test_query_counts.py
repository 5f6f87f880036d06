"""Every list and page asks the database as often for many rows as for a few: the resolver says which there are."""

from __future__ import annotations

import datetime as dt
import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from placements.models import (
    ClientAnswer,
    ClientLink,
    Comment,
    Decision,
    Notice,
    Option,
    Photo,
    PhotoMark,
    Placement,
    Plan,
    ProposalRun,
    ReviewFinding,
    Revision,
    RevisionWall,
    Transition,
)
from reports.models import Job, JobAction, JobLink, Report
from studio.models import ApiToken, Artwork, Client, Invitation, Membership, Project, Room, Wall, WallItem
from tests.factories import INCH, UserFactory
from tests.test_every_address import ADDRESSES
from tests.world import PK, make_world, picture

pytestmark = pytest.mark.django_db
FEW, MANY = 2, 6
#: Without those that show no rows, and take long to make.
ASKED = [
    one
    for one in ADDRESSES
    if "get" in one.methods and not one.by_link and one.name not in ("api_schema", "photo_card")
]


@pytest.fixture
def world(cast):
    return make_world(cast)


def add(world, number: int) -> None:
    """One more of everything that stands in a list somewhere, on the studio's, the project's and the wall's pages."""
    studio, principal, later = world.cast.studio, world.cast.principal, timezone.now() + dt.timedelta(days=9)
    secret = f"{number:064}"
    member = UserFactory()
    Membership.objects.create(studio=studio, user=member, role="designer")
    ApiToken.objects.create(user=principal, label=f"key {number}", token_sha256=secret)
    Invitation.objects.create(
        studio=studio, email=f"{number}@example.test", role="designer", token_sha256=secret, expires_at=later,
        invited_by=member,
    )  # fmt: skip
    client = Client.objects.create(studio=studio, name=f"Client {number}")
    _project(Project.objects.create(client=client, name=f"House {number}"), client, number, world)
    here = Project.objects.get(pk=PK)
    work = _project(here, here.client, number + 100, world)
    wall = Wall.objects.get(pk=PK)
    WallItem.objects.create(wall=wall, code=f"lamp-{number}", kind="floor_lamp", left_mm=number * 100.0, bottom_mm=0,
                            width_mm=90, height_mm=800, depth_mm=500)  # fmt: skip
    Option.objects.create(wall=wall, name=f"Option {number}", arrangement={"pieces": [], "bares": []}, kept_by=member)
    for purpose in ("survey", "layout"):
        photo = Photo.objects.create(
            wall=wall, purpose=purpose, picture=picture(f"{number}.jpg"), shown=picture(f"s{number}.jpg"), width_px=120,
            height_px=80, state="failed", taken_by=member, error="Too dark.",
        )  # fmt: skip
        PhotoMark.objects.create(photo=photo, corners_px=[[1, 1], [9, 1], [9, 9], [1, 9]], artwork=work)
    PhotoMark.objects.create(
        photo_id=PK,
        corners_px=[[1, 1], [9, 1], [9, 9], [1, 9]],
        corners_mm=[[0, 8], [8, 8], [8, 0], [0, 0]],
        artwork=work,
    )
    job = Job.objects.get(pk=PK)
    JobLink.objects.create(job=job, token_sha256=secret, created_by=member, expires_at=later)
    JobAction.objects.create(
        job=job, link_id=PK, uuid=uuid.UUID(int=number), device=f"phone {number}", sequence=1, kind="problem",
        payload={"what": "other", "note": "Look here."}, placement_id=PK, done_at=timezone.now(),
    )  # fmt: skip


def _project(project: Project, client: Client, number: int, world) -> Artwork:
    """A room with a wall, a work, its placement and a finding; talk, runs, links, sheets and jobs; all by newcomers."""
    cast, person, later = world.cast, UserFactory(), timezone.now() + dt.timedelta(days=9)
    room = Room.objects.create(project=project, code=f"r-{number}", name=f"Room {number}", use="living")
    wall = Wall.objects.create(
        room=room, code=f"w-{number}", name=f"Wall {number}", length_mm=168 * INCH, height_mm=108 * INCH
    )
    works = [
        Artwork.objects.create(
            studio=cast.studio, client=client, project=project, code=f"{name}-{number}", title=f"Piece {number}",
            maker=f"Maker {number}", width_mm=20 * INCH, height_mm=16 * INCH, depth_mm=30, weight_kg=3,
            picture=picture(f"{name}{number}.jpg"),
        )
        for name in ("a", "b")
    ]  # fmt: skip
    plan = Plan.objects.filter(project=project).first() or Plan.objects.create(project=project)
    revision = plan.revisions.filter(number=1).first() or Revision.objects.create(
        plan=plan, number=1, state="in_review"
    )
    of = {"revision": revision, "wall": wall}
    RevisionWall.objects.create(**of)
    Placement.objects.create(**of, artwork=works[0], left_mm=700, bottom_mm=1200)
    Transition.objects.create(revision=revision, from_state="draft", to_state="in_review", by=person)
    for key in ("a", "b"):
        finding = ReviewFinding.objects.create(
            **of, key=f"{key}{number}", rule="eye-line", level="exception", text="High"
        )
    Decision.objects.create(finding=finding, verdict="accepted", reason="Wished.", by=person)
    Comment.objects.create(project=project, wall=wall, author=person, author_name=person.name, text="Why here?")
    Notice.objects.create(studio=cast.studio, user=cast.principal, text=f"News {number}", url="/")
    ProposalRun.objects.create(project=project, requested_by=person, state="failed", error="Stopped.")
    link = ClientLink.objects.create(
        project=project, label=f"Link {number}", token_sha256=f"{number:064}", created_by=person, expires_at=later
    )
    link.rooms.add(room)
    ClientAnswer.objects.create(link=link, wall=wall, approved=True, text="Good.")
    Report.objects.create(revision=revision, fingerprint=f"{number:064}", state="queued", requested_by=person)
    Job.objects.create(revision_id=PK + 1, hanger_name=f"Hanger {number}", issued_by=person)
    return works[1]


def read(client, url: str) -> int:
    answer = client.get(url)
    if answer.streaming:
        for _ in answer.streaming_content:
            pass
    return answer.status_code


def counted(client) -> dict[str, int]:
    """Queries of each address that answers a principal."""
    found = {}
    for address in ASKED:
        with CaptureQueriesContext(connection) as queries:
            status = read(client, address.url())
        if status == 200:
            found[address.route] = len(queries)
    return found


def test_number_of_queries_does_not_grow_with_rows(world, client_of):
    client = client_of(world.cast.principal)
    for number in range(FEW):
        add(world, number)
    counted(client)  # caches are warm from here on
    few = counted(client)
    for number in range(FEW, MANY):
        add(world, number)
    many = counted(client)
    assert len(few) > 80
    grown = {route: (few[route], many[route]) for route in few if many.get(route, 0) > few[route]}
    assert grown == {}
