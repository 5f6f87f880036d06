"""The cache, which nothing depends on: while Redis does not answer, nothing is found in it and nothing is kept.

So limits that count in it stand open meanwhile; each call that found no answer is a line in the log.
"""

from __future__ import annotations

import logging
import time
from typing import Any

from django.core.cache.backends.redis import RedisCache
from redis.exceptions import RedisError

log = logging.getLogger(__name__)


def _silent(call: str) -> None:
    log.warning("the cache does not answer: limits stand open (%s)", call)


class ForgivingRedis(RedisCache):
    def add(self, key: Any, value: Any, *more: Any, **options: Any) -> bool:
        try:
            return bool(super().add(key, value, *more, **options))
        except RedisError:
            _silent("add")
            return True

    def get(self, key: Any, default: Any = None, version: int | None = None) -> Any:
        try:
            return super().get(key, default, version)
        except RedisError:
            _silent("get")
            return default

    def set(self, key: Any, value: Any, *more: Any, **options: Any) -> None:
        try:
            super().set(key, value, *more, **options)
        except RedisError:
            _silent("set")

    def delete(self, key: Any, version: int | None = None) -> bool:
        try:
            return bool(super().delete(key, version))
        except RedisError:
            _silent("delete")
            return False

    def incr(self, key: Any, delta: int = 1, version: int | None = None) -> int:
        try:
            return int(super().incr(key, delta, version))
        except RedisError:
            _silent("incr")
            return delta


class RestingRedis(RedisCache):
    """A cache of what can be worked out anew: once it did not answer it is not asked for a while, so that a page that
    would look up a hundred things does not wait a hundred times."""

    REST_SECONDS = 10.0
    _rests_until = 0.0

    def get(self, key: Any, default: Any = None, version: int | None = None) -> Any:
        if self._rests:
            return default
        try:
            return super().get(key, default, version)
        except RedisError:
            self._rest()
            return default

    def set(self, key: Any, value: Any, *more: Any, **options: Any) -> None:
        if self._rests:
            return
        try:
            super().set(key, value, *more, **options)
        except RedisError:
            self._rest()

    @property
    def _rests(self) -> bool:
        return time.monotonic() < RestingRedis._rests_until

    def _rest(self) -> None:
        RestingRedis._rests_until = time.monotonic() + self.REST_SECONDS
        log.warning("the cache does not answer: for %.0f s everything is worked out anew", self.REST_SECONDS)
