"""What was worked out last, for as long as exactly the same is asked: while one piece of a wall is dragged, every other
arrangement of it stays as it was judged."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

T = TypeVar("T")


class Memory(Generic[T]):
    """The last `most` answers, by all that they depend on. Safe among threads: at worst two work the same out."""

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, threading.Lock()
        self._known: OrderedDict[Hashable, T] = OrderedDict()

    def recall(self, asked: Hashable, work_out: Callable[[], T]) -> T:
        """The answer to `asked` as it was, else as it is worked out now."""
        with self._lock:
            if asked in self._known:
                self._known.move_to_end(asked)
                return self._known[asked]
        answer = work_out()
        with self._lock:
            self._known[asked] = answer
            while len(self._known) > self._most:
                self._known.popitem(last=False)
        return answer

    def clear(self) -> None:
        with self._lock:
            self._known.clear()
