from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from placements.services.archive import studio_archive
from studio.models import Studio


class Command(BaseCommand):
    help = "Writes everything that a studio owns into a zip file: survey files, pictures, the list of its works."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("studio", help="the studio's short name, as in its addresses")
        parser.add_argument("path", type=Path)

    def handle(self, *args: Any, studio: str, path: Path, **options: Any) -> None:
        row = Studio.objects.filter(slug=studio).first()
        if row is None:
            raise CommandError(f"There is no studio {studio!r}.")
        if path.exists():
            raise CommandError(f"{path} exists already: choose another name.")
        partial = path.with_name(path.name + ".partial")
        with partial.open("wb") as out:
            for chunk in studio_archive(studio=row, by=None):
                out.write(chunk)
        partial.replace(path)
        self.stdout.write(f"{path}: {path.stat().st_size / 1e6:.1f} MB.")
