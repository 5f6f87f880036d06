"""Clients and their projects."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from studio import access
from studio.errors import WrongState
from studio.models import Client, Project, Studio, User

from .checks import save, set_fields

CLIENT_FIELDS = ("name", "email", "unit_style", "notes")
PROJECT_FIELDS = ("name", "address_note", "latitude", "longitude", "time_zone", "designer", "survey_units")


@transaction.atomic
def client_create(*, by: User, studio: Studio, **fields: Any) -> Client:
    access.require(by=by, studio=studio, roles=access.EVERYONE, to="add a client")
    client = Client(studio=studio)
    set_fields(client, fields, CLIENT_FIELDS)
    return save(client, by, "This client")


@transaction.atomic
def client_update(*, by: User, client: Client, **changes: Any) -> Client:
    access.require(by=by, studio=client.studio, roles=access.EVERYONE, to="change a client")
    set_fields(client, changes, CLIENT_FIELDS)
    return save(client, by, "This client")


@transaction.atomic
def client_delete(*, by: User, client: Client) -> None:
    """Delete a client who has neither projects nor art."""
    access.require(by=by, studio=client.studio, roles=access.PRINCIPAL, to="delete a client")
    if client.projects.exists() or client.artworks.exists():
        raise WrongState(f"{client} has projects or art: move or delete those first.")
    client.delete()


@transaction.atomic
def project_create(*, by: User, client: Client, **fields: Any) -> Project:
    """A project of a client; its designer is whoever makes it, unless another is named."""
    access.require(by=by, studio=client.studio, roles=access.DESIGN, to="open a project")
    project = Project(client=client)
    set_fields(project, {"designer": by, **fields}, PROJECT_FIELDS)
    _expect_colleague(project)
    return save(project, by, "This project")


@transaction.atomic
def project_update(*, by: User, project: Project, **changes: Any) -> Project:
    access.require(by=by, studio=project.client.studio, roles=access.DESIGN, to="change a project")
    set_fields(project, changes, PROJECT_FIELDS)
    _expect_colleague(project)
    return save(project, by, "This project")


def _expect_colleague(project: Project) -> None:
    studio = project.client.studio
    if project.designer is not None and access.role_in(user=project.designer, studio=studio) is None:
        raise WrongState(f"{project.designer} is not a member of {studio}: invite them first.")
