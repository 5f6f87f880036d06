"""The cache, which nothing depends on: while Redis does not answer, nothing is found in it and nothing is kept.

So limits that count in it stand open meanwhile; each call that found no answer is a line in the log.
"""

from __future__ import annotations

import logging
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
