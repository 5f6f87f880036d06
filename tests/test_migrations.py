"""Migrations: none missing, one leaf an app, named by what they mean to do."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db.migrations.loader import MigrationLoader

OURS = ("studio", "placements", "reports")


@pytest.fixture(scope="module")
def loader():
    return MigrationLoader(None)


@pytest.mark.django_db
def test_models_have_their_migrations():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.parametrize("app", OURS)
def test_one_leaf(loader, app):
    assert len(loader.graph.leaf_nodes(app)) == 1


@pytest.mark.parametrize("app", OURS)
def test_names_say_the_intent(loader, app):
    names = [name for label, name in loader.disk_migrations if label == app]
    assert names
    assert [name for name in names if "_auto_" in name or name.endswith("_more")] == []


def test_every_scoped_model_names_the_way_to_its_studio():
    from studio.models.base import Owned

    scoped = [model for model in apps.get_models() if issubclass(model, Owned)]
    assert len(scoped) > 10
    for model in scoped:
        str(model.objects.of_studio(1).query)  # an unknown path raises FieldError
