from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from studio.backup import BadBackup, backup_verify, backup_write


class Command(BaseCommand):
    help = "Writes database and files into one file, and reads it again to check every hash."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("path", nargs="?", type=Path, help="Where to; by default here, named by date and time.")

    def handle(self, *args: Any, path: Path | None, **options: Any) -> None:
        path = path or Path(f"overmantel-{timezone.now():%Y%m%d-%H%M%S}.tar.gz")
        if path.exists():
            raise CommandError(f"{path} exists already: choose another name.")
        if not path.parent.is_dir():
            raise CommandError(f"There is no folder {path.parent}.")
        try:
            backup_write(path)
            manifest = backup_verify(path)
        except BadBackup as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"{path}: {sum(manifest.rows.values())} rows, {len(manifest.files)} files, "
            f"{path.stat().st_size / 1e6:.1f} MB, every hash checked."
        )
        if manifest.missing:
            raise CommandError(
                f"{len(manifest.missing)} files that rows name are not in the file store, and so not in the backup:\n"
                + "\n".join(manifest.missing)
            )
