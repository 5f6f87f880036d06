"""Keeping hold of a row that a worker claimed: its lease is renewed from a thread while the work goes on."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from types import TracebackType
from typing import Self

from django.db import OperationalError, close_old_connections, connection

log = logging.getLogger(__name__)


class Renewal:
    """Calls `renew` every `seconds` until the block ends, from a thread with a connection of its own.

    `renew` says whether the row is still this worker's; once it is not, `lost` is True and nothing more is renewed. A
    database that does not answer is tried again at the next turn.
    """

    def __init__(self, renew: Callable[[], bool], *, seconds: float, name: str) -> None:
        self.lost = False
        self._renew, self._seconds = renew, seconds
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"lease-{name}", daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._done.set()
        self._thread.join()

    def _run(self) -> None:
        try:
            while not self._done.wait(self._seconds):
                try:
                    close_old_connections()
                    if not self._renew():
                        self.lost = True
                        return
                except OperationalError:
                    log.warning("lease not renewed: the database did not answer")
        finally:
            connection.close()
