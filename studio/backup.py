"""One file with everything: the database's rows and the stored files, each with its SHA-256.

The file is a gzipped tar: `rows/<app>.<model>.jsonl` in Django's own serialisation, `files/<path>` as stored, and last
`manifest.json`, which names every member with its hash, the number of rows, and the migrations that shaped them. Since
rows are written logically, a backup of SQLite restores into PostgreSQL and the reverse.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import shutil
import tarfile
import tempfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from itertools import islice
from pathlib import Path
from typing import IO, Any

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.core.files.storage import default_storage
from django.core.management.color import no_style
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

FORMAT = "overmantel-backup"
VERSION = 1
#: What is made again by itself: sign-ins, counts of failed ones, thumbnails.
LEFT_OUT = {"sessions.session", "usersessions.usersession", "axes", "easy_thumbnails"}
BATCH = 2000


class BadBackup(Exception):
    """The file is no backup, is damaged, or does not fit this version; nothing was changed."""


@dataclass
class Manifest:
    format: str = FORMAT
    version: int = VERSION
    made_at: str = ""
    migrations: list[str] = field(default_factory=list)
    rows: dict[str, int] = field(default_factory=dict)
    sha256: dict[str, str] = field(default_factory=dict)

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
    so those of the snapshot are there when they are read afterwards.

    Raises:
        BadBackup: a file went away meanwhile.
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
            for name in stored_files():
                try:
                    with default_storage.open(name, "rb") as file:
                        _add(tar, f"files/{name}", file, default_storage.size(name), manifest)
                except FileNotFoundError as error:
                    raise BadBackup(f"{name} was removed while the backup ran: run it again.") from error
            content = json.dumps(asdict(manifest), indent=1).encode()
            _add(tar, "manifest.json", io.BytesIO(content), len(content), Manifest())
        partial.replace(path)
    finally:
        partial.unlink(missing_ok=True)
    return manifest


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


def stored_files(folder: str = "") -> Iterator[str]:
    """The path of every stored file, thumbnails aside."""
    if folder == settings.THUMBNAIL_BASEDIR or (not folder and not Path(settings.MEDIA_ROOT).exists()):
        return
    folders, files = default_storage.listdir(folder)
    for name in sorted(files):
        yield f"{folder}/{name}" if folder else name
    for name in sorted(folders):
        yield from stored_files(f"{folder}/{name}" if folder else name)


# --- Reading ----------------------------------------------------------------------------------------------------------


def backup_verify(path: Path) -> Manifest:
    """Reads the whole file and checks every hash; changes nothing.

    Raises:
        BadBackup: the file is none of ours, cut short, or a member is not what was written.
    """
    seen: dict[str, str] = {}
    manifest: Manifest | None = None
    try:
        with tarfile.open(path, "r:gz") as tar:
            for member in tar:
                if manifest is not None or not member.isfile():
                    raise BadBackup(f"{path}: {member.name} does not belong in a backup.")
                content = tar.extractfile(member)
                assert content is not None
                if member.name == "manifest.json":
                    manifest = Manifest(**json.load(content))
                    continue
                reader = _Hashing(content)
                while reader.read(1 << 20):
                    pass
                seen[member.name] = reader.hexdigest()
    except (tarfile.TarError, EOFError, OSError, ValueError, TypeError) as error:
        raise BadBackup(f"{path} cannot be read as a backup: {error}") from error
    if manifest is None or (manifest.format, manifest.version) != (FORMAT, VERSION):
        raise BadBackup(f"{path} is not a complete backup of this version: its manifest is missing or another's.")
    for name in sorted(set(seen) | set(manifest.sha256)):
        if seen.get(name) != manifest.sha256.get(name):
            raise BadBackup(f"{path} is damaged: {name} is not what was written.")
    return manifest


def backup_restore(path: Path, *, replace: bool = False) -> Manifest:
    """Puts database and files back as they were: all of it, or nothing.

    Raises:
        BadBackup: see `backup_verify`; or another version's, or there is something here and `replace` was not asked.
    """
    manifest = backup_verify(path)
    here = applied_migrations()
    if manifest.migrations != here:
        odd = ", ".join(sorted(set(manifest.migrations) ^ set(here))[:5])
        raise BadBackup(f"{path} was made by another version ({odd}): restore it with that version, then upgrade.")
    user = apps.get_model(settings.AUTH_USER_MODEL)
    if not replace and user._base_manager.exists():
        raise BadBackup("There is data here already. Restore into an empty database, or ask for --replace.")
    media = Path(settings.MEDIA_ROOT)
    media.mkdir(parents=True, exist_ok=True)
    staging = Path(tempfile.mkdtemp(prefix=".restore-", dir=media))
    try:
        with transaction.atomic():
            _empty_tables()
            with tarfile.open(path, "r:gz") as tar:
                for member in tar:
                    content = tar.extractfile(member)
                    assert content is not None
                    if member.name.startswith("rows/"):
                        _read_rows(member.name, content)
                    elif member.name.startswith("files/"):
                        target = staging / member.name.removeprefix("files/")
                        if staging not in target.resolve().parents:
                            raise BadBackup(f"{path} names a file outside the store: {member.name}")
                        target.parent.mkdir(parents=True, exist_ok=True)
                        with target.open("wb") as out:
                            shutil.copyfileobj(content, out)
            _reset_sequences()
            counts = {model._meta.label_lower: model._base_manager.count() for model in kept_models()}
            if counts != manifest.rows:
                raise BadBackup(f"{path} did not restore as it was written; nothing was changed.")
        _swap_files(media, staging)
    finally:
        shutil.rmtree(staging, ignore_errors=True)
    return manifest


def _empty_tables() -> None:
    tables = [model._meta.db_table for model in apps.get_models(include_auto_created=True) if model._meta.managed]
    connection.check_constraints()  # PostgreSQL truncates nothing while deferred checks are waiting
    for statement in connection.ops.sql_flush(no_style(), tables, allow_cascade=True):
        with connection.cursor() as cursor:
            cursor.execute(statement)


def _read_rows(name: str, content: IO[bytes]) -> None:
    label = name.removeprefix("rows/").removesuffix(".jsonl")
    model = apps.get_model(label)
    fields = model._meta.local_concrete_fields
    rows = (one.object for one in serializers.deserialize("jsonl", io.TextIOWrapper(content, encoding="utf-8")))
    while batch := list(islice(rows, BATCH)):
        # As stored: without the times and versions that saving would set anew.
        model._base_manager.get_queryset()._insert(batch, fields=fields, using="default", raw=True)


def _reset_sequences() -> None:
    for statement in connection.ops.sequence_reset_sql(no_style(), kept_models()):
        with connection.cursor() as cursor:
            cursor.execute(statement)


def _swap_files(media: Path, staging: Path) -> None:
    """The restored files take the place of those that were here; the old ones go only when the new ones stand."""
    old = Path(tempfile.mkdtemp(prefix=".replaced-", dir=media))
    for path in list(media.iterdir()):
        if path not in (staging, old):
            path.rename(old / path.name)
    for path in list(staging.iterdir()):
        path.rename(media / path.name)
    shutil.rmtree(old, ignore_errors=True)
