"""Write a project as a survey file, with its pictures beside it when asked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from placements.scenes import ProjectScene, picture_name, scene_of, survey_of
from placements.survey import as_text, save, write_survey
from studio.models import Project


class Command(BaseCommand):
    help = "Write a project as a survey file that load_survey reads back."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("project", type=int, help="the project's number")
        parser.add_argument("--out", type=Path, help="the file to write; standard output without it")
        parser.add_argument("--pictures", action="store_true", help="copy the pictures beside the file")

    def handle(self, *args: Any, project: int, out: Path | None, pictures: bool, **options: Any) -> None:
        row = Project.objects.select_related("client__studio").filter(pk=project).first()
        if row is None:
            raise CommandError(f"There is no project {project}.")
        if pictures and out is None:
            raise CommandError("--pictures needs --out: they are copied beside the file.")
        scene = scene_of(row)
        text = as_text(write_survey(survey_of(row, scene=scene, with_pictures=pictures)))
        if out is None:
            self.stdout.write(text, ending="")
            return
        try:
            if pictures:
                _copy_pictures(scene, out.parent)
            save(text, out)
        except OSError as error:
            raise CommandError(f"{out} is not written: {error.strerror} ({error.filename}).") from error
        self.stderr.write(f"Wrote {out}.")


def _copy_pictures(scene: ProjectScene, folder: Path) -> None:
    """Every work's picture beside the file, under the name that the file gives it."""
    for code in scene.work_pk:
        work = scene.artwork(code)
        if work.picture:
            path = folder / picture_name(code)
            path.parent.mkdir(parents=True, exist_ok=True)
            with work.picture.open("rb") as file:
                path.write_bytes(file.read())
