"""Several people at once, each on a connection of their own."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from django.db import connection

from studio.errors import ServiceError


def at_once(*calls: Callable[[], Any]) -> list[Any]:
    """Makes the calls in threads that start together: what each returned, or the service error that refused it."""
    together = threading.Barrier(len(calls))

    def made(call: Callable[[], Any]) -> Any:
        together.wait(timeout=20)
        try:
            return call()
        except ServiceError as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(made, calls))
