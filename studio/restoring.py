"""Puts back what `backup` wrote: all of it, or nothing.

Rows go into one transaction. Files are written before it ends: each that is in the way is put aside first, and put back
when anything fails. What the backup does not have is deleted only when all of it stands. A restore that was killed is
put right by the next, which finds what was put aside, and in the database whether that one had come to its end.

A backup of an older release is first loaded into a database of its own, in a file, as it was then; that is migrated
forward as the site's own was, and its rows are what is restored.
"""

from __future__ import annotations

import hashlib
import io
import json
import secrets
import tarfile
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from itertools import islice
from pathlib import Path
from typing import IO, Any

from django.apps import apps
from django.conf import settings
from django.core.exceptions import FieldDoesNotExist, SuspiciousOperation, ValidationError
from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.core.files.utils import validate_file_name
from django.core.management.color import no_style
from django.core.management.sql import emit_post_migrate_signal
from django.db import DEFAULT_DB_ALIAS, DataError, IntegrityError, connection, connections, models, transaction
from django.db.migrations.executor import MigrationExecutor

from . import env
from .backup import ASIDE, BATCH, BadBackup, Manifest, applied_migrations, backup_verify, kept_models, stored_files
from .models import TaskRecord
from .storage import forget_folder, stored

#: The database that a backup of an older release is migrated in.
OLDER = "older"
#: Marks what was put aside to its last byte: before that it still lies in its place.
WHOLE = ".whole"
#: The record of the last restore that came to its end.
RESTORE = "restore"
#: How a row's model is found by its label, "app.model".
Find = Callable[[str], type[models.Model]]
#: What comes of reading and storing what nobody's backup wrote.
NO_ROWS = (
    *(LookupError, ValueError, TypeError, AttributeError, FieldDoesNotExist, ValidationError),
    *(DataError, IntegrityError),
)
Batches = Iterator[tuple[type[models.Model], list[models.Model]]]


def backup_restore(path: Path, *, replace: bool = False) -> Manifest:
    """Puts database and files back as they were: all of it, or nothing.

    Raises:
        BadBackup: see `backup_verify`; or a later release's, or there is something here and `replace` was not asked.
    """
    manifest = backup_verify(path)
    here = set(applied_migrations())
    if unknown := sorted(set(manifest.migrations) - here):
        odd = ", ".join(unknown[:5])
        raise BadBackup(f"{path} was made by another version, with {odd}: restore it with that version or a later one.")
    user = apps.get_model(settings.AUTH_USER_MODEL)
    if not replace and user._base_manager.exists():
        raise BadBackup("There is data here already. Restore into an empty database, or ask for --replace.")
    _put_right()
    older = here != set(manifest.migrations)
    files = _Exchange(path)
    with _migrated(path, manifest) if older else _as_written(path, manifest) as (rows, counts):
        try:
            with transaction.atomic():
                _empty_tables()
                _store(rows, DEFAULT_DB_ALIAS, path)
                _reset_sequences()
                TaskRecord.objects.create(name=RESTORE, note=files.token)
                if {model._meta.label_lower: model._base_manager.count() for model in kept_models()} != counts:
                    raise BadBackup(f"{path} did not restore as it was written; nothing was changed.")
                files.bring()
        except BaseException:
            files.undo()
            raise
    files.settle()
    if older:  # kinds of things, and what may be done with them, that came later
        emit_post_migrate_signal(verbosity=0, interactive=False, db=DEFAULT_DB_ALIAS)
    return manifest


# --- Rows -------------------------------------------------------------------------------------------------------------


@contextmanager
def _as_written(path: Path, manifest: Manifest) -> Iterator[tuple[Batches, dict[str, int]]]:
    yield _rows_of(path, apps.get_model), manifest.rows


@contextmanager
def _migrated(path: Path, manifest: Manifest) -> Iterator[tuple[Batches, dict[str, int]]]:
    """The rows of a backup of an older release, as this one keeps them."""
    with tempfile.TemporaryDirectory() as folder, _database(Path(folder) / "older.sqlite3") as older:
        then = {(app, name) for app, _, name in (one.partition(".") for one in manifest.migrations)}
        executor = MigrationExecutor(older)
        parents = {parent.key for node in then for parent in executor.loader.graph.node_map[node].parents}
        last = sorted(then - parents)
        executor.migrate(last)
        find: Find = executor.loader.project_state(last).apps.get_model
        with transaction.atomic(using=OLDER):
            _store(_rows_of(path, find), OLDER, path)
            for label, count in manifest.rows.items():
                if find(label)._base_manager.using(OLDER).count() != count:
                    raise BadBackup(f"{path} did not load as it was written; nothing was changed.")
        executor = MigrationExecutor(older)
        executor.migrate(executor.loader.graph.leaf_nodes())
        yield (
            _rows_from(OLDER),
            {model._meta.label_lower: model._base_manager.using(OLDER).count() for model in kept_models()},
        )


@contextmanager
def _database(path: Path) -> Iterator[Any]:
    found = {DEFAULT_DB_ALIAS: {}, OLDER: env.sqlite(path)}
    connections.settings[OLDER] = connections.configure_settings(found)[OLDER]
    try:
        with closing(connections[OLDER]) as opened:
            yield opened
    finally:
        del connections[OLDER]
        del connections.settings[OLDER]


def _rows_of(path: Path, find: Find) -> Batches:
    with tarfile.open(path, "r:gz") as tar:
        for member in tar:
            if member.name.startswith("rows/"):
                content = tar.extractfile(member)
                assert content is not None
                model = find(member.name.removeprefix("rows/").removesuffix(".jsonl"))
                for batch in _in_batches(_row(model, line) for line in io.TextIOWrapper(content, encoding="utf-8")):
                    yield model, batch


def _rows_from(alias: str) -> Batches:
    for model in kept_models():
        rows = model._base_manager.using(alias).order_by("pk").iterator(chunk_size=BATCH)
        for batch in _in_batches(rows):
            yield model, batch


def _in_batches(rows: Iterator[models.Model]) -> Iterator[list[models.Model]]:
    while batch := list(islice(rows, BATCH)):
        yield batch


def _row(model: type[models.Model], line: str) -> models.Model:
    """A row from its line. The framework's own reader knows only the models of today."""
    found = json.loads(line)
    pk: Any = model._meta.pk
    values = {pk.attname: pk.to_python(found["pk"])}
    for name, value in found["fields"].items():
        field: Any = model._meta.get_field(name)
        values[field.attname] = None if value is None else field.to_python(value)
    return model(**values)


def _store(rows: Batches, alias: str, path: Path) -> None:
    """Stores rows as they are: without the times and versions that saving would set anew.

    Raises:
        BadBackup: a table that is none, a line that is no row of its table, or a row that leads nowhere.
    """
    try:
        for model, batch in rows:
            fields = model._meta.local_concrete_fields
            most = connections[alias].ops.bulk_batch_size(fields, batch)
            for start in range(0, len(batch), most):
                part = batch[start : start + most]
                model._base_manager.using(alias)._insert(part, fields=fields, using=alias, raw=True)  # type: ignore[attr-defined]
        connections[alias].check_constraints()
    except NO_ROWS as error:
        raise BadBackup(f"{path} has rows that fit no table here; nothing was changed.") from error


def _empty_tables() -> None:
    tables = [model._meta.db_table for model in apps.get_models(include_auto_created=True) if model._meta.managed]
    connection.check_constraints()  # PostgreSQL truncates nothing while deferred checks are waiting
    for statement in connection.ops.sql_flush(no_style(), tables, allow_cascade=True):
        with connection.cursor() as cursor:
            cursor.execute(statement)


def _reset_sequences() -> None:
    for statement in connection.ops.sequence_reset_sql(no_style(), kept_models()):
        with connection.cursor() as cursor:
            cursor.execute(statement)


# --- Files ------------------------------------------------------------------------------------------------------------


class _Exchange:
    """The backup's files take the place of those that are here, and step back when anything fails."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.token = secrets.token_hex(8)
        self._aside_to = f"{ASIDE}/{self.token}"
        self._before = set(stored_files())
        self._kept: set[str] = set()
        self._new: list[str] = []
        self._aside: list[str] = []

    def bring(self) -> None:
        with tarfile.open(self._path, "r:gz") as tar:
            for member in tar:
                if not member.name.startswith("files/"):
                    continue
                content = tar.extractfile(member)
                assert content is not None
                try:
                    self._bring(member.name.removeprefix("files/"), content)
                except SuspiciousOperation as error:
                    raise BadBackup(f"{self._path} names a file outside the store: {member.name}") from error

    def _bring(self, name: str, content: IO[bytes]) -> None:
        validate_file_name(name, allow_relative_path=True)
        self._kept.add(name)
        if name in self._before:
            with default_storage.open(name, "rb") as here:
                if _digest(here) == _digest(content):
                    return
                here.seek(0)
                _put(f"{self._aside_to}/{name}", here)
            _put(f"{self._aside_to}{WHOLE}/{name}", ContentFile(b""))
            self._aside.append(name)
            default_storage.delete(name)
            content.seek(0)
        self._new.append(name)
        _put(name, content)

    def undo(self) -> None:
        for name in self._new:
            default_storage.delete(name)
        for name in self._aside:
            _put_back(self._aside_to, name)
        forget_folder(ASIDE)

    def settle(self) -> None:
        """Deletes what the backup does not have, what was put aside, and thumbnails, which are made again."""
        for name in self._before - self._kept:
            default_storage.delete(name)
        for folder in (ASIDE, settings.THUMBNAIL_BASEDIR):
            forget_folder(folder)


def _put_right() -> None:
    """Steps back from a restore that was killed before its end; after its end only what it put aside is left to go."""
    for name in list(stored(ASIDE)):
        token, _, before = name.removeprefix(f"{ASIDE}/").partition("/")
        if token.endswith(WHOLE) and not TaskRecord.objects.filter(name=RESTORE, note=token[: -len(WHOLE)]).exists():
            _put_back(f"{ASIDE}/{token[: -len(WHOLE)]}", before)
    forget_folder(ASIDE)


def _put_back(folder: str, name: str) -> None:
    default_storage.delete(name)
    with default_storage.open(f"{folder}/{name}", "rb") as before:
        _put(name, before)


def _digest(content: Any) -> bytes:
    return hashlib.file_digest(content, "sha256").digest()


def _put(name: str, content: IO[bytes] | Any) -> None:
    if default_storage.save(name, File(content)) != name:
        raise BadBackup(f"{name} could not be put back under its own name; nothing was changed.")
