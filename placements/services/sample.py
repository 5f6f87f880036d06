"""The sample project: an invented house to try things with, added and removed in one step."""

from __future__ import annotations

import dataclasses

from django.db import transaction

from placements import access
from placements.models import Placement
from placements.survey import read_survey
from studio.demo.works import SURVEYS
from studio.errors import Missing, WrongState
from studio.models import Client, Project, Studio, User

from .surveys import survey_load

NAME = "Sample client"
_SURVEY = "marlow-boathouse"


@transaction.atomic
def sample_add(*, by: User, studio: Studio) -> Project:
    """The sample of a studio: its project, loaded where it is not there yet.

    Raises:
        WrongState: a client of the studio's own is called as the sample's.
    """
    access.require(by=by, studio=studio, roles=access.DESIGN, to="add the sample project")
    Studio.objects.select_for_update().get(pk=studio.pk)  # two who press at once get one
    there = Client.objects.filter(studio=studio, name=NAME).first()
    if there is not None:
        project = there.projects.first()
        if not there.sample or project is None:
            raise WrongState(f"A client of yours is called “{NAME}” already.")
        return project
    survey = read_survey(SURVEYS / f"{_SURVEY}.json")
    unpainted = {code: dataclasses.replace(extra, picture="") for code, extra in survey.extras.items()}
    project = survey_load(survey=dataclasses.replace(survey, client=NAME, extras=unpainted), studio=studio, by=by)
    Client.objects.filter(pk=project.client_id).update(sample=True)
    return project


@transaction.atomic
def sample_remove(*, by: User, studio: Studio) -> None:
    """Remove the sample with its walls, works and plans.

    Raises:
        Missing: there is none.
        WrongState: its plan was signed or issued: that record stays.
    """
    access.require(by=by, studio=studio, roles=access.DESIGN, to="remove the sample project")
    client = Client.objects.filter(studio=studio, sample=True).first()
    if client is None:
        raise Missing("There is no sample project.")
    if client.projects.exclude(plan__revisions__sha256="").filter(plan__revisions__isnull=False).exists():
        raise WrongState("The sample's plan was signed: its record stays, and so does the sample.")
    Placement.objects.filter(revision__plan__project__client=client).delete()
    client._history_user = by
    client.delete()
