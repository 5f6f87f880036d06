"""Arrangements of mixed sizes with straight outer edges: pieces joined two and two into larger and larger blocks.

Every piece stands in a cell that is wider and higher than it by a gap anywhere in the band, so that a cell may give by
the band's width and two neighbours whose cells touch always hang a gap of the band apart. Two blocks are joined side
by side, or one above the other, where their sides agree within what their cells can give; what they disagree by is
lost. Joining makes a slicing tree (Otten, "Automatic floorplan design", DAC 1982, quoted from memory). Which of two
blocks stands left or above is free: it is chosen so that the largest piece comes to the middle and the small ones
spread. Everything runs over a batch of B trees of the same k pieces at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .boxes import Bools, Floats, Ints

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


@dataclass(frozen=True, slots=True)
class Trees:
    """B trees over k pieces; block k + t is made by join t, the last one is the whole.

    kids: (B, k - 1, 2) blocks joined. axis: (B, k - 1) 0 side by side, 1 one above the other.
    turned: (B, k - 1) whether the second stands first. align: (B, k - 1) where a block that is too short for its side
    stands along it, 0 at its start to 1 at its end.
    """

    kids: Ints
    axis: Ints
    turned: Bools
    align: Floats

    def take(self, index: Ints) -> Trees:
        return Trees(self.kids[index], self.axis[index], self.turned[index], self.align[index])

    def joined(self, other: Trees) -> Trees:
        return Trees(
            np.concatenate([self.kids, other.kids]),
            np.concatenate([self.axis, other.axis]),
            np.concatenate([self.turned, other.turned]),
            np.concatenate([self.align, other.align]),
        )


@dataclass(frozen=True, slots=True)
class Extents:
    """Lowest and highest width and height of every block, (B, 2k - 1, 2) [mm], cells included."""

    low: Floats
    high: Floats


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
        _join(low, high, one, two, along, k + step)
        area[:, k + step] = area[rows, one] + area[rows, two]
        kept = np.ones((batch, count), dtype=bool)
        kept[rows, i[pair]] = kept[rows, j[pair]] = False
        free = np.concatenate([free[kept].reshape(batch, count - 2), np.full((batch, 1), k + step)], axis=1)
    return Trees(kids, axis, rng.random(axis.shape) < 0.5, rng.integers(0, 3, axis.shape) / 2)


def _join(low: Floats, high: Floats, one: Ints, two: Ints, along: Ints, new: int) -> None:
    """The extents of a block made of two, in place."""
    rows, across = np.arange(len(low)), 1 - along
    low[rows, new, along] = low[rows, one, along] + low[rows, two, along]
    high[rows, new, along] = high[rows, one, along] + high[rows, two, along]
    low[rows, new, across] = np.maximum(low[rows, one, across], low[rows, two, across])
    high[rows, new, across] = np.maximum(
        low[rows, new, across], np.minimum(high[rows, one, across], high[rows, two, across])
    )


def extents(trees: Trees, sizes: Floats, band: tuple[float, float]) -> Extents:
    """How large every block of the trees may be."""
    batch, k = len(trees.kids), len(sizes)
    low, high = np.zeros((batch, 2 * k - 1, 2)), np.zeros((batch, 2 * k - 1, 2))
    low[:, :k], high[:, :k] = sizes + band[0], sizes + band[1]
    for step in range(k - 1):
        _join(low, high, trees.kids[:, step, 0], trees.kids[:, step, 1], trees.axis[:, step], k + step)
    return Extents(low, high)


def laid_out(trees: Trees, given: Extents, sizes: Floats, give: float) -> Floats:
    """(B, k, 4) boxes [mm] from the outline's lower left corner.

    Args:
        give: how far the cells are stretched, 0 for the lowest gaps to 1 for the highest.
    """
    low, high = given.low, given.high
    batch, k = len(low), len(sizes)
    rows = np.arange(batch)
    corner, size = np.zeros_like(low), np.zeros_like(low)
    size[:, -1] = low[:, -1] + give * (high[:, -1] - low[:, -1])
    for step in range(k - 2, -1, -1):
        along, turned = trees.axis[:, step], trees.turned[:, step]
        across = 1 - along
        one = np.where(turned, trees.kids[:, step, 1], trees.kids[:, step, 0])
        two = np.where(turned, trees.kids[:, step, 0], trees.kids[:, step, 1])
        room, tall = size[rows, k + step, along], size[rows, k + step, across]
        least, most = low[rows, one, along], high[rows, one, along]
        both_low, both_high = least + low[rows, two, along], most + high[rows, two, along]
        share = (room - both_low) / np.maximum(both_high - both_low, 1e-9)
        first = least + share * (most - least)
        size[rows, one, along], size[rows, two, along] = first, room - first
        corner[rows, one, along] = corner[rows, k + step, along]
        corner[rows, two, along] = corner[rows, k + step, along] + first
        for block in (one, two):
            own = np.minimum(tall, high[rows, block, across])
            size[rows, block, across] = own
            corner[rows, block, across] = corner[rows, k + step, across] + trees.align[:, step] * (tall - own)
    middle = corner[:, :k] + size[:, :k] / 2
    return np.concatenate([middle - sizes / 2, middle + sizes / 2], axis=2)


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
    """How much is tried: trees a batch and batches grown, how many of the fullest are laid out and how often each is
    turned, how many are then changed side by side and in how many rounds."""

    batch: int
    batches: int
    looked_at: int
    turns: int
    chains: int
    rounds: int


def tiled(
    sizes: Floats,
    band: tuple[float, float],
    wanted: float,
    room: tuple[float, float],
    cost: Cost,
    effort: Effort,
    rng: np.random.Generator,
    stop: Callable[[], bool] = lambda: False,
) -> Floats:
    """The best arrangements found, (S, k, 4) [mm] about their middle, the best first.

    Args:
        sizes: (k, 2) [mm]. band: lowest and highest gap [mm]. wanted: logarithm of the outline's width over height.
        room: width and height that the outline may not exceed [mm].
        cost: of (B, k, 4) boxes about their middle, (B,), lower is better, infinite where they may not hang.
    """
    k, largest = len(sizes), int(np.argmax(sizes.prod(axis=1)))
    trees = grown(sizes, band, wanted, effort.batch, rng)
    for _ in range(effort.batches - 1):
        if stop():
            break
        trees = trees.joined(grown(sizes, band, wanted, effort.batch, rng))
    whole = extents(trees, sizes, band).low[:, -1] - band[0]
    astray = np.abs(np.log(whole[:, 0] / whole[:, 1]) - wanted)
    fits = (whole <= np.array(room)).all(axis=1)
    loss = whole.prod(axis=1) / sizes.prod(axis=1).sum() + 0.3 * np.maximum(astray - 0.25, 0) + 10.0 * ~fits
    trees = trees.take(np.repeat(np.argsort(loss, kind="stable")[: effort.looked_at], effort.turns))
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
