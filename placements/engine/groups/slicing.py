"""Arrangements of mixed sizes with straight outer edges: pieces joined two and two into larger and larger blocks.

Slicing trees (`trees`) are grown from the pieces, taken apart and joined again where that fills the outline better
(`joins`), then turned and changed until the largest piece comes to the middle and the small ones spread. Everything
runs over a batch of B trees of the same k pieces at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .boxes import Floats, Ints
from .joins import F32, Taking, WholePrice, joined_anew
from .trees import Extents, Trees, extents, join, laid_out

Cost = Callable[[Floats], Floats]

#: How a batch of trees weighs what it joins by: the share that is lost, sides unlike, small ones first, chance.
_LOST, _LONG, _SMALL, _CHANCE = (2.0, 8.0), (0.3, 1.5), (0.15, 0.7), (0.02, 0.25)
#: A block's sides (logarithm of their ratio) may be unlike by so much before it counts; the whole's from its aim.
_OBLONG, _ASTRAY = (0.4, 1.0), 0.1
#: How far the aims of single trees lie from the outline that is wanted (logarithm of width over height).
_OTHER = 0.3
#: The share of trees in which the largest piece waits until few blocks are left, which are then set around it; and what
#: bars a join until then.
_LATE, _BAR = 0.6, 1e3
#: How often a piece on the way to the largest does not go to the side that brings the largest nearer to the middle.
_CONTRARY = 0.12
#: How much worse a change may be at first and still be taken, and after how many rounds chains are gathered.
_HEAT, _GATHER = 0.4, 25
#: How far cells are stretched beyond the lowest gaps, 0 to 1.
_GIVE = 0.02
#: The share of the outline that trees are joined for; how much of the edges that face nothing near lie inside.
_FULL, _INSIDE = np.float32(0.82), np.float32(1.0)


def grown(sizes: Floats, band: tuple[float, float], wanted: float, batch: int, rng: np.random.Generator) -> Trees:
    """Trees built from the pieces up, each by its own leanings and chance.

    Args:
        sizes: (k, 2) widths and heights [mm]. band: lowest and highest gap [mm].
        wanted: logarithm of the outline's width over its height.
    """
    k, rows = len(sizes), np.arange(batch)
    low, high, area = np.zeros((batch, 2 * k - 1, 2)), np.zeros((batch, 2 * k - 1, 2)), np.zeros((batch, 2 * k - 1))
    low[:, :k], high[:, :k] = sizes + band[0], sizes + band[1]
    area[:, :k] = low[:, :k].prod(axis=2)
    whole = area[:, :k].sum(axis=1, keepdims=True)
    lost, long, small, chance, oblong = (
        rng.uniform(*span, (batch, 1)) for span in (_LOST, _LONG, _SMALL, _CHANCE, _OBLONG)
    )
    aims = wanted + rng.uniform(-_OTHER, _OTHER, (batch, 1))
    kids, axis = np.zeros((batch, k - 1, 2), dtype=np.int64), np.zeros((batch, k - 1), dtype=np.int64)
    late = np.where(rng.random(batch) < _LATE, rng.integers(3, 7, batch), k + 1)
    heart = np.full(batch, int(np.argmax(sizes.prod(axis=1))))  # the block that holds the largest piece
    free = np.tile(np.arange(k), (batch, 1))
    for step in range(k - 1):
        count = k - step
        i, j = np.triu_indices(count, 1)
        lows, highs = (np.take_along_axis(one, free[:, :, None], axis=1) for one in (low, high))
        areas = np.take_along_axis(area, free, axis=1)
        together = areas[:, i] + areas[:, j]
        shorter = highs[:, i] < highs[:, j]
        common, length = np.maximum(lows[:, i], lows[:, j]), lows[:, i] + lows[:, j]
        miss = np.maximum(common - np.minimum(highs[:, i], highs[:, j]), 0)
        cost = np.empty((batch, 2, len(i)))
        for along in (0, 1):
            across = 1 - along
            gone = miss[..., across] * np.where(shorter[..., across], lows[:, i, along], lows[:, j, along]) / together
            ratio = np.log(length[..., along] / common[..., across])
            if count == 2:
                unlike = np.maximum(np.abs(ratio - (aims if along == 0 else -aims)) - _ASTRAY, 0)
            else:
                unlike = np.maximum(np.abs(ratio) - oblong, 0)
            cost[:, along] = lost * gone + long * unlike
        cost += (small * np.log(together / whole))[:, None]
        cost += chance[:, :, None] * rng.standard_normal(cost.shape)
        at_heart = (free[:, i] == heart[:, None]) | (free[:, j] == heart[:, None])
        held_back = np.where(late <= k, np.where(count > late, 1, -1), 0)[:, None]
        cost += (_BAR * (held_back * np.where(at_heart, 1, -1) > 0))[:, None]
        chosen = cost.reshape(batch, -1).argmin(axis=1)
        along, pair = chosen // len(i), chosen % len(i)
        one, two = free[rows, i[pair]], free[rows, j[pair]]
        kids[:, step, 0], kids[:, step, 1], axis[:, step] = one, two, along
        heart = np.where((one == heart) | (two == heart), k + step, heart)
        join(low, high, one, two, along, k + step)
        area[:, k + step] = area[rows, one] + area[rows, two]
        kept = np.ones((batch, count), dtype=bool)
        kept[rows, i[pair]] = kept[rows, j[pair]] = False
        free = np.concatenate([free[kept].reshape(batch, count - 2), np.full((batch, 1), k + step)], axis=1)
    return Trees(kids, axis, rng.random(axis.shape) < 0.5, rng.integers(0, 3, axis.shape) / 2)


def centred(trees: Trees, given: Extents, largest: int, rng: np.random.Generator) -> Trees:
    """The trees turned so that the largest piece comes near the middle, every other join as chance has it."""
    low = given.low
    batch, joins = trees.axis.shape
    rows, k = np.arange(batch), joins + 1
    turned = rng.random(trees.axis.shape) < 0.5
    holds = np.zeros((batch, 2 * k - 1), dtype=bool)
    holds[:, largest] = True
    for step in range(joins):
        holds[:, k + step] = holds[rows, trees.kids[:, step, 0]] | holds[rows, trees.kids[:, step, 1]]
    contrary = rng.random(trees.axis.shape) < _CONTRARY
    off = rng.normal(0, 1.0, (batch, 2))  # of the block that holds the largest, from the whole's middle
    for step in range(joins - 1, -1, -1):
        along, here = trees.axis[:, step], holds[:, k + step]
        second = holds[rows, trees.kids[:, step, 1]]
        beside = np.where(second, low[rows, trees.kids[:, step, 0], along], low[rows, trees.kids[:, step, 1], along])
        goes_first = (off[rows, along] > 0) ^ contrary[:, step]
        turned[:, step] = np.where(here, goes_first == second, turned[:, step])
        off[rows, along] += np.where(here, np.where(goes_first, -beside, beside) / 2, 0.0)
    return Trees(trees.kids, trees.axis, turned, trees.align)


def changed(trees: Trees, k: int, rng: np.random.Generator) -> Trees:
    """Each tree with a small change: a join turned, aligned or laid the other way, or two blocks' places exchanged."""
    kids, axis, turned, align = trees.kids.copy(), trees.axis.copy(), trees.turned.copy(), trees.align.copy()
    batch, joins = axis.shape
    rows = np.arange(batch)
    for chance in (1.0, 0.3):
        step = rng.integers(joins, size=batch)
        kind = np.where(rng.random(batch) < chance, rng.random(batch), 2.0)
        turned[rows, step] ^= kind < 0.25
        shift = (kind >= 0.25) & (kind < 0.4)
        align[rows, step] = np.where(shift, rng.integers(0, 3, batch) / 2, align[rows, step])
        axis[rows, step] ^= (kind >= 0.4) & (kind < 0.45)
        other, side, far = rng.integers(joins, size=batch), *rng.integers(2, size=(2, batch))
        one, two = kids[rows, step, side], kids[rows, other, far]
        # A block may only hold blocks made before it; that also keeps a block out of itself.
        sound = (kind >= 0.45) & (kind <= 1.0) & (one < k + other) & (two < k + step)
        kids[rows, step, side] = np.where(sound, two, one)
        two = np.where(sound, one, two)
        kids[rows, other, far] = np.where(sound | ((step != other) | (side != far)), two, kids[rows, other, far])
    return Trees(kids, axis, turned, align)


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is tried: trees grown, how they are joined anew, how often each of the best is turned, how many are then
    changed side by side and in how many rounds."""

    batch: int
    taking: Taking
    turns: int
    chains: int
    rounds: int


def _prices(
    sizes: Floats, band: tuple[float, float], shape: tuple[float, float], room: tuple[float, float]
) -> tuple[WholePrice, Callable[[F32], F32]]:
    """What a tree costs before it is laid out: for its outline and edges, and for its largest piece off the middle."""
    area, edges, gap = np.float32(sizes.prod(axis=1).sum()), np.float32(sizes.sum()), np.float32(band[0])

    def of_whole(width: F32, height: F32, unfaced: F32) -> F32:
        wide, tall = width - gap, height - gap
        price = np.maximum(_FULL - area / (wide * tall), 0) / np.float32(0.025)
        ratio = np.log(wide / tall)
        price += np.maximum(np.maximum(shape[0] - ratio, ratio - shape[1]), 0) / np.float32(0.04)
        price += np.maximum(_INSIDE * unfaced / (edges - wide - tall) - np.float32(0.02), 0) / np.float32(0.02)
        price += 100 * ((wide > room[0]) | (tall > room[1]))
        return np.asarray(price)

    def of_largest(off: F32) -> F32:
        return np.asarray(np.maximum(np.hypot(off[:, 0], off[:, 1]) - np.float32(0.09), 0) / np.float32(0.025))

    return of_whole, of_largest


def tiled(
    sizes: Floats,
    band: tuple[float, float],
    wanted: float,
    shape: tuple[float, float],
    room: tuple[float, float],
    cost: Cost,
    effort: Effort,
    rng: np.random.Generator,
    stop: Callable[[], bool] = lambda: False,
) -> Floats:
    """The best arrangements found, (S, k, 4) [mm] about their middle, the best first.

    Args:
        sizes: (k, 2) [mm]. band: lowest and highest gap [mm]. wanted: logarithm of the outline's width over height,
            shape: its lowest and highest.
        room: width and height that the outline may not exceed [mm].
        cost: of (B, k, 4) boxes about their middle, (B,), lower is better, infinite where they may not hang.
    """
    k, largest = len(sizes), int(np.argmax(sizes.prod(axis=1)))
    trees = grown(sizes, band, wanted, effort.batch, rng)
    trees = joined_anew(trees, sizes, band, *_prices(sizes, band, shape, room), effort.taking, rng, stop)
    trees = trees.take(np.repeat(np.arange(len(trees.axis)), effort.turns))
    trees.align[...] = rng.integers(0, 2, trees.align.shape)  # a short block shows one gap too wide, not two
    trees = centred(trees, extents(trees, sizes, band), largest, rng)
    boxes, price = _judged(trees, sizes, band, cost)
    order = np.argsort(price, kind="stable")[: effort.chains]
    trees, boxes, price = trees.take(order), boxes[order], price[order]
    best = trees, boxes, price
    for at in range(effort.rounds):
        if stop():
            break
        heat = _HEAT * (1 - at / effort.rounds) ** 2
        young = changed(trees, k, rng)
        new_boxes, new_price = _judged(young, sizes, band, cost)
        taken = new_price <= price - heat * np.log(rng.random(len(price)))
        index = np.where(taken, np.arange(len(price)) + len(price), np.arange(len(price)))
        trees = trees.joined(young).take(index)
        boxes, price = np.where(taken[:, None, None], new_boxes, boxes), np.where(taken, new_price, price)
        best = _best(best, (trees, boxes, price), effort.chains)
        if at % _GATHER == _GATHER - 1:  # chains that fell behind go on from the best
            behind = np.argsort(price, kind="stable")[len(price) // 2 :]
            ahead = rng.integers(max(1, len(best[2]) // 4), size=len(behind))
            index = np.arange(len(price))
            trees = trees.joined(best[0]).take(_put(index, behind, len(price) + ahead))
            boxes[behind], price[behind] = best[1][ahead], best[2][ahead]
    return best[1][np.isfinite(best[2])]


def _put(index: Ints, where: Ints, values: Ints) -> Ints:
    index[where] = values
    return index


def _judged(trees: Trees, sizes: Floats, band: tuple[float, float], cost: Cost) -> tuple[Floats, Floats]:
    boxes = laid_out(trees, extents(trees, sizes, band), sizes, _GIVE)
    low, high = boxes[..., :2].min(axis=1), boxes[..., 2:].max(axis=1)
    boxes = boxes - np.tile((low + high) / 2, 2)[:, None, :]
    return boxes, cost(boxes)


Priced = tuple[Trees, Floats, Floats]


def _best(one: Priced, two: Priced, most: int) -> Priced:
    """The cheapest of both, in order, of equally cheap ones the first."""
    price = np.concatenate([one[2], two[2]])
    order = np.argsort(price, kind="stable")
    _, first = np.unique(np.round(price[order], 6), return_index=True)
    order = order[np.sort(first)][:most]
    return one[0].joined(two[0]).take(order), np.concatenate([one[1], two[1]])[order], price[order]


def band_share(boxes: Floats, low: float, high: float) -> Floats:
    """(B,) share of the facing edge length that is a gap of the band, of (B, k, 4) boxes that do not overlap.

    Notes: what a side of all pieces does not see of others it sees of the outside, once a line; so the length that
    faces is that of all sides less what the pieces cover of the outline's side. Exact where no piece is so small
    that it stands in a gap of the band.
    """
    held, faced = np.zeros(len(boxes)), np.zeros(len(boxes))
    share = np.minimum(boxes[:, :, None, 2:], boxes[:, None, :, 2:]) - np.maximum(
        boxes[:, :, None, :2], boxes[:, None, :, :2]
    )
    for axis in (0, 1):
        gap, facing = -share[..., axis], share[..., 1 - axis]
        good = (gap >= low - 1e-6) & (gap <= high + 1e-6) & (facing > 0)
        held += (facing * good).sum(axis=(1, 2)) / 2
        start, end = boxes[..., 1 - axis], boxes[..., 3 - axis]
        order = np.argsort(start, axis=1)
        start, end = np.take_along_axis(start, order, 1), np.take_along_axis(end, order, 1)
        reached = np.maximum.accumulate(end, axis=1)
        before = np.concatenate([np.full((len(boxes), 1), -np.inf), reached[:, :-1]], axis=1)
        faced += (end - start).sum(axis=1) - np.maximum(end - np.maximum(start, before), 0).sum(axis=1)
    return held / np.maximum(faced, 1e-9)
