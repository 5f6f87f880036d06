"""Care that runs by itself: backups with retention and check, and clearing what nobody needs, and only that."""

from __future__ import annotations

import os
import time
from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage, storages
from django.urls import reverse
from django.utils import timezone

from placements.models import Notice, Photo, Removal
from placements.services.notices import notices_clear
from studio import care, tasks
from studio.backup import BadBackup
from studio.models import ApiToken, Invitation, TaskRecord
from studio.storage import stored
from tests.factories import UserFactory, make_cast
from tests.world import PK, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def folders(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.VAR_DIR = tmp_path
    options = {"OPTIONS": {"location": tmp_path / "backups"}}
    settings.STORAGES = settings.STORAGES | {"backups": settings.STORAGES["backups"] | options}


def kept() -> list[str]:
    return sorted(stored("", storages["backups"]))


def old_backup(days: int) -> str:
    name = care.NAME.format(timezone.now() - timedelta(days=days))
    return storages["backups"].save(name, ContentFile(b"x"))


def test_backups_are_checked_and_the_old_ones_go(folders):
    old = [old_backup(days) for days in (40, 30, 20, 13)]
    storages["backups"].save("by-hand.tar.gz", ContentFile(b"x"))
    said = tasks.backup()
    assert "every" not in said
    assert "rows" in said
    new = said.partition(":")[0]
    assert kept() == sorted([new, "by-hand.tar.gz", *old[2:]])  # the newest three stay, however old they are


def test_what_a_killed_backup_left_goes_with_the_next(folders, tmp_path):
    for name, age in ((".backup-old", 7 * 3600), (".backup-running", 60)):
        (tmp_path / name).mkdir()
        os.utime(tmp_path / name, (time.time() - age,) * 2)
    tasks.backup()
    assert [path.name for path in tmp_path.glob(".backup-*")] == [".backup-running"]


def test_backup_in_a_bucket_holds_the_files_of_the_other_bucket(bucket, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    make_world(make_cast())
    assert "5 files" in care.backup_store()
    assert len(kept()) == 1
    assert list(tmp_path.iterdir()) == []


def test_backup_without_a_file_fails_is_kept_and_lets_no_older_one_go_unseen(folders):
    make_world(make_cast())
    default_storage.delete(Photo.objects.get(pk=PK).picture.name)
    with pytest.raises(BadBackup, match="1 files that rows name"):
        care.backup_store()
    assert len(kept()) == 1


def test_backup_that_cannot_be_read_back_is_not_kept(folders, monkeypatch):
    old = old_backup(40)

    def spoilt(*args):
        raise BadBackup("spoilt")

    monkeypatch.setattr(care, "verified", spoilt)
    with pytest.raises(BadBackup):
        care.backup_store()
    assert kept() == [old]


def test_loose_files_go_and_those_of_what_can_be_brought_back_stay(folders):
    make_world(make_cast())
    named = set(stored())
    removed = default_storage.save("studios/1/photos/removed.jpg", ContentFile(b"x"))
    removal = Removal.objects.get(pk=PK)
    removal.rows = [{"model": "placements.photo", "pk": 7, "fields": {"picture": removed, "shown": ""}}]
    removal.save()
    fresh = default_storage.save("studios/1/photos/fresh.jpg", ContentFile(b"x"))
    loose = default_storage.save("studios/1/photos/loose.jpg", ContentFile(b"x"))
    for name in (*named, removed, loose):
        os.utime(default_storage.path(name), (0, 0))
    assert care.files_clear().startswith("1 files")
    assert set(stored()) == named | {removed, fresh}


def test_what_ended_long_ago_goes_and_nothing_else(cast, client_of):
    client = client_of(cast.designer)
    now = timezone.now()
    Session.objects.create(session_key="old", session_data="", expire_date=now - timedelta(days=1))
    for days in (100, 10):
        ended = {"token_sha256": f"{days}", "expires_at": now - timedelta(days=days)}
        Invitation.objects.create(studio=cast.studio, email="a@example.test", role="designer", **ended)
        ApiToken.objects.create(user=cast.designer, label="x", **ended)
    for days in (200, 100, None):
        read_at = days and now - timedelta(days=days)
        Notice.objects.create(studio=cast.studio, user=cast.designer, text=f"{days}", read_at=read_at)
    assert care.sign_ins_clear().startswith("1 sessions")
    assert care.links_clear() == "1 invitations, 1 keys"
    assert notices_clear().startswith("1 notices")
    assert set(Notice.objects.values_list("text", flat=True)) == {"100", "None"}
    assert client.get(reverse("works")).status_code == 200


def test_the_operators_page_shows_each_last_run(client_of):
    TaskRecord.objects.create(name="studio.tasks.backup", succeeded_at=timezone.now(), note="412 rows, 5 files")
    page = client_of(UserFactory(is_staff=True, is_superuser=True)).get("/admin/studio/taskrecord/")
    assert "412 rows, 5 files" in page.content.decode()
