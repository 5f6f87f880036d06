"""A worker whose broker goes away with work unfinished connects again instead of dying."""

from __future__ import annotations

import pytest
from kombu import Connection
from redis.exceptions import ConnectionError as Lost

from studio import broker, redis_broker  # noqa: F401  (register themselves)


@pytest.mark.parametrize("scheme", ["redis", "rediss"])
def test_a_channel_of_a_lost_connection_says_that_it_is_lost(scheme: str) -> None:
    """As Celery closes it: the connection forgets its address first, the channel gives back its messages after."""
    connection = Connection(f"{scheme}://127.0.0.1:1/")
    transport = connection.transport
    assert isinstance(transport, redis_broker.Transport)
    channel = object.__new__(transport.Channel)
    channel.connection = transport
    transport.client = None
    with pytest.raises(Lost):
        channel._connparams()
    assert Lost in transport.connection_errors or issubclass(Lost, transport.connection_errors)
