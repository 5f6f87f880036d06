"""Take a tree apart into a few blocks and join these again in the best way there is, for many trees at once.

All slicing trees over the few blocks are looked at, by dynamic programming over their subsets: of each subset the best
block of each proportion is kept. The best wastes the least wall and leaves the least edge that faces nothing near.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from .boxes import Floats, Ints
from .trees import Extents, Trees, extents

F32 = NDArray[np.float32]

#: Wall that an edge is worth that faces nothing within the band [mm² a mm].
_UNFACED = np.float32(40.0)
#: Rounding that is no miss [mm].
_SLACK = np.float32(0.5)
#: The side of what is no block [mm].
_NONE = np.float32(1e6)
#: How much worse a tree may become at first; in how many rounds trees that fell behind go on from better ones.
_HEAT, _GATHER = 0.3, 10

#: Width, height and edge that faces nothing near of whole arrangements, (N,) each [mm], to their price (N,).
WholePrice = Callable[[F32, F32, F32], F32]


@dataclass(slots=True)
class _Table:
    """Of every subset the best block whose last join is side by side, and the best of those one above the other.

    low, high: (2, B, 2, 2^m) lowest and highest width and height. unfaced: (B, 2, 2^m).
    origin: (B, 2, 2^m) counts through splits, the kind of the one part and the kind of the other.
    """

    low: F32
    high: F32
    unfaced: F32
    origin: Ints


@cache
def _splits(m: int) -> list[tuple[Ints, Ints, Ints]]:
    """For subsets of 2, 3, ... m: their masks (C,), and the two parts (C, P) of each of their splits."""
    found = []
    for size in range(2, m + 1):
        masks, ones = [], []
        for members in combinations(range(m), size):
            first, rest = members[0], members[1:]
            masks.append(sum(1 << i for i in members))
            chosen = (others for count in range(size - 1) for others in combinations(rest, count))
            ones.append([(1 << first) + sum(1 << i for i in others) for others in chosen])
        mask, one = np.array(masks), np.array(ones)
        found.append((mask, one, mask[:, None] - one))
    return found


def _start(low: F32, high: F32, unfaced: F32) -> _Table:
    """A table with the blocks themselves."""
    batch, m = unfaced.shape
    shape = batch, 2, 1 << m
    single = 1 << np.arange(m)
    table = _Table(
        np.full((2, *shape), _NONE),
        np.full((2, *shape), _NONE),
        np.zeros(shape, dtype=np.float32),
        np.zeros(shape, int),
    )
    table.low[:, :, 0, single] = low.transpose(2, 0, 1)
    table.high[:, :, 0, single] = high.transpose(2, 0, 1)
    table.unfaced[:, 0, single] = unfaced
    return table


def _joined(table: _Table, one: Ints, two: Ints, along: int) -> tuple[F32, F32, F32]:
    """Length, height across and edge unfaced of all joins along an axis, (B, 2, 2, C, P) by kinds and splits."""
    across = 1 - along

    def parts(values: F32) -> tuple[F32, F32]:
        return values.take(one, axis=-1)[:, :, None], values.take(two, axis=-1)[:, None]

    a, b = parts(table.low[along])
    tall = np.maximum(*parts(table.low[across]))
    high_a, high_b = parts(table.high[across])
    unfaced = np.where(high_a < high_b, a, b)
    unfaced *= np.minimum(high_a, high_b) < tall - _SLACK
    for edge in parts(table.unfaced):
        unfaced += edge
    return a + b, tall, unfaced


def _keep(table: _Table, masks: Ints, one: Ints, two: Ints) -> None:
    """Enter the best blocks of the subsets `masks`."""
    batch, (subsets, splits) = len(table.unfaced), one.shape
    rows, columns = np.arange(batch)[:, None], np.arange(subsets)[None]
    for along in (0, 1):
        across = 1 - along
        length, tall, unfaced = _joined(table, one, two, along)
        price = np.multiply(length, tall, out=length)
        price += _UNFACED * unfaced
        by_kinds = price.reshape(batch, 4, subsets, splits)
        split = by_kinds.argmin(axis=3)
        kinds = np.take_along_axis(by_kinds, split[..., None], axis=3)[..., 0].argmin(axis=1)
        split = np.take_along_axis(split, kinds[:, None], axis=1)[:, 0]
        first, second = kinds // 2, kinds % 2
        i, j = (rows, first, one[columns, split]), (rows, second, two[columns, split])
        table.origin[:, along, masks] = 4 * split + kinds
        table.low[along][:, along, masks] = table.low[along][i] + table.low[along][j]
        table.high[along][:, along, masks] = table.high[along][i] + table.high[along][j]
        low = np.maximum(table.low[across][i], table.low[across][j])
        table.low[across][:, along, masks] = low
        table.high[across][:, along, masks] = np.maximum(low, np.minimum(table.high[across][i], table.high[across][j]))
        table.unfaced[:, along, masks] = unfaced[rows, first, second, columns, split]


def rejoined(low: F32, high: F32, unfaced: F32, whole_price: WholePrice, most: int) -> tuple[Ints, Ints, F32]:
    """The best ways to join m blocks, m of at least 3.

    Args:
        low, high: (B, m, 2) lowest and highest width and height of the blocks [mm]. unfaced: (B, m) [mm].

    Returns:
        For each of the best `most` ways: (B, most, m - 1, 2) blocks joined, where block m + t is made by join t,
        (B, most, m - 1) 0 side by side or 1 one above the other, and (B, most) price.
    """
    batch, m = unfaced.shape
    table = _start(low, high, unfaced)
    for masks, one, two in _splits(m)[:-1]:
        _keep(table, masks, one, two)
    _, one, two = _splits(m)[-1]
    prices = []
    for along in (0, 1):
        length, tall, edge = _joined(table, one, two, along)
        price = whole_price(*((length, tall) if along == 0 else (tall, length)), edge)
        prices.append(price.reshape(batch, 4, -1).transpose(0, 2, 1).reshape(batch, -1))
    price = np.concatenate(prices, axis=1)
    pick = np.argpartition(price, most - 1, axis=1)[:, :most]
    half = price.shape[1] // 2
    return *_traced(table, m, pick % half, pick // half), np.take_along_axis(price, pick, axis=1)


def _traced(table: _Table, m: int, pick: Ints, along: Ints) -> tuple[Ints, Ints]:
    """The joins behind the whole arrangements with origins `pick` and last joins `along`, (B, N) each."""
    batch, count = pick.shape
    rows, columns = np.arange(batch)[:, None], np.arange(count)[None]
    kids, axis = np.zeros((batch, count, m - 1, 2), dtype=np.int64), np.zeros((batch, count, m - 1), dtype=np.int64)
    parts = np.zeros((1 << m, 1 << (m - 1)), dtype=np.int64)
    for masks, one, _ in _splits(m):
        parts[masks, : one.shape[1]] = one
    leaf = np.full(1 << m, -1)
    leaf[1 << np.arange(m)] = np.arange(m)
    mask = np.full((batch, count, m - 1), (1 << m) - 1)
    origin, kind = np.zeros((2, batch, count, m - 1), dtype=np.int64)
    origin[..., 0], kind[..., 0] = pick, along
    tail = np.ones((batch, count), dtype=np.int64)
    for at in range(m - 1):
        join = m - 2 - at  # the whole is made last
        here = origin[..., at]
        axis[..., join] = kind[..., at]
        one = parts[mask[..., at], here // 4]
        for side, (part, its) in enumerate(((one, here // 2 % 2), (mask[..., at] - one, here % 2))):
            single = leaf[part] >= 0
            kids[..., join, side] = np.where(single, leaf[part], m + m - 2 - tail)
            to = np.minimum(tail, m - 2)
            for values, new in ((mask, part), (kind, its), (origin, table.origin[rows, its, part])):
                values[rows, columns, to] = np.where(single, values[rows, columns, to], new)
            tail = tail + ~single
    return kids, axis


def unfaced_edges(trees: Trees, given: Extents) -> F32:
    """(B, 2k - 1) edge of every block that faces nothing within the band [mm], told from the joins alone."""
    low, high = given.low, given.high
    batch, joins = trees.axis.shape
    k, rows = joins + 1, np.arange(batch)
    edge = np.zeros((batch, 2 * k - 1), dtype=np.float32)
    for step in range(joins):
        one, two, along = trees.kids[:, step, 0], trees.kids[:, step, 1], trees.axis[:, step]
        across = 1 - along
        tall_one, tall_two = high[rows, one, across], high[rows, two, across]
        shorter = np.where(tall_one < tall_two, low[rows, one, along], low[rows, two, along])
        least = np.maximum(low[rows, one, across], low[rows, two, across])
        miss = np.minimum(tall_one, tall_two) < least - _SLACK
        edge[:, k + step] = edge[rows, one] + edge[rows, two] + shorter * miss
    return edge


def frontier(trees: Trees, m: int, rng: np.random.Generator) -> tuple[Ints, Ints]:
    """Blocks (B, m) into which each tree falls apart when some of its last joins are undone, and those joins.

    The joins (B, m - 1) are given by number, the last one first.
    """
    batch, joins = trees.axis.shape
    k, rows = joins + 1, np.arange(batch)
    held = np.full((batch, m), 2 * k - 2)
    undone = np.zeros((batch, m - 1), dtype=np.int64)
    pull = rng.random((batch, 2 * k - 1))
    pull[:, :k] = -1.0  # a piece does not fall apart
    for at in range(m - 1):
        wish = pull[rows[:, None], held[:, : at + 1]]
        chosen = wish.argmax(axis=1)
        join = held[rows, chosen] - k
        undone[:, at] = join
        held[rows, chosen], held[:, at + 1] = trees.kids[rows, join, 0], trees.kids[rows, join, 1]
    return held, undone


def composed(trees: Trees, held: Ints, undone: Ints, kids: Ints, axis: Ints) -> Trees:
    """Trees whose undone joins are made anew.

    Args:
        held: (B, m), undone: (B, m - 1) of `frontier`. kids, axis: (B, m - 1, 2) and (B, m - 1) of `rejoined`.
    """
    batch, joins = trees.axis.shape
    k, m, rows = joins + 1, held.shape[1], np.arange(batch)[:, None]
    kept = np.ones((batch, joins), dtype=bool)
    kept[rows, undone] = False
    number = np.concatenate([np.broadcast_to(np.arange(k), (batch, k)), k + np.cumsum(kept, axis=1) - 1], axis=1)
    at = np.nonzero(kept)[1].reshape(batch, joins - m + 1)
    old = np.take_along_axis(number, trees.kids[rows, at].reshape(batch, -1), axis=1).reshape(batch, -1, 2)
    blocks = np.take_along_axis(number, held, axis=1)
    local = np.concatenate([blocks, np.broadcast_to(2 * k - m + np.arange(m - 1), (batch, m - 1))], axis=1)
    new = np.take_along_axis(local, kids.reshape(batch, -1), axis=1).reshape(batch, -1, 2)
    fresh = np.zeros((batch, m - 1))
    return Trees(
        np.concatenate([old, new], axis=1),
        np.concatenate([trees.axis[rows, at], axis], axis=1),
        np.concatenate([trees.turned[rows, at], fresh > 0], axis=1),
        np.concatenate([trees.align[rows, at], fresh + 0.5], axis=1),
    )


def off_middle(trees: Trees, given: Extents, piece: int) -> F32:
    """(B, 2) how near a piece can come to the whole's middle each way when blocks change sides [mm].

    Notes: by letting the largest neighbours take sides first; a little more than the least possible.
    """
    batch, joins = trees.axis.shape
    k, rows = joins + 1, np.arange(batch)
    beside = np.zeros((batch, 2, joins), dtype=np.float32)
    held = np.full(batch, piece)
    for step in range(joins):
        one, two, along = trees.kids[:, step, 0], trees.kids[:, step, 1], trees.axis[:, step]
        here = (one == held) | (two == held)
        other = np.where(one == held, two, one)
        beside[rows, along, step] = np.where(here, given.low[rows, other, along] / 2, 0)
        held = np.where(here, k + step, held)
    off = np.zeros((batch, 2), dtype=np.float32)
    for step, aside in enumerate(np.moveaxis(-np.sort(-beside, axis=2), 2, 0)):
        if not aside.any():
            break
        off = np.abs(off - aside) if step else aside
    return off


@dataclass(frozen=True, slots=True)
class Taking:
    """How much is tried: trees at once, rounds, blocks into which a tree falls apart, ways to join them looked at."""

    trees: int
    rounds: int
    blocks: int
    ways: int = 4


def joined_anew(
    trees: Trees,
    sizes: Floats,
    band: tuple[float, float],
    price: WholePrice,
    off_price: Callable[[F32], F32],
    taking: Taking,
    rng: np.random.Generator,
    stop: Callable[[], bool],
) -> Trees:
    """Better trees over the same pieces, the best first.

    Args:
        sizes: (k, 2) [mm]. band: lowest and highest gap [mm].
        price: of width, height and edge unfaced of the whole. off_price: of (B, 2) shares of the whole's width and
            height that the largest piece stays off the middle.
    """
    k, largest = len(sizes), int(np.argmax(sizes.prod(axis=1)))
    m = min(taking.blocks, k)

    def priced(some: Trees) -> tuple[Extents, F32, F32]:
        given = extents(some, sizes, band)
        edge = unfaced_edges(some, given)
        whole = given.low[:, -1].astype(np.float32)
        off = off_price(off_middle(some, given, largest) / whole)
        return given, edge, price(whole[:, 0], whole[:, 1], edge[:, -1]) + off

    _, _, cost = priced(trees)
    order = np.argsort(cost, kind="stable")[: taking.trees]
    trees, cost = trees.take(order), cost[order]
    best, best_cost = trees, cost
    for at in range(taking.rounds):
        if stop():
            break
        rows = np.arange(len(cost))[:, None]
        given = extents(trees, sizes, band)
        edge = unfaced_edges(trees, given)
        held, undone = frontier(trees, m, rng)
        low, high = (side[rows, held].astype(np.float32) for side in (given.low, given.high))
        kids, axis, _ = rejoined(low, high, edge[rows, held], price, taking.ways)
        each = np.repeat(np.arange(len(cost)), taking.ways)
        young = composed(
            trees.take(each), held[each], undone[each], kids.reshape(-1, m - 1, 2), axis.reshape(-1, m - 1)
        )
        _, _, new = priced(young)
        best, best_cost = _cheapest(best.joined(young), np.concatenate([best_cost, new]), len(best_cost))
        heat = _HEAT * (1 - at / taking.rounds)
        shaken = (new + heat * rng.exponential(size=new.shape)).reshape(-1, taking.ways)
        chosen = shaken.argmin(axis=1) + np.arange(len(cost)) * taking.ways
        taken = new[chosen] <= cost + heat * rng.exponential(size=len(cost))
        trees = trees.joined(young).take(np.where(taken, len(cost) + chosen, np.arange(len(cost))))
        cost = np.where(taken, new[chosen], cost)
        if at % _GATHER == _GATHER - 1:
            order = np.argsort(cost, kind="stable")
            order[3 * len(order) // 4 :] = rng.choice(
                order[: max(1, len(order) // 4)], len(order) - 3 * len(order) // 4
            )
            trees, cost = trees.take(order), cost[order]
    return best


def _cheapest(trees: Trees, cost: F32, most: int) -> tuple[Trees, F32]:
    order = np.argsort(cost, kind="stable")
    _, first = np.unique(np.round(cost[order], 4), return_index=True)
    order = order[np.sort(first)][:most]
    return trees.take(order), cost[order]
