"""Arrangements of mixed sizes built outwards from the middle: around what stands there, and with other outer edges.

A first batch of centre-out constructions, then rounds that take a few pieces out of the best layouts and set them
again. The work is bounded in rounds, so that a seed always gives the same answer; the clock is only a safety stop.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats
from .construct import F32, Aim, Ground, Ints, extend
from .measures import BatchMeasures, measure_batch

Cost = Callable[[BatchMeasures], Floats]


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is tried: layouts a batch, rounds after the first, layouts that survive a round."""

    batch: int
    rounds: int
    keep: int


@dataclass(frozen=True, slots=True)
class _Layouts:
    """Finished constructions: boxes (S, k, 4) in the pieces' own order, cost (S,), and what each aimed at."""

    boxes: F32
    cost: Floats
    aim: Aim

    def best(self, most: int) -> _Layouts:
        """The cheapest so many, in order, of equal ones the first."""
        order = np.argsort(self.cost, kind="stable")
        order = order[np.isfinite(self.cost[order])]
        _, first = np.unique(np.round(self.cost[order], 9), return_index=True)
        order = order[np.sort(first)][:most]
        return _Layouts(self.boxes[order], self.cost[order], self.aim.of(order))

    def joined(self, other: _Layouts) -> _Layouts:
        """These and further ones behind them."""
        aims = self.aim, other.aim
        return _Layouts(
            np.concatenate([self.boxes, other.boxes]),
            np.concatenate([self.cost, other.cost]),
            Aim(
                np.concatenate([one.half_width for one in aims]),
                np.concatenate([one.half_height for one in aims]),
                np.concatenate([one.power for one in aims]),
            ),
        )


def _orders(sizes: F32, batch: int, rng: np.random.Generator) -> Ints:
    """(B, k) orders of setting: large first, shaken."""
    area = np.log(sizes[:, 0] * sizes[:, 1])
    shaken: Floats = area + rng.normal(0, 0.45, (batch, len(sizes)))
    shaken[np.arange(batch), np.argmax(area)] += np.where(rng.random(batch) < 0.8, 10.0, 0.0)
    return np.argsort(-shaken, axis=1)


def _unordered(boxes: F32, order: Ints) -> F32:
    back = np.empty_like(boxes)
    np.put_along_axis(back, order[:, :, None], boxes, axis=1)
    return back


def _take_out(boxes: F32, sizes: F32, take: int, rng: np.random.Generator) -> Ints:
    """(B, k) orders that keep most pieces and set again those round a random spot (or, half the time, at the rim)."""
    count, k = boxes.shape[:2]
    cx, cy = (boxes[..., LEFT] + boxes[..., RIGHT]) / 2, (boxes[..., BOTTOM] + boxes[..., TOP]) / 2
    rows = np.arange(count)
    spot = rng.integers(k, size=count)
    near = np.hypot(cx - cx[rows, spot][:, None], cy - cy[rows, spot][:, None])
    rim = -np.hypot(cx - cx.mean(axis=1, keepdims=True), cy - cy.mean(axis=1, keepdims=True))
    rank = np.where(rng.random((count, 1)) < 0.6, near, rim)
    rank = rank * rng.uniform(0.6, 1.4, rank.shape)
    out = np.argsort(rank, axis=1)[:, :take]
    key = rng.normal(0, 0.5, (count, k)) - np.log(sizes[:, 0] * sizes[:, 1])[None]
    np.put_along_axis(key, out, np.take_along_axis(key, out, 1) + 1e3, axis=1)
    return np.argsort(key, axis=1)


def search(
    sizes: Floats,
    *,
    gap_band_mm: tuple[float, float],
    half_size: tuple[float, float],
    limits: tuple[float, float, float, float],
    blocks: Floats,
    weight: Floats | None,
    cost: Cost,
    shape: Callable[[Floats], Floats] | None = None,
    effort: Effort,
    powers: tuple[float, ...],
    rng: np.random.Generator,
    stop: Callable[[], bool] = lambda: False,
) -> Floats:
    """Search for good layouts of k pieces about the middle (0, 0).

    Args:
        sizes: (k, 2) width and height [mm].
        half_size: half width and half height of the outline aimed at.
        limits: left, bottom, right, top that no piece may cross.
        blocks: (m, 4) what stands there, margins included.
        cost: of a batch of measures, (B,), lower is better. shape: what the outer edges of a batch of layouts add.
        powers: squareness of the outlines aimed at, 1 for a diamond, 2 for an oval, 8 for a rectangle.
        stop: asked before each round; True ends the search.

    Returns:
        (S, k, 4) layouts [mm], the best first, the pieces in their own order.
    """
    low, high = gap_band_mm
    gap = (low + high) / 2
    grow = np.array([-1, -1, 1, 1]) * gap / 2
    grown = (sizes + gap).astype(np.float32)
    ground = Ground.about(np.zeros(4), np.array(limits), blocks, low, high)

    def aims(count: int) -> Aim:
        stretch = np.exp(rng.normal(0, 0.08, count))
        scale = np.exp(rng.normal(0, 0.04, count))
        return Aim(
            (half_size[0] * scale * stretch).astype(np.float32),
            (half_size[1] * scale / stretch).astype(np.float32),
            rng.choice(powers, count).astype(np.float32),
        )

    def judged(boxes: F32, order: Ints, alive: NDArray[np.bool_], aim: Aim) -> _Layouts:
        plain = _unordered(boxes, order)[alive]
        if not len(plain):
            return _Layouts(plain, np.zeros(0), aim.of(alive))
        found = measure_batch(
            plain - grow, gap_band_mm=gap_band_mm, weight=weight, blocks=blocks if len(blocks) else None
        )
        price = cost(found) if shape is None else cost(found) + shape(plain - grow)
        return _Layouts(plain, np.where(found.overlap_mm2 > 1e-6, np.inf, price), aim.of(alive))

    aim = aims(effort.batch)
    order = _orders(grown, effort.batch, rng)
    start = np.zeros((effort.batch, len(sizes), 4), dtype=np.float32)
    boxes, alive = extend(start, order, 0, grown, ground, aim, rng)
    pool = judged(boxes, order, alive, aim).best(effort.keep)
    for _ in range(effort.rounds):
        if not len(pool.cost) or len(sizes) <= 2 or stop():
            break
        parent = np.minimum(rng.exponential(len(pool.cost) / 3, effort.batch).astype(int), len(pool.cost) - 1)
        take = int(rng.integers(1, max(2, min(len(sizes) - 1, 3 + len(sizes) // 4))))
        order = _take_out(pool.boxes[parent], grown, take, rng)
        aim = pool.aim.of(parent)
        kept = np.take_along_axis(pool.boxes[parent], order[:, :, None], axis=1)
        boxes, alive = extend(kept, order, len(sizes) - take, grown, ground, aim, rng)
        pool = pool.joined(judged(boxes, order, alive, aim)).best(effort.keep)
    return np.asarray((pool.boxes - grow).astype(np.float64))
