"""Centre-out constructions of mixed sizes, many at a time.

Pieces are grown by half the wanted gap all round, so that two pieces at the wanted gap touch. A construction sets the
first piece at the middle and each next one into the best of many places where it touches pieces already set; a batch
of constructions differs in order, in the shape aimed at and in chance. Plain NumPy over (B, candidates, pieces).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats

F32 = NDArray[np.float32]
Ints = NDArray[np.int64]

#: Weights of the terms by which a construction chooses a piece's place; found by trial on seeds 0-39 of the
#: benchmark's generator, which the reported figures do not use.
_VOID = np.float32(1.2)
_BEYOND, _PULL, _BALANCE, _CHANCE, _ALIGN = 6.0, 0.55, 0.5, 0.10, 0.12
_FAR = np.float32(1e9)
#: What a facing edge of a sconce or lamp counts, against one of a piece.
_BLOCK = np.float32(0.5)
_TOUCH = 5e-3
_STARTS = 48
#: Places times pieces that are looked at in one go, so that they stay in the processor's cache.
_CACHED = 60_000
#: Room left for the rounding of single precision [mm].
ROUNDING = 0.01


@dataclass(frozen=True, slots=True)
class Ground:
    """Where a group is built, about its own middle (0, 0) [mm].

    limits: left, bottom, right, top that no grown piece may cross.
    blocks: (m, 4) grown boxes of what stands there.
    slack: how far a gap may lie from the wanted one.
    """

    limits: tuple[float, float, float, float]
    blocks: F32
    slack: float

    @classmethod
    def about(cls, middle: Floats, room: Floats, blocks: Floats, gap_low: float, gap_high: float) -> Ground:
        """Ground about a middle (x, y, x, y), for pieces that must lie in `room` and clear of (m, 4) `blocks` [mm]."""
        grow = np.array([-1, -1, 1, 1]) * (gap_low + gap_high) / 4
        left, bottom, right, top = (room - middle + grow).tolist()
        return cls(
            limits=(left, bottom, right, top),
            blocks=(blocks - middle - grow + ROUNDING * np.array([-1, -1, 1, 1])).astype(np.float32).reshape(-1, 4),
            slack=(gap_high - gap_low) / 2 - ROUNDING,
        )


@dataclass(frozen=True, slots=True)
class Aim:
    """What each construction of a batch aims at: half width and half height (B,), and squareness of the corners."""

    half_width: F32
    half_height: F32
    power: F32

    def of(self, index: Ints | NDArray[np.bool_]) -> Aim:
        """Those of some constructions."""
        return Aim(self.half_width[index], self.half_height[index], self.power[index])


def _candidates(boxes: F32, w: F32, h: F32, rng: np.random.Generator, most: int) -> tuple[F32, F32]:
    """(B, C) lower left corners where a (w, h) piece touches pieces already set, (B, n, 4)."""
    x0, y0, x1, y1 = (boxes[..., c] for c in (LEFT, BOTTOM, RIGHT, TOP))
    wide, tall = w[:, None], h[:, None]
    right, left, over, under = x1, x0 - wide, y1, y0 - tall
    mid_x, mid_y = (x0 + x1 - wide) / 2, (y0 + y1 - tall) / 2
    aligned_x = np.concatenate(
        [right, right, right, left, left, left, x0, right - wide, mid_x, x0, right - wide, mid_x], 1
    )
    aligned_y = np.concatenate(
        [y0, over - tall, mid_y, y0, over - tall, mid_y, over, over, over, under, under, under], 1
    )

    count, n = x0.shape
    corner_x = np.concatenate([right, left], axis=1)  # beside i
    corner_y = np.concatenate([over, under], axis=1)  # above or below j
    touch_i = (corner_y[:, None, :] < np.tile(y1, 2)[:, :, None]) & (
        corner_y[:, None, :] + tall[:, :, None] > np.tile(y0, 2)[:, :, None]
    )
    touch_j = (corner_x[:, :, None] < np.tile(x1, 2)[:, None, :]) & (
        corner_x[:, :, None] + wide[:, :, None] > np.tile(x0, 2)[:, None, :]
    )
    good = (touch_i & touch_j).reshape(count, -1)
    key = np.where(good, rng.random(good.shape, dtype=np.float32), np.float32(2.0))
    keep = min(most, key.shape[1])
    pick = np.argpartition(key, keep - 1, axis=1)[:, :keep] if keep < key.shape[1] else np.argsort(key, axis=1)
    rows = np.arange(count)[:, None]
    chosen = good[rows, pick]
    xs = np.where(chosen, corner_x[rows, pick // (2 * n)], _FAR)
    ys = np.where(chosen, corner_y[rows, pick % (2 * n)], _FAR)
    return np.concatenate([aligned_x, xs], 1), np.concatenate([aligned_y, ys], 1)


def _empty(count: int) -> tuple[F32, F32]:
    return np.zeros((count, 0), dtype=np.float32), np.zeros((count, 0), dtype=np.float32)


def _about_middle(x: F32, y: F32, w: F32, h: F32, aim: Aim, rng: np.random.Generator) -> tuple[F32, F32]:
    """The places given and others scattered about the middle, for the first piece."""
    scatter = rng.uniform(-1, 1, (2, len(w), _STARTS)).astype(np.float32)
    return (
        np.concatenate([x, -w[:, None] / 2 + aim.half_width[:, None] * scatter[0]], axis=1),
        np.concatenate([y, -h[:, None] / 2 + aim.half_height[:, None] * scatter[1]], axis=1),
    )


def _meeting(
    there: tuple[F32, F32, F32, F32], others: F32, placed: int, slack: float, smallest: float
) -> tuple[F32, NDArray[np.bool_]]:
    """Facing length in touch less what voids cost, and whether a place overlaps, for (B, C) places.

    Args:
        there: left, bottom, right, top of the places, (B, C) each.
        others: (B, n, 4) pieces that are set, the first `placed`, then blocks.
    """
    left, bottom, right, top = (edge[:, None, :] for edge in there)
    share_x = np.minimum(right, others[:, :, RIGHT, None])
    share_x -= np.maximum(left, others[:, :, LEFT, None])
    share_y = np.minimum(top, others[:, :, TOP, None])
    share_y -= np.maximum(bottom, others[:, :, BOTTOM, None])
    into = np.minimum(share_x, share_y)  # how far the two overlap; below zero the gap between them
    facing = np.maximum(share_x, share_y, out=share_x)
    np.maximum(facing, 0, out=facing)
    clash = into[:, :placed].max(axis=1, initial=-1) > slack
    if others.shape[1] > placed:
        facing[:, placed:] *= _BLOCK
        clash |= into[:, placed:].max(axis=1) > _TOUCH
    share_y[...] = into >= -slack
    share_y *= 1 + _VOID
    share_y -= _VOID * (into > -smallest)
    share_y *= facing
    return share_y.sum(axis=1), clash


def _choose(
    boxes: F32, w: F32, h: F32, ground: Ground, aim: Aim, smallest: float, rng: np.random.Generator, most: int
) -> tuple[F32, F32, NDArray[np.bool_]]:
    """Best place (B,) for the next piece of each construction, and whether there was one."""
    placed = boxes.shape[1]
    others = boxes
    if len(ground.blocks):
        others = np.concatenate([boxes, np.broadcast_to(ground.blocks, (len(boxes), *ground.blocks.shape))], axis=1)
    x, y = _candidates(others, w, h, rng, most) if others.shape[1] else _empty(len(w))
    if placed == 0:
        x, y = _about_middle(x, y, w, h, aim, rng)
    x_end, y_end = x + w[:, None], y + h[:, None]
    met = np.empty_like(x)
    clash = np.empty(x.shape, dtype=bool)
    chunk = max(1, _CACHED // (others.shape[1] * x.shape[1] + 1))
    for at in range(0, len(x), chunk):
        part = slice(at, at + chunk)
        there = x[part], y[part], x_end[part], y_end[part]
        met[part], clash[part] = _meeting(there, others[part], placed, ground.slack, smallest)

    left, bottom, right, top = ground.limits
    clash |= (x < left) | (y < bottom) | (x_end > right) | (y_end > top)

    half_w, half_h, power = aim.half_width[:, None], aim.half_height[:, None], aim.power[:, None]
    reach_x = np.maximum(np.abs(x), np.abs(x_end)) / half_w
    reach_y = np.maximum(np.abs(y), np.abs(y_end)) / half_h
    beyond = np.maximum(reach_x - 1, 0) + np.maximum(reach_y - 1, 0)
    mid_x, mid_y = np.abs(x + x_end) / (2 * half_w), np.abs(y + y_end) / (2 * half_h)
    pull = (np.minimum(mid_x, 4) ** power + np.minimum(mid_y, 4) ** power) ** (1 / power)

    mass = (boxes[..., RIGHT] - boxes[..., LEFT]) * (boxes[..., TOP] - boxes[..., BOTTOM])
    moment_x = (mass * (boxes[..., RIGHT] + boxes[..., LEFT]) / 2).sum(axis=1)
    moment_y = (mass * (boxes[..., TOP] + boxes[..., BOTTOM]) / 2).sum(axis=1)
    own = w * h
    whole = (mass.sum(axis=1) + own)[:, None]
    off_x = (moment_x[:, None] + own[:, None] * (x + x_end) / 2) / whole / half_w
    off_y = (moment_y[:, None] + own[:, None] * (y + y_end) / 2) / whole / half_h

    around = (w + h)[:, None]
    worth = (
        met / around
        - np.float32(_BEYOND) * beyond
        - np.float32(_PULL) * pull
        - np.float32(_BALANCE) * np.hypot(off_x, off_y)
        + np.float32(_CHANCE) * rng.random(x.shape, dtype=np.float32)
    )
    worth[:, : 12 * others.shape[1]] += np.float32(_ALIGN)
    worth = np.where(clash, -_FAR, worth)
    best = np.argmax(worth, axis=1)
    rows = np.arange(len(x))
    return x[rows, best], y[rows, best], worth[rows, best] > -_FAR / 2


def extend(
    boxes: F32,
    order: Ints,
    done: int,
    sizes: F32,
    ground: Ground,
    aim: Aim,
    rng: np.random.Generator,
    *,
    most: int = 96,
) -> tuple[F32, NDArray[np.bool_]]:
    """Set the pieces `order[:, done:]` one after another.

    Args:
        boxes: (B, k, 4) grown pieces in each construction's own order; the first `done` are set.
        order: (B, k) which piece is set at each step.
        sizes: (k, 2) grown width and height.

    Returns:
        (B, k, 4) boxes in the construction's order, and (B,) whether every piece found a place.
    """
    boxes = boxes.copy()
    alive = np.ones(len(boxes), dtype=bool)
    smallest = float(sizes.min())
    for step in range(done, order.shape[1]):
        w, h = sizes[order[:, step], 0], sizes[order[:, step], 1]
        if step == 0 and not len(ground.blocks):
            x = -w / 2 + aim.half_width * rng.uniform(-0.25, 0.25, len(w)).astype(np.float32)
            y = -h / 2 + aim.half_height * rng.uniform(-0.25, 0.25, len(h)).astype(np.float32)
            found = np.ones(len(w), dtype=bool)
        else:
            x, y, found = _choose(boxes[:, :step], w, h, ground, aim, smallest, rng, most)
        alive &= found
        boxes[:, step] = np.stack([x, y, x + w, y + h], axis=1)
    return boxes, alive


def place_one(boxes: Floats, size: tuple[float, float], ground: Ground, aim: Aim) -> tuple[float, float] | None:
    """Lower left corner of the best place for one more grown piece among (k, 4) grown boxes, None without one."""
    set_already = boxes.astype(np.float32)[None]
    w, h = (np.array([side], dtype=np.float32) for side in size)
    rng = np.random.default_rng(0)
    x, y, found = _choose(set_already, w, h, ground, aim, min(size), rng, 4 * len(boxes) ** 2)
    return (float(x[0]), float(y[0])) if found[0] else None
