"""A furnished project for the browser tests: the demo's own survey with something hung on every wall."""

from __future__ import annotations

import itertools
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from placements import scenes
from placements.engine import facade
from placements.engine.house import House
from placements.models import Revision
from placements.pieces import Piece
from placements.services.client_links import client_link_create
from placements.services.moves import arrangement_replace
from placements.services.plans import revision_open
from placements.services.surveys import survey_load
from placements.services.walls import Edit
from placements.survey import read_survey
from studio.models import Project, Wall
from tests.placements.hands import in_hand

SURVEYS = Path(__file__).resolve().parents[2] / "studio" / "demo" / "surveys"


@dataclass(frozen=True)
class Furnished:
    project: Project
    revision: Revision
    wall: Wall
    token: str


def demo_house(name: str) -> House:
    return read_survey(SURVEYS / f"{name}.json").house


def furnished(cast: Any) -> Furnished:
    """The demo house, its sofa wall hung with the best work for it; and a client's link to all its rooms."""
    text = json.loads((SURVEYS / "marlow-house.json").read_text())
    for piece in text["art"]:
        piece.pop("picture", None)
    project = survey_load(survey=read_survey(text), studio=cast.studio, by=cast.designer)
    revision = revision_open(by=cast.designer, project=project)
    scene = scenes.scene_of(project)
    wall = Wall.objects.get(room__project=project, name="North wall")
    space = next(one for one in facade.find_spaces(scene.house) if one.wall == wall.code and one.over)
    best = next(one for one in facade.rank(scene.house, space.id) if one.fits)
    piece = Piece(scene.artwork(best.work), best.left, best.bottom, space=space.id, why=best.why)
    arrangement_replace(edit=Edit(cast.designer), hand=in_hand(revision, wall), pieces=[piece])
    rooms = list(project.rooms.all())
    _, token = client_link_create(by=cast.designer, project=project, rooms=rooms, label="Ines Marlow", days=30)
    return Furnished(project, revision, wall, token)


@contextmanager
def fingertip(page: Any) -> Iterator[Callable[..., None]]:
    """One finger as a touch screen reports it: what it does ("touchStart", "touchMove", "touchEnd"), and where."""
    session = page.context.new_cdp_session(page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        for at in [[point] for point in points] or [[]]:
            session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in at]})

    yield touch
    session.detach()


def finger(page: Any, *points: tuple[float, float]) -> None:
    """One finger goes down at the first point, along the others, and up at the last."""
    with fingertip(page) as touch:
        touch("touchStart", points[0])
        for (x0, y0), (x1, y1) in itertools.pairwise(points):
            for step in range(1, 9):
                touch("touchMove", (x0 + (x1 - x0) * step / 8, y0 + (y1 - y0) * step / 8))
        touch("touchEnd")
