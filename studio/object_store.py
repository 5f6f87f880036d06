"""Files in an S3-compatible bucket: chosen by `FILES_BUCKET` and `BACKUP_BUCKET`, loaded only then."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast

from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError
from storages.backends.s3 import S3Storage

from .errors import StoreAway

Call = TypeVar("Call", bound=Callable[..., Any])


def _or_away(call: Call) -> Call:
    """Whatever the service or the way to it refuses is an `OSError`, as a disk's refusal is."""

    @wraps(call)
    def asked(*args: Any, **kwargs: Any) -> Any:
        try:
            return call(*args, **kwargs)
        except (BotoCoreError, ClientError) as error:
            raise StoreAway(f"The file store did not do it: {type(error).__name__}.") from error

    return cast("Call", asked)


class ObjectStore(S3Storage):
    """A bucket that behaves as a folder does: a name that is taken is never written over, nothing in it is public.

    Raises:
        StoreAway: the service refused or did not answer. FileNotFoundError: there is no such file.
    """

    def get_default_settings(self) -> dict[str, Any]:
        usual: dict[str, Any] = super().get_default_settings()
        return usual | {
            "file_overwrite": False,
            "default_acl": None,
            "max_memory_size": 8 * 1024 * 1024,  # what is larger waits on disk while it is read
            # Services that speak the protocol differ in what came to it late: addresses by host name, checksums.
            "client_config": Config(
                signature_version="s3v4",
                s3={"addressing_style": "path"},
                connect_timeout=5,
                read_timeout=30,
                retries={"mode": "standard", "total_max_attempts": 3},
                request_checksum_calculation="when_required",
                response_checksum_validation="when_required",
            ),
        }

    @_or_away
    def _open(self, name: str, mode: str = "rb") -> Any:
        file = super()._open(name, mode)
        if "r" in mode:
            file.seek(0)  # fetched now, so that a refusal comes from here and not in the middle of an answer
        return file

    _save = _or_away(S3Storage._save)
    delete = _or_away(S3Storage.delete)
    exists = _or_away(S3Storage.exists)
    listdir = _or_away(S3Storage.listdir)
    size = _or_away(S3Storage.size)
    get_modified_time = _or_away(S3Storage.get_modified_time)
