"""One file with everything: the database's rows and the stored files, each with its SHA-256.

The file is a gzipped tar: `rows/<app>.<model>.jsonl` in Django's own serialisation, `files/<path>` as stored, and last
`manifest.json`, which names every member with its hash, the number of rows, the migrations that shaped them, and the
files that rows name and the store does not have. Since rows are written logically, a backup of SQLite restores into
PostgreSQL and the reverse: see `restoring`.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import tarfile
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from itertools import chain
from pathlib import Path
from typing import IO, Any

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.core.files.storage import default_storage
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from .storage import stored

FORMAT = "overmantel-backup"
VERSION = 1
#: What is made again by itself: sign-ins, counts of failed ones, thumbnails, what ran when.
LEFT_OUT = {
    "sessions.session", "usersessions.usersession", "axes", "easy_thumbnails", "studio.taskrecord", "studio.workerseen",
}  # fmt: skip
#: Where a restore keeps what it writes over until it is done.
ASIDE = ".replaced"
BATCH = 2000
#: Read into memory at once: a line of 150 bytes for each file, so of a million files and more.
LARGEST_MANIFEST = 256 * 1024**2


class BadBackup(Exception):
    """The file is no backup, is damaged, or does not fit here; nothing was changed."""


@dataclass
class Manifest:
    format: str = FORMAT
    version: int = VERSION
    made_at: str = ""
    migrations: list[str] = field(default_factory=list)
    rows: dict[str, int] = field(default_factory=dict)
    sha256: dict[str, str] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)

    @property
    def files(self) -> list[str]:
        return [name for name in self.sha256 if name.startswith("files/")]


def kept_models() -> list[type[models.Model]]:
    return [
        model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not {model._meta.label_lower, model._meta.app_label} & LEFT_OUT
    ]


def applied_migrations() -> list[str]:
    return sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations())


# --- Writing ----------------------------------------------------------------------------------------------------------


def backup_write(path: Path) -> Manifest:
    """Writes the backup beside `path` and moves it there when it is complete. The site may go on working meanwhile.

    Rows are read in one snapshot. Files never change under their names and are stored before the rows that name them,
    so those of the snapshot are there when they are read afterwards. What rows name and the store has lost before is in
    `Manifest.missing`: the rest is saved all the same.

    Raises:
        BadBackup: a file was deleted meanwhile.
    """
    manifest = Manifest(made_at=timezone.now().isoformat(), migrations=applied_migrations())
    partial = path.with_name(path.name + ".partial")
    try:
        with tarfile.open(partial, "w:gz", compresslevel=1) as tar:
            outermost = not connection.in_atomic_block
            with transaction.atomic():
                if outermost and connection.vendor == "postgresql":
                    with connection.cursor() as cursor:
                        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
                for model in kept_models():
                    _write_rows(tar, model, manifest)
                named = named_files()
            for name in stored_files():
                with suppress(FileNotFoundError), default_storage.open(name, "rb") as file:
                    _add(tar, f"files/{name}", file, file.size, manifest)
            manifest.missing = sorted(name for name in named if f"files/{name}" not in manifest.sha256)
            if deleted := set(manifest.missing) - named_files():
                raise BadBackup(f"{min(deleted)} was deleted while the backup ran: run it again.")
            content = json.dumps(asdict(manifest), indent=1).encode()
            _add(tar, "manifest.json", io.BytesIO(content), len(content), Manifest())
        partial.replace(path)
    finally:
        partial.unlink(missing_ok=True)
    return manifest


def named_files() -> set[str]:
    """The path of every file that a row names, in a file's column or by its model's `more_files`."""
    more = chain.from_iterable(model.more_files() for model in kept_models() if hasattr(model, "more_files"))
    return set(more) | {
        name
        for model in kept_models()
        for field in model._meta.local_concrete_fields
        if isinstance(field, models.FileField)
        for name in model._base_manager.values_list(field.name, flat=True).distinct().iterator()
        if name
    }


def _write_rows(tar: tarfile.TarFile, model: type[models.Model], manifest: Manifest) -> None:
    names = [field.name for field in model._meta.local_concrete_fields]
    rows = model._base_manager.order_by("pk")
    with tempfile.TemporaryFile("w+", encoding="utf-8") as out:
        serializers.serialize("jsonl", rows.iterator(chunk_size=BATCH), stream=out, fields=names, cls=_ToTheMicrosecond)
        out.flush()
        manifest.rows[model._meta.label_lower] = rows.count()
        size = out.seek(0, io.SEEK_END)
        out.seek(0)
        _add(tar, f"rows/{model._meta.label_lower}.jsonl", out.buffer, size, manifest)


def _add(tar: tarfile.TarFile, name: str, file: IO[bytes] | Any, size: int, manifest: Manifest) -> None:
    member = tarfile.TarInfo(name)
    member.size = size
    reader = _Hashing(file)
    tar.addfile(member, reader)
    manifest.sha256[name] = reader.hexdigest()


class _ToTheMicrosecond(DjangoJSONEncoder):
    """The framework's own encoder cuts times to milliseconds."""

    def default(self, o: Any) -> Any:
        return o.isoformat() if isinstance(o, dt.datetime | dt.time) else super().default(o)


class _Hashing:
    """Reads through to a file and hashes what was read."""

    def __init__(self, file: IO[bytes] | Any) -> None:
        self._file = file
        self._hash = hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        data: bytes = self._file.read(size)
        self._hash.update(data)
        return data

    def hexdigest(self) -> str:
        return self._hash.hexdigest()


def stored_files() -> Iterator[str]:
    """The path of every file in the store, but for thumbnails and what a restore has put aside."""
    folders, files = _top()
    yield from files
    for folder in folders - {settings.THUMBNAIL_BASEDIR, ASIDE}:
        yield from stored(folder)


def _top() -> tuple[set[str], list[str]]:
    try:
        folders, files = default_storage.listdir("")
    except FileNotFoundError:
        return set(), []
    return set(folders), sorted(files)


# --- Reading ----------------------------------------------------------------------------------------------------------


def backup_verify(path: Path) -> Manifest:
    """Reads the whole file and checks every hash; changes nothing.

    Raises:
        BadBackup: the file is none of ours, cut short, or a member is not what was written.
    """
    try:
        with path.open("rb") as file:
            return verified(file, str(path))
    except OSError as error:
        raise BadBackup(f"{path} cannot be read as a backup: {error}") from error


def _manifest(member: tarfile.TarInfo, content: IO[bytes]) -> Manifest:
    """Raises: ValueError, TypeError where it is none."""
    if member.size > LARGEST_MANIFEST:
        raise ValueError(f"its manifest is larger than {LARGEST_MANIFEST // 1024**2} MB")
    found = Manifest(**json.load(content))
    if not (isinstance(found.sha256, dict) and isinstance(found.rows, dict) and isinstance(found.migrations, list)):
        raise TypeError("its manifest is none of ours")
    return found


def verified(file: Any, name: str) -> Manifest:
    """The same of a file that is open for reading bytes; messages call it `name`."""
    seen: dict[str, str] = {}
    manifest: Manifest | None = None
    try:
        with tarfile.open(fileobj=file, mode="r:gz") as tar:
            for member in tar:
                if manifest is not None or not member.isfile() or member.name in seen:
                    raise BadBackup(f"{name}: {member.name} does not belong in a backup.")
                content = tar.extractfile(member)
                assert content is not None
                if member.name == "manifest.json":
                    manifest = _manifest(member, content)
                    continue
                reader = _Hashing(content)
                while reader.read(1 << 20):
                    pass
                seen[member.name] = reader.hexdigest()
    except (tarfile.TarError, EOFError, OSError, ValueError, TypeError, zlib.error) as error:
        raise BadBackup(f"{name} cannot be read as a backup: {error}") from error
    if manifest is None or (manifest.format, manifest.version) != (FORMAT, VERSION):
        raise BadBackup(f"{name} is not a complete backup of this version: its manifest is missing or another's.")
    for member_name in sorted(set(seen) | set(manifest.sha256)):
        if seen.get(member_name) != manifest.sha256.get(member_name):
            raise BadBackup(f"{name} is damaged: {member_name} is not what was written.")
    return manifest
