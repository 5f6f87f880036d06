"""Fill the site with the demonstration and print its sign-ins."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from reports import demo


class Command(BaseCommand):
    help = "Load the demonstration studio; a second run leaves everything as it is. Prints the sign-ins."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError("The demonstration has passwords that everybody knows: it is not for production.")
        demo.fill()
        for person in demo.PEOPLE:
            self.stdout.write(f"{person.role.label:12} {person.email:28} {person.password}")
        if address := demo.hanger_address():
            self.stdout.write(f"{'Hanger':12} {address}")
