from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.backup import BadBackup, backup_verify
from studio.restoring import backup_restore


class Command(BaseCommand):
    help = "Puts database and files back from a backup: all of it, or nothing. Stop web and workers first."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("path", type=Path)
        parser.add_argument("--replace", action="store_true", help="Take the place of the data that is here now.")
        parser.add_argument("--check", action="store_true", help="Only check the file.")

    def handle(self, *args: Any, path: Path, replace: bool, check: bool, **options: Any) -> None:
        try:
            manifest = backup_verify(path) if check else backup_restore(path, replace=replace)
        except BadBackup as error:
            raise CommandError(str(error)) from error
        done = "is whole" if check else "is restored"
        count = f"{sum(manifest.rows.values())} rows, {len(manifest.files)} files"
        self.stdout.write(f"{path} of {manifest.made_at[:16]} {done}: {count}.")
        for name in manifest.missing:
            self.stderr.write(f"Not in it, since the file store had lost it before: {name}")
