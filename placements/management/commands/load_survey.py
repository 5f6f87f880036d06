"""Store a survey file as a project, whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from placements.services.surveys import survey_load
from placements.survey import SurveyError, pictures_beside, read_survey
from studio.errors import ServiceError
from studio.models import Studio


class Command(BaseCommand):
    help = "Store a survey file as a new project of a studio, whole or not at all."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("survey", type=Path, help="the survey file")
        parser.add_argument("--studio", required=True, metavar="SLUG", help="the studio that it belongs to")

    def handle(self, *args: Any, survey: Path, **options: Any) -> None:
        studio = Studio.objects.filter(slug=options["studio"]).first()
        if studio is None:
            known = ", ".join(Studio.objects.values_list("slug", flat=True)[:20]) or "none yet"
            raise CommandError(f"There is no studio “{options['studio']}”. There are: {known}.")
        try:
            read = read_survey(survey)
            project = survey_load(survey=read, studio=studio, by=None, pictures=pictures_beside(read, survey.parent))
        except SurveyError as error:
            raise CommandError(
                f"{survey} has {len(error.faults)} fault(s); nothing was stored:\n{error}", returncode=2
            ) from error
        except ServiceError as error:
            lines = [error.detail, *(f"{fault['where']}: {fault['detail']}" for fault in error.faults)]
            raise CommandError("\n".join([*lines, "Nothing was stored."]), returncode=2) from error
        self.stdout.write(
            f"Stored “{project}” of {project.client}: {len(read.house.rooms)} rooms, "
            f"{len(read.house.wall_by_id)} walls, {len(read.house.works)} works."
        )
