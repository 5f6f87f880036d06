"""What the engine answered once, kept for whoever asks the same again, in this process or another.

The key is the fingerprint of all that an answer depends on: the question, every argument of it to the last bit, and the
engine itself. So nothing that is kept can become old: what changes is asked under another key, and the former answer is
found again when the change is taken back. Without a cache all is worked out anew.
"""

from __future__ import annotations

import hashlib
import inspect
from collections.abc import Callable, Set
from functools import cache, wraps
from importlib.metadata import version
from pathlib import Path
from typing import ParamSpec, TypeVar, cast

from django.core.cache import caches

from placements.engine import facade
from placements.engine.house import House
from studio import units

P = ParamSpec("P")
T = TypeVar("T")

#: Libraries whose releases may answer otherwise in a last digit.
RECKONING = ("numpy", "scipy", "shapely")


def kept(question: Callable[P, T]) -> Callable[P, T]:
    """A question of the engine's that is answered from the cache where it was asked before.

    Every argument must say in its `repr` all that it holds, as frozen dataclasses, numbers and texts do.
    """

    @wraps(question)
    def ask(*given: P.args, **named: P.kwargs) -> T:
        key = fingerprint(question.__qualname__, given, sorted(named.items()))
        answer = caches["judged"].get(key)
        if answer is None:
            answer = question(*given, **named)
            caches["judged"].set(key, answer)
        return cast(T, answer)

    return ask


def fingerprint(*said: object) -> str:
    """SHA-256 of what the arguments hold, under this engine."""
    return hashlib.sha256(repr((engine(), *map(_plain, said))).encode()).hexdigest()


def _plain(said: object) -> object:
    if isinstance(said, House):
        return said.fingerprint
    if isinstance(said, Set):  # the same however it happens to lie
        return sorted(map(repr, said))
    return [_plain(one) for one in said] if isinstance(said, tuple | list) else said


@cache
def engine() -> str:
    """SHA-256 of the engine's own text, of the words that it answers in, and of the libraries that it reckons with."""
    files = sorted(Path(inspect.getfile(facade)).parent.rglob("*.py"))
    digest = hashlib.sha256(" ".join(f"{name} {version(name)}" for name in RECKONING).encode())
    for file in (*files, Path(inspect.getfile(units))):
        digest.update(file.name.encode() + file.read_bytes())
    return digest.hexdigest()


assess_wall = kept(facade.assess_wall)
better = kept(facade.better)
rank = kept(facade.rank)
why_not = kept(facade.why_not)
