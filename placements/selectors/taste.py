"""What a studio usually hangs, read off the plans that it signed."""

from __future__ import annotations

from collections import defaultdict

from django.db.models import OuterRef, Prefetch, Subquery

from placements import scenes
from placements.engine.house import Rect
from placements.engine.taste import Accepted, Taste, accepted_on, learn
from placements.models import EDITABLE_STATES, Bare, Placement, Revision
from studio.models import Project, Wall, WallItem

#: Of very many signed plans those of the projects opened last are read.
MOST_PLANS = 100


def taste_of_studio(project: Project) -> Taste:
    """The habits in what the project's studio signed last in each of its other projects; five queries."""
    signed = Revision.objects.exclude(state__in=EDITABLE_STATES)
    newest = signed.filter(plan=OuterRef("plan")).order_by("-number").values("pk")[:1]
    chosen = (
        signed.filter(plan__project__client__studio=project.client.studio_id, pk=Subquery(newest))
        .exclude(plan__project=project)
        .order_by("-plan__project", "-pk")
        .values_list("pk", flat=True)[:MOST_PLANS]
    )
    revisions = list(chosen)
    pieces: dict[int, list[tuple[Rect, str]]] = defaultdict(list)
    for row in Placement.objects.filter(revision__in=revisions).select_related("artwork"):
        rect = Rect(row.left_mm, row.bottom_mm, row.artwork.width_mm, row.artwork.height_mm)
        pieces[row.wall_id].append((rect, row.artwork.form))
    bare: dict[int, list[str]] = defaultdict(list)
    for left in Bare.objects.filter(revision__in=revisions).exclude(space=""):
        bare[left.wall_id].append(left.space)
    walls = (
        Wall.objects.filter(pk__in=[*pieces, *bare])
        .select_related("room")
        .prefetch_related(Prefetch("items", queryset=WallItem.objects.order_by("pk")))
        .order_by("pk")
    )
    found: list[Accepted] = []
    for wall in walls:
        found += accepted_on(
            scenes.wall_of(wall, wall.room.code, wall.code),
            project=str(wall.room.project_id),
            use=wall.room.use,
            pieces=pieces[wall.pk],
            bare=bare[wall.pk],
        )
    return learn(found)
