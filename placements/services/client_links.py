"""The client's way in without an account: a link to chosen rooms that expires, can be withdrawn, and takes answers."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from placements import access
from placements.models import ClientAnswer, ClientLink
from studio.errors import Invalid, Missing, TooMany
from studio.inputs import read_text
from studio.models import Project, Room, User, Wall
from studio.tokens import new_token, token_hash
from studio.words import sentence

from .comments import client_comment_write
from .notices import notice_send

LONGEST_DAYS = 365
LONGEST_LABEL = 120
LONGEST_TEXT = 4000
#: How many answers one link sends at most within each of these: a client with a house full of walls needs fewer.
MOST_ANSWERS = ((40, dt.timedelta(minutes=10)), (300, dt.timedelta(days=1)))


@transaction.atomic
def client_link_create(
    *, by: User, project: Project, rooms: Sequence[Room], label: str, days: int
) -> tuple[ClientLink, str]:
    """A new link and its token. The token is shown once: only its SHA-256 is kept."""
    access.require(by=by, studio=project.client.studio, roles=access.EVERYONE, to="show a client a project")
    label, faults = read_text(label, longest=LONGEST_LABEL, where="label"), []
    if not label:
        faults.append({"where": "label", "detail": "Say for whom the link is."})
    if not 1 <= days <= LONGEST_DAYS:
        faults.append({"where": "days", "detail": f"Between 1 and {LONGEST_DAYS} days."})
    if not rooms or any(room.project_id != project.pk for room in rooms):
        faults.append({"where": "rooms", "detail": "Choose at least one room of this project."})
    if faults:
        raise Invalid("The link was not made. Correct what is named, then make it again.", faults=faults)
    token = new_token()
    link = ClientLink.objects.create(
        project=project,
        label=label,
        token_sha256=token_hash(token),
        created_by=by,
        expires_at=timezone.now() + dt.timedelta(days=days),
    )
    link.rooms.set(rooms)
    return link, token


@transaction.atomic
def client_link_revoke(*, by: User, link: ClientLink) -> None:
    access.require(by=by, studio=link.project.client.studio, roles=access.EVERYONE, to="revoke a client's link")
    if link.revoked_at is None:
        link.revoked_at = timezone.now()
        link.save(update_fields=["revoked_at", "updated_at"])


def client_link_by_token(token: str) -> ClientLink:
    """The link behind a token that still opens something.

    Raises:
        Missing: unknown, expired or revoked; the answer is the same.
    """
    now = timezone.now()
    link = (
        ClientLink.objects.filter(token_sha256=token_hash(token), revoked_at=None, expires_at__gt=now)
        .select_related("project__client__studio", "project__designer")
        .first()
    )
    if link is None:
        raise Missing("This link has expired or was withdrawn. Ask the studio for a new one.")
    if link.last_used_at is None or now - link.last_used_at > dt.timedelta(minutes=5):
        ClientLink.objects.filter(pk=link.pk).update(last_used_at=now)
    return link


@transaction.atomic
def client_answer(*, link: ClientLink, wall: Wall, approved: bool | None, text: str) -> ClientAnswer:
    """What the client says to one wall: approved, wants a change, or only a remark. The newest counts.

    Raises:
        TooMany: the link sent so many that it must rest for a while.
    """
    text = read_text(text, longest=LONGEST_TEXT, where="text")
    if approved is None and not text:
        raise Invalid(
            "Write a remark, or approve the wall.", faults=[{"where": "text", "detail": "Nothing was written."}]
        )
    _expect_few(link)
    answer = ClientAnswer.objects.create(link=link, wall=wall, approved=approved, text=text)
    if text:
        client_comment_write(project=link.project, name=link.label, text=text, wall=wall)
    elif link.project.designer:
        said = "approves" if approved else "would like a change to"
        notice_send(
            studio=link.project.client.studio,
            to=[link.project.designer],
            url="",
            text=sentence(f"{link.label} {said} {wall}"),
        )
    return answer


def _expect_few(link: ClientLink) -> None:
    """Count what the link sent lately, one answer at a time."""
    ClientLink.objects.select_for_update().get(pk=link.pk)
    now = timezone.now()
    for most, span in MOST_ANSWERS:
        sent = link.answers.filter(created_at__gt=now - span).order_by("-created_at")
        if oldest := sent.values_list("created_at", flat=True)[most - 1 : most].first():
            wait = max(1, math.ceil((oldest + span - now).total_seconds()))
            raise TooMany(
                f"You have sent {most} answers within {_spoken(span)}, so this one was not sent. "
                f"Send it again in {_spoken(dt.timedelta(seconds=wait))}; until then call or write to the studio.",
                wait_s=wait,
            )


def _spoken(span: dt.timedelta) -> str:
    """About how long, in whole minutes or hours."""
    minutes = math.ceil(span.total_seconds() / 60)
    count, unit = (math.ceil(minutes / 60), "hour") if minutes > 90 else (minutes, "minute")
    return f"{count} {unit}{'' if count == 1 else 's'}"
