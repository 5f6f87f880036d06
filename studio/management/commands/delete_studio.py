from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.errors import Invalid
from studio.models import Studio
from studio.services.departure import studio_delete


class Command(BaseCommand):
    help = "Deletes a studio with everything of it, its files included. Export it first: nothing brings it back."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("studio", help="the studio's short name, as in its addresses")
        parser.add_argument("--name", required=True, help="the studio's full name, as proof that it is meant")

    def handle(self, *args: Any, studio: str, name: str, **options: Any) -> None:
        row = Studio.objects.filter(slug=studio).first()
        if row is None:
            raise CommandError(f"There is no studio {studio!r}.")
        try:
            gone = studio_delete(studio=row, by=None, name=name)
        except Invalid as error:
            raise CommandError(error.detail) from error
        self.stdout.write("Deleted: " + ", ".join(f"{count} {kind}" for kind, count in gone.items()) + ".")
