"""A draft with a piece over a sofa; and plans under review, on an engine that finds what the test asks for."""

from __future__ import annotations

from functools import partial

import pytest

from tests.factories import ItemFactory, PlacementFactory
from tests.placements import reviewing, stub_engine


@pytest.fixture
def hung(cast):
    """The default painting over the default sofa, 8 in above it, in a draft of the studio's."""
    project = {"revision__plan__project__client__studio": cast.studio, "revision__plan__project__name": "Quay house"}
    placement = PlacementFactory(**project, revision__number=1, artwork__title="Slack water")
    ItemFactory(wall=placement.wall)
    return placement


@pytest.fixture
def engine(monkeypatch):
    return stub_engine.install(monkeypatch)


@pytest.fixture
def make_job(cast, engine):
    """make_job(600.0, 1500.0): a project with one piece a wall at these left edges; under 1000 mm is an exception."""
    return partial(reviewing.make_job, cast)
