"""Open a studio: its principal gets an invitation by e-mail, and whoever runs the site the same address."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.errors import ServiceError
from studio.services.people import studio_create


class Command(BaseCommand):
    help = "Open a studio and invite its principal. Prints the invitation's address, which works for seven days."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the studio's name")
        parser.add_argument("principal", help="its principal's e-mail address")

    def handle(self, *args: Any, name: str, principal: str, **options: Any) -> None:
        try:
            studio, address = studio_create(name=name, principal_email=principal)
        except ServiceError as error:
            details = [error.detail, *(f"{fault['where']}: {fault['detail']}" for fault in error.faults)]
            raise CommandError("\n".join(details)) from error
        self.stdout.write(f"{studio} ({studio.slug}) is open. Its principal comes in at\n{address}")
