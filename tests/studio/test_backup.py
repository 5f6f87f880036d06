"""A backup holds everything, is checked by hash, and restores to exactly what was there."""

from __future__ import annotations

import contextlib
import gzip
import hashlib
import io
import json
import os
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import Storage, default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from placements.models import Photo
from studio import backup, restoring
from studio.models import Artwork, Client, Membership
from studio.restoring import backup_restore
from studio.storage import stored
from tests.factories import ClientFactory, make_cast
from tests.world import CANARY, PK, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture(params=["folder", "bucket"])
def store(request):
    request.getfixturevalue(request.param)
    return default_storage


@pytest.fixture
def saved(request, tmp_path):
    """A full studio, and the path of its backup."""
    if "store" not in request.fixturenames:
        request.getfixturevalue("folder")
    make_world(make_cast())
    path = tmp_path / "saved.tar.gz"
    call_command("backup", path)
    return path


def rows() -> dict[str, list]:
    return {model._meta.label: list(model._base_manager.order_by("pk").values_list()) for model in backup.kept_models()}


def files() -> dict[str, str]:
    return {name: hashlib.sha256(content(name)).hexdigest() for name in stored()}


def content(name: str) -> bytes:
    with default_storage.open(name) as file:
        return file.read()


def put(name: str, content: bytes) -> None:
    default_storage.delete(name)
    assert default_storage.save(name, ContentFile(content)) == name


@pytest.mark.smoke
def test_restore_brings_back_every_row_and_file(store, saved):
    before = rows(), files()
    assert len(before[1]) == 5  # a work, a photograph, works shown in it, a sheet, a photo from a job
    Artwork.objects.update(title="Painted over")
    Membership.objects.all().delete()
    ClientFactory(name="Came later")
    for name in [name for name in before[1] if name.endswith(".jpg")][1:]:
        put(name, b"scribbled on")
    default_storage.delete(min(before[1]))
    put("later.txt", b"came later")
    call_command("restore", saved, replace=True)
    assert (rows(), files()) == before
    # Numbers go on after those that are there.
    assert ClientFactory().pk not in (PK, *(row[0] for row in before[0]["studio.Client"]))


@pytest.mark.django_db(transaction=True)
def test_backup_reads_one_snapshot(saved):
    call_command("restore", saved, check=True)


def test_restore_keeps_times_as_they_were(saved):
    before = Client.objects.get(pk=PK).updated_at
    call_command("restore", saved, replace=True)
    assert Client.objects.get(pk=PK).updated_at == before


def test_data_that_is_here_is_not_overwritten_unasked(saved):
    before = rows()
    with pytest.raises(CommandError, match="--replace"):
        call_command("restore", saved)
    assert rows() == before


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        pytest.param(lambda raw: raw[: len(raw) // 2], "cannot be read", id="cut short"),
        pytest.param(lambda _: b"not a backup", "cannot be read", id="something else"),
        pytest.param(lambda raw: changed(raw, CANARY.encode(), b"Xanzibarium"), "damaged", id="one word changed"),
        pytest.param(lambda raw: without(raw, "manifest.json"), "not a complete backup", id="no manifest"),
        pytest.param(lambda raw: without(raw, "rows/studio.client.jsonl"), "damaged", id="a table missing"),
        pytest.param(lambda raw: with_migration(raw), "another version, with studio.9999_", id="a later release"),
        pytest.param(lambda raw: outside(raw), "outside the store", id="a file outside the store"),
        pytest.param(lambda raw: linked(raw), "does not belong", id="a link to a file of the machine"),
        pytest.param(lambda raw: twice(raw), "does not belong", id="a file twice"),
        pytest.param(lambda raw: of_manifest(raw, sha256=[]), "none of ours", id="a manifest of another shape"),
        pytest.param(lambda raw: of_manifest(raw, evil=1), "cannot be read", id="a manifest with more in it"),
        pytest.param(lambda raw: with_row(raw, "studio.nothing", b"{}"), "fit no table", id="rows of no table"),
        pytest.param(lambda raw: with_row(raw, "studio.client", b"["), "fit no table", id="a line that is no JSON"),
        pytest.param(lambda raw: with_row(raw, "studio.client", b"[]"), "fit no table", id="a line that is no row"),
        pytest.param(
            lambda raw: with_row(raw, "studio.client", b'{"pk": 9, "fields": {"studio": 7, "password": "x"}}'),
            "fit no table",
            id="a column that is none",
        ),
        pytest.param(
            lambda raw: with_row(raw, "studio.client", b'{"pk": 9, "fields": {"name": "x", "studio": 7}}'),
            "fit no table",
            id="a row of nobody's",
        ),
    ],
)
def test_damaged_backup_is_refused_and_nothing_changes(saved, spoil, says):
    before = rows(), files()
    saved.write_bytes(spoil(saved.read_bytes()))
    with pytest.raises(CommandError, match=says):
        call_command("restore", saved, replace=True)
    assert (rows(), files()) == before


def test_a_manifest_that_unpacks_to_far_too_much_is_not_read(saved, monkeypatch):
    monkeypatch.setattr(backup, "LARGEST_MANIFEST", 1024**2)
    saved.write_bytes(of_manifest(saved.read_bytes(), made_at=" " * 1024**2))
    assert saved.stat().st_size < 1024**2
    with pytest.raises(CommandError, match="larger than 1 MB"):
        call_command("restore", saved, replace=True)


def test_restore_that_fails_at_the_last_file_leaves_all_as_it_was(store, saved, monkeypatch):
    Artwork.objects.update(title="Painted over")
    for name in files():
        put(name, b"scribbled on")
    before, save, count = (rows(), files()), Storage.save, iter(range(100))

    def refuse(self, name, content, **more):
        if next(count) == 3 * len(before[1]) - 1:  # each is put aside, marked and written: the last of those
            raise OSError(28, "No space left on device")
        return save(self, name, content, **more)

    monkeypatch.setattr(Storage, "save", refuse)
    with pytest.raises(OSError, match="No space"):
        backup_restore(saved, replace=True)
    assert (rows(), files()) == before
    monkeypatch.undo()
    backup_restore(saved, replace=True)
    assert Artwork.objects.get(pk=PK).title == f"{CANARY} picture"


@pytest.mark.parametrize("ended", [False, True], ids=["before its end", "after its end"])
def test_restore_that_was_killed_is_put_right_by_the_next(folder, saved, monkeypatch, ended):
    """Killed, it neither steps back nor settles: as after `kill -9`, which a test in this process cannot send."""
    for name in files():
        put(name, b"scribbled on")
    before = rows(), files()
    monkeypatch.setattr(restoring._Exchange, "undo", lambda _: None)
    monkeypatch.setattr(restoring._Exchange, "settle", lambda _: None)
    bring = restoring._Exchange._bring

    def killed(self, name, content):
        if len(self._new) == 3 and not ended:
            raise KeyboardInterrupt
        bring(self, name, content)

    with monkeypatch.context() as patch:
        patch.setattr(restoring._Exchange, "_bring", killed)
        with contextlib.nullcontext() if ended else pytest.raises(KeyboardInterrupt):
            backup_restore(saved, replace=True)
    assert {name for name in stored() if name.startswith(restoring.ASIDE)}
    restoring._put_right()
    now = rows(), files()
    assert not {name for name in now[1] if name.startswith(restoring.ASIDE)}
    assert (now == before) is not ended
    assert (b"scribbled on" in {content(name) for name in now[1]}) is not ended


def test_backup_says_which_files_are_missing_and_holds_the_rest(folder, tmp_path):
    make_world(make_cast())
    before, gone = files(), Photo.objects.get(pk=PK).picture.name
    default_storage.delete(gone)
    with pytest.raises(CommandError, match=gone):
        call_command("backup", tmp_path / "saved.tar.gz")
    manifest = backup.backup_verify(tmp_path / "saved.tar.gz")
    assert manifest.missing == [gone]
    assert set(manifest.files) == {f"files/{name}" for name in before if name != gone}


def test_file_that_is_deleted_meanwhile_asks_for_another_run(folder, tmp_path, monkeypatch):
    make_world(make_cast())

    def delete_first():
        photo = Photo.objects.get(pk=PK)
        default_storage.delete(photo.picture.name)
        photo.delete()
        yield from stored()

    monkeypatch.setattr(backup, "stored_files", delete_first)
    with pytest.raises(CommandError, match="run it again"):
        call_command("backup", tmp_path / "saved.tar.gz")
    assert list(tmp_path.glob("*.tar.gz*")) == []


@pytest.fixture
def later(saved, settings, monkeypatch):
    """A later release than the backup's, one of the tests' own: its migration puts a word before each title."""
    settings.MIGRATION_MODULES = {"studio": "tests.studio.later"}
    MigrationRecorder(connection).record_applied("studio", "9999_prefix_titles")
    # The test framework lets a test open only databases that the settings name, and this one.
    monkeypatch.setattr("django.test.testcases.NO_DB_ALIAS", restoring.OLDER)


def test_backup_of_an_older_release_is_migrated_forward(saved, later):
    before = rows(), files()
    Artwork.objects.update(title="Painted over")
    call_command("restore", saved, replace=True)
    assert Artwork.objects.get(pk=PK).title == f"Later: {CANARY} picture"
    Artwork.objects.filter(pk=PK).update(title=f"{CANARY} picture")
    assert (rows(), files()) == before


def test_older_backup_that_is_cut_off_changes_nothing(saved, later, monkeypatch):
    migrated = restoring._rows_from

    def cut_off(alias):
        yield next(migrated(alias))
        raise RuntimeError("cut off")

    monkeypatch.setattr(restoring, "_rows_from", cut_off)
    before = rows(), files()
    with pytest.raises(RuntimeError, match="cut off"):
        call_command("restore", saved, replace=True)
    assert (rows(), files()) == before


@pytest.mark.processes
def test_from_one_database_to_the_other_and_back(saved, tmp_path):
    """PostgreSQL to SQLite (another process) and back gives the same rows, value for value."""
    before, back = rows(), tmp_path / "back.tar.gz"
    script = (
        "import sys; from django.core.management import call_command as run; run('migrate', verbosity=0);"
        "run('restore', sys.argv[1], replace=True); run('backup', sys.argv[2])"
    )
    ours = {"DATABASE_URL": "", "VAR_DIR": str(tmp_path), "MEDIA_ROOT": str(tmp_path / "copy")}
    start = f"import django; django.setup(); {script}"
    command = [sys.executable, "-c", start, str(saved), str(back)]
    env = os.environ | {"DJANGO_SETTINGS_MODULE": "studio.settings"} | ours
    done = subprocess.run(command, env=env, cwd=Path(__file__).parents[2], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    Artwork.objects.update(title="Painted over")
    call_command("restore", back, replace=True)
    assert rows() == before


def test_existing_file_is_not_overwritten(saved):
    with pytest.raises(CommandError, match="exists already"):
        call_command("backup", saved)


def test_sign_ins_are_left_out(saved, client_of, cast):
    with tarfile.open(saved) as tar:
        names = tar.getnames()
    assert "rows/studio.user.jsonl" in names
    assert not [name for name in names if "session" in name or "thumbnail" in name]


def members(raw: bytes) -> dict[str, bytes]:
    with tarfile.open(fileobj=io.BytesIO(raw)) as tar:
        return {member.name: tar.extractfile(member).read() for member in tar}


def packed(content: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w:gz") as tar:
        for name, data in content.items():
            member = tarfile.TarInfo(name)
            member.size = len(data)
            tar.addfile(member, io.BytesIO(data))
    return out.getvalue()


def changed(raw: bytes, old: bytes, new: bytes) -> bytes:
    assert old in gzip.decompress(raw)
    return gzip.compress(gzip.decompress(raw).replace(old, new, 1))


def without(raw: bytes, name: str) -> bytes:
    content = members(raw)
    del content[name]
    return packed(content)


def outside(raw: bytes) -> bytes:
    content = members(raw)
    manifest = json.loads(content.pop("manifest.json"))
    manifest["sha256"]["files/../escaped.txt"] = hashlib.sha256(b"x").hexdigest()
    return packed(content | {"files/../escaped.txt": b"x", "manifest.json": json.dumps(manifest).encode()})


def of_manifest(raw: bytes, **said: object) -> bytes:
    content = members(raw)
    return packed(content | {"manifest.json": json.dumps(json.loads(content["manifest.json"]) | said).encode()})


def with_row(raw: bytes, table: str, line: bytes) -> bytes:
    """One more line in a table's rows, as the manifest says."""
    content, name = members(raw), f"rows/{table}.jsonl"
    manifest = json.loads(content.pop("manifest.json"))
    content[name] = content.get(name, b"") + line + b"\n"
    manifest["sha256"][name] = hashlib.sha256(content[name]).hexdigest()
    return packed(content | {"manifest.json": json.dumps(manifest).encode()})


def linked(raw: bytes) -> bytes:
    out = io.BytesIO(gzip.decompress(raw))
    with tarfile.open(fileobj=out, mode="a") as tar:
        member = tarfile.TarInfo("files/works/picture.jpg")
        member.type, member.linkname = tarfile.SYMTYPE, "/etc/passwd"
        tar.addfile(member)
    return gzip.compress(out.getvalue())


def twice(raw: bytes) -> bytes:
    """The same name again, before the manifest: whose hash is the one that counts?"""
    content = [*members(raw).items()]
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w") as tar:
        for name, data in (content[0], *content):
            member = tarfile.TarInfo(name)
            member.size = len(data)
            tar.addfile(member, io.BytesIO(data))
    return gzip.compress(out.getvalue())


def with_migration(raw: bytes) -> bytes:
    content = members(raw)
    manifest = json.loads(content["manifest.json"])
    manifest["migrations"].append("studio.9999_from_the_future")
    return packed(content | {"manifest.json": json.dumps(manifest).encode()})
