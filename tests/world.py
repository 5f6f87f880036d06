"""A studio with one row of everything, all under the same number, and a word that no stranger may ever read.

Since every model's row has the number `PK`, an address with that number in it reaches a real row of this studio
whatever the view behind it looks up: so a test can try every address there is without knowing the views.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import uuid
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.core.files.base import ContentFile
from django.db import models, transaction
from django.utils import timezone

from placements.estimating.prices import Prices
from placements.models import (
    Bare,
    CalendarAddress,
    ClientAnswer,
    ClientLink,
    Comment,
    Decision,
    Delegation,
    DueDate,
    Estimate,
    HouseRule,
    Notice,
    Option,
    Photo,
    PhotoMark,
    Placement,
    Plan,
    PriceList,
    ProposalRun,
    Removal,
    ReviewFinding,
    Revision,
    RevisionWall,
    SignOff,
    Transition,
)
from placements.selectors.photos.composites import facts_shown
from reports.models import Job, JobAction, JobLink, Report
from studio.models import ArtList, Artwork, Client, Invitation, Membership, Project, Room, Studio, Wall, WallItem
from studio.models.base import Owned
from tests.factories import INCH, Cast
from tests.pictures import jpeg
from tests.reports.signing import sign

PK = 424242
CANARY = "Zanzibarium"
TOKEN = "the-token-of-every-link-in-this-world-0123456789"


@dataclass(frozen=True)
class World:
    cast: Cast
    token: str = TOKEN

    def state(self) -> dict[str, list[tuple[Any, ...]]]:
        """Every row of every scoped model: equal before and after means that nothing was changed."""
        return {model.__name__: list(model.objects.order_by("pk").values_list()) for model in scoped_models()}

    def revoke_links(self, **when: Any) -> None:
        for model in (JobLink, ClientLink, Invitation):
            model.objects.update(**when)
        CalendarAddress.objects.all().delete()  # neither ends by a day nor is kept once it is ended


def scoped_models() -> list[type[models.Model]]:
    return [model for model in apps.get_models() if issubclass(model, Owned)]


def picture(name: str = "picture.jpg") -> ContentFile:
    return ContentFile(jpeg(size=(120, 80)), name)


def _renumber(cast: Cast, pk: int) -> None:
    """The studio itself gets the number, too; its memberships follow it."""
    with transaction.atomic():
        Studio.objects.filter(pk=cast.studio.pk).update(id=pk)
        Membership.objects.filter(studio_id=cast.studio.pk).update(studio_id=pk)
    cast.studio.pk = pk


def make_world(cast: Cast, *, pk: int = PK, canary: str = CANARY, token: str = TOKEN) -> World:
    """Fills the cast's studio. Rows are made directly: what services would refuse is no matter here."""
    now, later = timezone.now(), timezone.now() + dt.timedelta(days=30)
    hashed = hashlib.sha256(token.encode()).hexdigest()
    people = {"invited_by": cast.principal}
    _renumber(cast, pk)
    Membership.objects.filter(studio=cast.studio, user=cast.coordinator).update(id=pk)
    Invitation.objects.create(
        pk=pk, studio=cast.studio, email=f"{canary.lower()}@example.test", role="designer", token_sha256=hashed,
        expires_at=later, **people,
    )  # fmt: skip
    client = Client.objects.create(pk=pk, studio=cast.studio, name=f"{canary} client", notes=canary)
    project = Project.objects.create(pk=pk, client=client, name=f"{canary} house", address_note=canary)
    room = Room.objects.create(pk=pk, project=project, code="r1", name=f"{canary} room", use="living")
    wall = Wall.objects.create(
        pk=pk, room=room, code="w1", name=f"{canary} wall", length_mm=168 * INCH, height_mm=108 * INCH
    )
    WallItem.objects.create(
        pk=pk, wall=wall, code="sofa", kind="sofa", label=f"{canary} sofa", left_mm=42 * INCH, bottom_mm=0,
        width_mm=84 * INCH, height_mm=34 * INCH, depth_mm=36 * INCH,
    )  # fmt: skip
    artwork = Artwork.objects.create(
        pk=pk, studio=cast.studio, client=client, code="a1", title=f"{canary} picture", maker=canary,
        width_mm=56 * INCH, height_mm=34 * INCH, depth_mm=38, weight_kg=6, hang_kind="wire",
        hang_below_top_mm=230, hang_inset_mm=76, hang_length_mm=1370, picture=picture(),
    )  # fmt: skip
    plan = Plan.objects.create(pk=pk, project=project)
    revision = Revision.objects.create(pk=pk, plan=plan, number=1, state="in_review", note=canary)
    in_revision = {"pk": pk, "revision": revision}
    RevisionWall.objects.create(**in_revision, wall=wall)
    placement = Placement.objects.create(
        **in_revision, wall=wall, artwork=artwork, left_mm=56 * INCH, bottom_mm=42 * INCH, why=canary
    )
    Bare.objects.create(**in_revision, wall=wall, space="elsewhere", reason=canary)
    Option.objects.create(pk=pk, wall=wall, name=canary, arrangement={"pieces": [], "bares": []}, kept_by=cast.designer)
    Transition.objects.create(**in_revision, from_state="draft", to_state="in_review", by=cast.designer, note=canary)
    ProposalRun.objects.create(pk=pk, project=project, requested_by=cast.designer, error=canary)
    finding = ReviewFinding.objects.create(
        **in_revision, wall=wall, key="k", rule="eye-line", level="exception", text=f"{canary} hangs high"
    )
    Decision.objects.create(pk=pk, finding=finding, verdict="accept", reason=canary, by=cast.principal)
    past = {"first_day": dt.date(2025, 7, 1), "last_day": dt.date(2025, 7, 14), "rules": [canary]}
    Delegation.objects.create(pk=pk, studio=cast.studio, principal=cast.principal, deputy=cast.designer, **past)
    DueDate.objects.create(pk=pk, project=project, kind="install", day=dt.date(2027, 3, 1))
    CalendarAddress.objects.create(pk=pk, studio=cast.studio, user=cast.principal, project=project, token_sha256=hashed)
    told = '{"currency":"EUR","lines":[],"by_kind":{},"net":"0","tax_goods":"0","tax_work":"0","total":"0",'
    told += '"hours":{"low":0,"high":0},"second":{"low":0,"high":0},"visits":1,"framed":{},"purchases":[]}'
    prices = Prices("EUR", mouldings={canary: Decimal(2)}).as_json()
    PriceList.objects.create(pk=pk, studio=cast.studio, version=1, content=prices, made_by=cast.principal)
    Estimate.objects.create(**in_revision, version=1, price_version=1, content=told, total=0, note=canary)
    SignOff.objects.create(**in_revision, by=cast.principal, name=canary, sha256="0" * 64, at=timezone.now())
    HouseRule.objects.create(pk=pk, studio=cast.studio, rule="two-thirds", limit="low", value=0.6, reason=canary)
    Comment.objects.create(pk=pk, project=project, author=cast.designer, author_name="Designer", text=canary)
    Notice.objects.create(pk=pk, studio=cast.studio, user=cast.principal, text=canary, url="/")
    link = ClientLink.objects.create(
        pk=pk, project=project, label=canary, token_sha256=hashed, created_by=cast.designer, expires_at=later
    )
    link.rooms.add(room)
    ClientAnswer.objects.create(pk=pk, link=link, wall=wall, approved=True, text=canary)
    signed = Revision.objects.create(pk=pk + 1, plan=plan, number=2, state="signed", sha256="0" * 64)
    Placement.objects.create(revision=signed, wall=wall, artwork=artwork, left_mm=56 * INCH, bottom_mm=42 * INCH)
    sign(signed, cast)
    report = Report.objects.create(
        **in_revision, fingerprint="f" * 64, state="ready", requested_by=cast.designer, pages=1, finished_at=now
    )
    report.file.save("sheet.pdf", ContentFile(f"%PDF-1.7 {canary}".encode()))
    job = Job.objects.create(pk=pk, revision=signed, hanger_name=f"{canary} hanger", issued_by=cast.coordinator)
    job_link = JobLink.objects.create(
        pk=pk, job=job, token_sha256=hashed, created_by=cast.coordinator, expires_at=later
    )
    action = JobAction.objects.create(
        pk=pk, job=job, link=job_link, uuid=uuid.UUID(int=pk), device="phone", sequence=1, kind="photo",
        placement=placement, done_at=now,
    )  # fmt: skip
    action.photo.save("photo.jpg", picture())
    photo = Photo.objects.create(
        pk=pk, wall=wall, purpose="survey", picture=picture("wall.jpg"), shown=picture("shown.jpg"), width_px=120,
        height_px=80, state="failed", taken_by=cast.designer, error=canary,
        camera=[3.1416, 0, 0, -2100, 1300, 4000, -0.3, 0],
        covariance=[[0] * 8] * 8, level={"left_mm": 0, "bottom_mm": 0, "x": 0, "y": 0, "turn": 0},
    )  # fmt: skip
    sheet = {"name": canary, "rows": [["Title", "Size"], [canary, "3 x 4"]]}
    ArtList.objects.create(
        pk=pk, studio=cast.studio, sent_by=cast.principal, name=canary, unit="in", order="width_first", state="ready",
        sheets=[sheet], choice={"sheet": 0, "heading": 0, "mapping": {"0": "title", "1": "size"}},
    )  # fmt: skip
    Removal.objects.create(pk=pk, project=project, label=canary, removed_by=cast.designer, rows=[])
    photo.shown_facts = facts_shown(photo, [placement])
    photo.save()
    PhotoMark.objects.create(
        pk=pk, photo=photo, corners_px=[[10, 10], [90, 10], [90, 60], [10, 60]],
        corners_mm=[[0, 50], [80, 50], [80, 0], [0, 0]], artwork=artwork,
    )  # fmt: skip
    return World(cast, token)
