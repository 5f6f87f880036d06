"""Where else a work is planned: one that two projects count on cannot hang in both."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import F, Max

from placements.models import Placement, RevisionState
from studio.models import Artwork, Project


def in_other_plans(works: Iterable[Artwork | int], besides: Project) -> dict[int, Placement]:
    """By the work's number, where the newest revision of another project hangs it, closed ones left out."""
    rows = (
        Placement.objects.filter(artwork__in=list(works))
        .exclude(revision__plan__project=besides)
        .exclude(revision__state=RevisionState.CLOSED)
        .annotate(newest=Max("revision__plan__revisions__number"))
        .filter(revision__number=F("newest"))
        .select_related("artwork", "wall__room__project", "revision")
    )
    return {row.artwork_id: row for row in rows}


def said_of(row: Placement) -> str:
    """Where another plan has a work, in a sentence."""
    room = row.wall.room
    return f"It is also planned in {room.project}: {row.wall} in {room}, {row.revision}."
