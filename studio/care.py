"""What must be done now and then, by itself: backups with their check, and clearing what is of no more use.

Each answers in words what it did, which the operator's page shows. Nothing that somebody still needs goes: links that
were answered, files that a row names, notices that nobody read yet.
"""

from __future__ import annotations

import re
import shutil
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from allauth.usersessions.models import UserSession
from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.conf import settings
from django.contrib.sessions.models import Session
from django.core.files.base import File
from django.core.files.storage import default_storage, storages
from django.db import transaction
from django.utils import timezone

from .backup import BadBackup, backup_write, named_files, stored_files, verified
from .models import ApiToken, Invitation, WorkerSeen

NAME = "overmantel-{:%Y%m%d-%H%M%S}.tar.gz"
OURS = re.compile(r"overmantel-(\d{8}-\d{6})\w*\.tar\.gz")
#: Where a backup is written before it goes to its store; older than this it is nobody's any more [s].
SCRATCH, LEFT_S = ".backup-", 6 * 3600
#: Backups that are kept however old they are.
ALWAYS_KEPT = 3
#: How long an invitation or a key is kept after its end, and a note of a refused sign-in.
KEPT = timedelta(days=90)
#: A file that no row names may be one whose row is about to be stored.
LOOSE_AFTER = timedelta(days=1)


def backup_store() -> str:
    """Write a backup to the store for backups, read it back from there, and let go of those that are too old.

    Raises:
        BadBackup: what was written is not whole, or files that rows name are missing: the backup is kept, and says so.
    """
    store, name = storages["backups"], NAME.format(timezone.now())
    folder = Path(settings.VAR_DIR)
    for left in folder.glob(f"{SCRATCH}*"):  # by one that was killed
        if left.stat().st_mtime < time.time() - LEFT_S:
            shutil.rmtree(left)
    with tempfile.TemporaryDirectory(prefix=SCRATCH, dir=folder) as scratch:
        path = Path(scratch) / name
        backup_write(path)
        with path.open("rb") as file:
            name = store.save(name, File(file))
    with store.open(name, "rb") as stored:
        try:
            manifest = verified(stored, name)
        except BadBackup:
            store.delete(name)
            raise
        size = stored.size
    for old in _too_old(store.listdir("")[1]):
        store.delete(old)
    if manifest.missing:
        raise BadBackup(f"{name} is kept, but {len(manifest.missing)} files that rows name are not in the file store.")
    return f"{name}: {sum(manifest.rows.values())} rows, {len(manifest.files)} files, {size / 1e6:.1f} MB"


def _too_old(names: list[str]) -> list[str]:
    """Backups past their days, but for the newest few. A name that is none of ours is left alone."""
    dated: dict[str, datetime] = {}
    for name in names:
        if found := OURS.fullmatch(name):
            dated[name] = datetime.strptime(found[1], "%Y%m%d-%H%M%S").replace(tzinfo=UTC)
    before = timezone.now() - timedelta(days=settings.BACKUP_DAYS)
    newest_first = sorted(dated, key=lambda name: dated[name], reverse=True)
    return [name for name in newest_first[ALWAYS_KEPT:] if dated[name] < before]


@transaction.atomic
def sign_ins_clear() -> str:
    """Delete sessions that ended, and old notes of sign-ins."""
    now = timezone.now()
    ended, _ = Session.objects.filter(expire_date__lt=now).delete()
    UserSession.objects.exclude(session_key__in=Session.objects.values("session_key")).delete()
    noted = sum(
        model.objects.filter(attempt_time__lt=now - KEPT).delete()[0]
        for model in (AccessAttempt, AccessFailureLog, AccessLog)
    )
    WorkerSeen.objects.filter(seen_at__lt=now - timedelta(days=1)).delete()
    return f"{ended} sessions that ended, {noted} old notes of sign-ins"


@transaction.atomic
def links_clear() -> str:
    """Delete invitations and keys long past their end."""
    before = timezone.now() - KEPT
    invitations, _ = Invitation.objects.filter(expires_at__lt=before).delete()
    keys, _ = ApiToken.objects.filter(expires_at__lt=before).delete()
    return f"{invitations} invitations, {keys} keys"


def files_clear() -> str:
    """Delete files that no row names any more: photographs that were deleted while the store did not answer."""
    before, gone = timezone.now() - LOOSE_AFTER, 0
    found = list(stored_files())
    named = named_files()
    for name in found:
        if name not in named and default_storage.get_modified_time(name) < before:
            default_storage.delete(name)
            gone += 1
    return f"{gone} files that no row names"
