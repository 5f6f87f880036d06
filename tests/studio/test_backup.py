"""A backup holds everything, is checked by hash, and restores to exactly what was there."""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import tarfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from studio import backup
from studio.models import Artwork, Client, Membership
from tests.factories import ClientFactory, make_cast
from tests.world import CANARY, PK, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def store(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT


@pytest.fixture
def saved(store, tmp_path):
    """A full studio, and the path of its backup."""
    make_world(make_cast())
    path = tmp_path / "saved.tar.gz"
    call_command("backup", path)
    return path


def rows() -> dict[str, list]:
    return {model._meta.label: list(model._base_manager.order_by("pk").values_list()) for model in backup.kept_models()}


def files(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.mark.smoke
def test_restore_brings_back_every_row_and_file(saved, store):
    before = rows(), files(store)
    assert len(before[1]) == 5  # a work, a photograph, works shown in it, a sheet, a photo from a job
    Artwork.objects.update(title="Painted over")
    Membership.objects.all().delete()
    ClientFactory(name="Came later")
    for path in store.rglob("*.jpg"):
        path.write_bytes(b"scribbled on")
    (store / "later.txt").write_text("came later")
    call_command("restore", saved, replace=True)
    assert (rows(), files(store)) == before
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
        pytest.param(lambda raw: with_migration(raw), "another version", id="another version"),
    ],
)
def test_damaged_backup_is_refused_and_nothing_changes(saved, store, spoil, says):
    before = rows(), files(store)
    saved.write_bytes(spoil(saved.read_bytes()))
    with pytest.raises(CommandError, match=says):
        call_command("restore", saved, replace=True)
    assert (rows(), files(store)) == before


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


def with_migration(raw: bytes) -> bytes:
    content = members(raw)
    manifest = json.loads(content["manifest.json"])
    manifest["migrations"].append("studio.9999_from_the_future")
    return packed(content | {"manifest.json": json.dumps(manifest).encode()})
