"""Kombu's transport of Redis, but for one thing: a channel that is closed after its connection was lost.

Giving back what it had not finished, such a channel asks its connection for an address that is gone, and dies of that
`AttributeError`; so its worker did. Said as the lost connection that it is, the worker connects again.
"""

from __future__ import annotations

from typing import Any

from kombu.transport import redis
from redis.exceptions import ConnectionError as Lost


class Channel(redis.Channel):
    def _connparams(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        if self.connection.client is None:
            raise Lost("The connection to the broker is gone.")
        parameters: dict[str, Any] = super()._connparams(*args, **kwargs)  # type: ignore[misc]
        return parameters


class Transport(redis.Transport):
    Channel = Channel
