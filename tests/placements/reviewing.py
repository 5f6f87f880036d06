"""A plan with a few pieces, on an engine that finds what the test asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from placements.models import Placement, Revision
from placements.selectors.decisions import live_findings
from placements.services import moves, plans, review
from placements.services.walls import Edit
from studio.models import Artwork, Project, Wall
from tests.factories import ArtworkFactory, ProjectFactory, RoomFactory, WallFactory
from tests.placements.hands import in_hand, taken_up


@dataclass
class Job:
    """A project whose pieces hang at the given left edges, one a wall; under 1000 mm is an exception."""

    cast: Any
    project: Project
    revision: Revision
    walls: list[Wall]
    works: list[Artwork]

    def placement(self, index: int) -> Placement:
        return Placement.objects.get(revision=self.revision, artwork=self.works[index])

    def move(self, index: int, left_mm: float) -> Placement:
        return moves.placement_move(
            edit=Edit(self.cast.designer), **taken_up(self.placement(index)), left_mm=left_mm, bottom_mm=1200.0
        )

    def answers(self) -> dict[str, str]:
        return {
            question.found.key: "The client wants it there."
            for question in review.review_questions(revision=self.revision)
        }

    def send(self) -> Revision:
        self.revision = review.review_submit(
            by=self.cast.designer, revision=self.revision, justifications=self.answers(), note="Please look."
        )
        return self.revision

    def findings(self) -> list[Any]:
        return list(live_findings(self.revision))


def make_job(cast: Any, *lefts: float) -> Job:
    project = ProjectFactory(client__studio=cast.studio, designer=cast.designer)
    revision = plans.revision_open(by=cast.designer, project=project)
    room = RoomFactory(project=project)
    walls = [WallFactory(room=room, name=f"Wall {index + 1}") for index in range(len(lefts))]
    works = [ArtworkFactory(client=project.client, width_mm=500.0, height_mm=400.0) for _ in lefts]
    for wall, work, left in zip(walls, works, lefts, strict=True):
        moves.placement_place(
            edit=Edit(cast.designer), hand=in_hand(revision, wall), artwork=work, left_mm=left, bottom_mm=1200.0
        )
    return Job(cast, project, revision, walls, works)
