"""Remarks on a project, a wall or a piece, and who is notified."""

from __future__ import annotations

import re

from django.db import transaction
from django.urls import reverse

from placements import access
from placements.models import Comment
from studio.errors import Invalid, Missing
from studio.inputs import read_text
from studio.models import Artwork, Membership, Project, User, Wall
from studio.words import sentence

from .notices import notice_send

LONGEST = 4000
#: An @ that begins a mention; what follows is matched against the studio's people, the longest name first.
_AT = re.compile(r"(?<!\w)@")


@transaction.atomic
def comment_write(
    *, by: User, project: Project, text: str, wall: Wall | None = None, artwork: Artwork | None = None
) -> Comment:
    """Write a remark; whoever it mentions, and whoever spoke there before, finds it in the inbox."""
    studio = project.client.studio
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="comment on a plan")
    text = read_text(text, longest=LONGEST, where="text")
    if not text:
        detail = "Write something first."
        raise Invalid(detail, faults=[{"where": "text", "detail": detail}])
    if wall is not None and wall.room.project_id != project.pk:
        raise Missing(sentence(f"this wall does not belong to {project}"))
    if artwork is not None and artwork.studio_id != studio.pk:
        raise Missing("There is no such work.")
    comment = Comment.objects.create(
        project=project, wall=wall, artwork=artwork, author=by, author_name=str(by), text=text
    )
    named = mentioned(text=text, people=_people(project))
    comment.mentions.set(named)
    about = wall or artwork or project
    url = comment_url(comment)
    notice_send(studio=studio, to=named, by=by, url=url, text=f"{by} mentions you on {about}: {_short(text)}")
    before = Comment.objects.filter(project=project, wall=wall, artwork=artwork).exclude(pk=comment.pk)
    others = {row.author for row in before.select_related("author")} | {project.designer}
    notice_send(
        studio=studio,
        to=others - set(named),
        by=by,
        url=url,
        text=f"{by} on {about}: {_short(text)}",
    )
    return comment


@transaction.atomic
def client_comment_write(*, project: Project, name: str, text: str, wall: Wall | None = None) -> Comment:
    """A remark of the client, through their link; the project's designer is notified."""
    comment = Comment.objects.create(project=project, wall=wall, author_name=name[:120], text=text.strip()[:LONGEST])
    if project.designer:
        notice_send(
            studio=project.client.studio,
            to=[project.designer],
            url=comment_url(comment),
            text=f"{name} on {wall or project}: {_short(text)}",
        )
    return comment


def comment_url(comment: Comment) -> str:
    return reverse("comments", args=[comment.project_id]) + f"#comment-{comment.pk}"


def mentioned(*, text: str, people: list[User]) -> list[User]:
    """The people whom `text` names after an @, by full name, or by first name where only one has it."""
    first_names = [user.get_short_name().casefold() for user in people]
    names = [(user.name.casefold(), user) for user in people] + [
        (first, user) for first, user in zip(first_names, people, strict=True) if first_names.count(first) == 1
    ]
    names.sort(key=lambda pair: -len(pair[0]))
    found: dict[int, User] = {}
    for match in _AT.finditer(text):
        said = text[match.end() : match.end() + 120].casefold()
        for name, user in names:
            if name and said.startswith(name) and not said[len(name) : len(name) + 1].isalnum():
                found.setdefault(user.pk, user)
                break
    return list(found.values())


def _people(project: Project) -> list[User]:
    rows = Membership.objects.filter(studio=project.client.studio, user__is_active=True).select_related("user")
    return [row.user for row in rows]


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 140 else line[:139] + "…"
