"""The best works of every space out of very many, in bounded memory.

Blocks are scored in float32; per space the K best so far are kept, and only pairs above the K-th are looked at again.
What is kept is scored and placed again in float64.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import position
from .blocks import spreads, totals
from .rule import Array
from .rulebook import Rulebook
from .scene import Scene

NO_WORK = -1
#: The search keeps a few more than asked for, so that rounding in float32 cannot push one out.
SPARE = 4
#: How many spaces are scored again at a time.
TOGETHER = 32


@dataclass(frozen=True)
class Best:
    """The best works of each space, best first.

    work : (K, M) index into the scene's works, `NO_WORK` where fewer than K fit
    total : (K, M) float64, 0-100
    left, bottom : (K, M) float64 [mm] of the lower left corner
    """

    work: Array
    total: Array
    left: Array
    bottom: Array


def best(scene: Scene, rulebook: Rulebook, top: int) -> Best:
    """The `top` best works of each space that are not vetoed, best first; ties go to the earlier work.

    Raises:
        ValueError: `top` below one.

    Notes: one thread. A NumPy call on a block that stays in the cache takes 2 to 6 µs, and handing the interpreter lock
        to another thread and back takes as long: two threads measured 0 to 15 % slower than one.
    """
    if top < 1:
        raise ValueError(f"top must be at least 1, not {top}")
    spaces = scene.size[1]
    heights = position.heights(scene, rulebook.all_limits)
    single, bands = scene.figures().as_type(np.float32), position.as_type(heights, np.float32)
    kept = np.full((top + SPARE, spaces), NO_WORK, dtype=np.int64)
    for spread in spreads(single, bands, rulebook):
        found = _Keeper(top + SPARE, len(spread.columns))
        for rows, pairs in spread.blocks():
            total, veto = totals(pairs, spread.concerns)
            total[veto] = -1
            found.add(total, rows.start)
        kept[:, spread.columns] = found.work
    return _refined(scene.figures(), rulebook, heights, kept, top)


class _Keeper:
    """The K greatest totals of each column seen so far."""

    def __init__(self, keep: int, columns: int) -> None:
        self.keep = keep
        self.total = np.full((keep, columns), -1, dtype=np.float32)
        self.work = np.full((keep, columns), NO_WORK, dtype=np.int64)
        self.least = np.full(columns, -1, dtype=np.float32)

    def add(self, total: Array, start: int) -> None:
        """Take in a block of totals whose first row is work `start`."""
        rows, columns = np.nonzero(total > self.least)
        if not len(rows):
            return
        touched, column = np.unique(columns, return_inverse=True)
        depth = np.bincount(column)
        order = np.argsort(column, kind="stable")
        slot = np.arange(len(order)) - np.repeat(np.cumsum(depth) - depth, depth)
        values = np.full((self.keep + int(depth.max()), len(touched)), -1, dtype=np.float32)
        works = np.full(values.shape, NO_WORK, dtype=np.int64)
        values[: self.keep], works[: self.keep] = self.total[:, touched], self.work[:, touched]
        values[self.keep + slot, column[order]] = total[rows[order], columns[order]]
        works[self.keep + slot, column[order]] = rows[order] + start
        ahead = np.argpartition(-values, self.keep - 1, axis=0)[: self.keep]
        self.total[:, touched] = np.take_along_axis(values, ahead, axis=0)
        self.work[:, touched] = np.take_along_axis(works, ahead, axis=0)
        self.least[touched] = self.total[:, touched].min(axis=0)


def _refined(scene: Scene, rulebook: Rulebook, heights: position.Heights, kept: Array, top: int) -> Best:
    """Score the kept pairs again in float64, a few spaces at a time with every work kept for any of them; in order."""
    spaces = scene.size[1]
    work = np.full((top, spaces), NO_WORK, dtype=np.int64)
    total, left, bottom = (np.full((top, spaces), np.nan) for _ in range(3))
    for spread in spreads(scene, heights, rulebook, TOGETHER):
        chosen = kept[:, spread.columns]
        works = np.unique(chosen[chosen != NO_WORK])
        if not len(works):
            continue
        pairs = position.solve(spread.scene.take(works=works), spread.heights)
        exact, veto = totals(pairs, spread.concerns)
        rows = np.where(chosen != NO_WORK, np.searchsorted(works, chosen), 0)
        value = np.where(np.take_along_axis(veto, rows, 0), -1.0, np.take_along_axis(exact, rows, 0))
        value[chosen == NO_WORK] = -1.0
        order = np.lexsort((chosen, -value), axis=0)[:top]
        value, rows = np.take_along_axis(value, order, 0), np.take_along_axis(rows, order, 0)
        held = value >= 0
        work[:, spread.columns] = np.where(held, np.take_along_axis(chosen, order, 0), NO_WORK)
        for array, source in ((bottom, pairs.bottom_edge), (left, np.broadcast_to(pairs.left_edge, exact.shape))):
            array[:, spread.columns] = np.where(held, np.take_along_axis(source, rows, 0), np.nan)
        total[:, spread.columns] = np.where(held, value, np.nan)
    return Best(work, total, left, bottom)
