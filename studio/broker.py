"""The broker of a machine without a server: messages are files, written whole or not at all.

Kombu's own transport of that kind opens a message's file before it writes it, so that a worker that looks at that
moment reads half a message and dies of it. Here every file takes its place by one rename or link. The address of this
one is `files://`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic_ns
from typing import Any
from uuid import uuid4

from kombu.transport import TRANSPORT_ALIASES, filesystem
from kombu.utils.json import dumps


@contextmanager
def _written(folder: Path, text: str) -> Iterator[Path]:
    """A file of the folder that nobody reads yet; what was not moved away goes."""
    file = folder / f".{uuid4()}"
    file.write_text(text, encoding="utf-8")
    try:
        yield file
    finally:
        file.unlink(missing_ok=True)


class Channel(filesystem.Channel):
    def _put(self, queue: str, payload: dict[str, Any], **options: Any) -> None:  # type: ignore[override]
        folder = Path(self.data_folder_out)
        with _written(folder, dumps(payload)) as file:
            file.rename(folder / f"{monotonic_ns():020}_{uuid4()}.{queue}.msg")  # the oldest is read first

    def _queue_bind(self, exchange: str, routing_key: str, pattern: str | None, queue: str) -> None:
        table: Path = self._exchange_file(exchange)  # type: ignore[attr-defined]
        if not table.exists():
            with _written(table.parent, dumps([])) as file, suppress(FileExistsError):  # another may be quicker
                os.link(file, table)
        super()._queue_bind(exchange, routing_key, pattern, queue)


class Transport(filesystem.Transport):
    Channel = Channel


TRANSPORT_ALIASES["files"] = f"{__name__}:Transport"
TRANSPORT_ALIASES["redis"] = TRANSPORT_ALIASES["rediss"] = "studio.redis_broker:Transport"
