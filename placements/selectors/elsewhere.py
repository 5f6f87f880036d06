"""Where else a work is planned: one that two projects count on cannot hang in both."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import TYPE_CHECKING, TypedDict

from django.db.models import F, Max, OuterRef, Subquery

from placements.models import DateKind, DueDate, Placement, RevisionState
from studio.models import Artwork, Project


class Claim(TypedDict):
    """What `in_other_plans` adds to a placement."""

    install: dt.date | None


if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    ClaimedPlacement = WithAnnotations[Placement, Claim]
else:
    ClaimedPlacement = Placement


def in_other_plans(works: Iterable[Artwork | int], besides: Project) -> dict[int, ClaimedPlacement]:
    """By the work's number, where the newest revision of another project hangs it, closed ones left out, each with the
    day of that project's install."""
    install = DueDate.objects.filter(project=OuterRef("revision__plan__project"), kind=DateKind.INSTALL)
    rows = (
        Placement.objects.filter(artwork__in=list(works))
        .exclude(revision__plan__project=besides)
        .exclude(revision__state=RevisionState.CLOSED)
        .annotate(newest=Max("revision__plan__revisions__number"), install=Subquery(install.values("day")[:1]))
        .filter(revision__number=F("newest"))
        .select_related("artwork", "wall__room__project", "revision")
    )
    return {row.artwork_id: row for row in rows}


def said_of(row: ClaimedPlacement) -> str:
    """Where another plan has a work, and until when, in a sentence."""
    room = row.wall.room
    until = f", to be hung by {row.install:%-d %B %Y}" if row.install else ""
    plan = f"{row.revision}, {row.revision.get_state_display().lower()}"
    return f"It is also planned in {room.project}: {row.wall} in {room}, {plan}{until}."
